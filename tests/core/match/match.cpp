// Columns first: GCC 12 takes an enumerator `nobody` there for one that shadows matching.hpp's.
#include "match/match.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "acted.hpp"
#include "base/columns.hpp"

using namespace shortedge;
using doctest::Approx;
using scenes::Acted, scenes::along, scenes::from, scenes::Path, scenes::Random, scenes::stands;

namespace {

const Rules rules;

std::int32_t code(std::size_t man) { return static_cast<std::int32_t>(man); }

Match match_of(const Acted& stage) { return match_play(stage.play, stage.motion, rules); }

std::size_t row_of(const Play& play, std::size_t rusher) {
  return static_cast<std::size_t>(std::find(play.rushers.begin(), play.rushers.end(), rusher) - play.rushers.begin());
}

/// The men who have a rusher, one after the other, without repeats.
std::vector<std::int32_t> men_of(const Acted& stage, const Match& match, std::size_t rusher) {
  std::vector<std::int32_t> men = match.man[row_of(stage.play, rusher)];
  CHECK(men.size() == stage.play.frames());
  men.erase(std::unique(men.begin(), men.end()), men.end());
  return men;
}

const Rep* rep_of(const Match& match, std::size_t rusher, std::size_t protector) {
  const auto found = std::find_if(match.reps.begin(), match.reps.end(), [&](const Rep& rep) {
    return rep.spell.rusher == rusher && rep.spell.protector == protector;
  });
  return found == match.reps.end() ? nullptr : &*found;
}

/// A passer 7 yd deep and a right tackle who sets to (3.5, 3.5).
struct TackleAndPasser : Acted {
  std::size_t tackle;
  TackleAndPasser() {
    back(stands(0, 7));
    tackle = blocks(Slot::RT, along({{0, {3, 0.8}}, {0.9, {3.5, 3.5}}}));
  }
};

/// Section 6.1 once more: from spells and what became of each of them to reps, and from reps to who has whom.
struct Once {
  struct Candidate {
    Spell spell;
    Duel duel;
  };
  const Acted& stage;
  std::vector<Candidate> reps;
  int helps = 0, passed_on = 0, brushed = 0, taken_up = 0, never_between = 0;
  bool hair = false;  ///< a disc and a line within 1e-3 yd of each other where it matters

  double time(std::size_t frame) const { return stage.play.time[frame]; }
  const Point& at(std::size_t frame, std::size_t man) const { return stage.motion.at(frame, man); }

  bool on_line(std::size_t frame, std::size_t rusher, std::size_t man) {
    const Point &r = at(frame, rusher), &p = at(frame, man), &q = at(frame, stage.play.passer);
    double clear = infinity;
    for (int k = 0; k <= 4000; ++k) clear = std::min(clear, (r + k / 4000.0 * (q - r) - p).norm());
    const double radius = std::min({rules.reach, (r - p).norm(), (p - q).norm()});
    if (radius < rules.reach && clear >= radius - 1e-9) return false;
    hair = hair || std::abs(clear - radius) < 1e-3;
    return clear < radius;
  }

  /// s within meet, frames first to last.
  double met(const Spell& of, std::size_t first, std::size_t last) const {
    double seconds = 0;
    for (std::size_t frame = first; frame < last; ++frame) {
      if (!stage.play.men[of.rusher].takes_part(frame)) continue;
      if ((at(frame, of.rusher) - at(frame, of.protector)).norm() <= rules.meet)
        seconds += time(frame + 1) - time(frame);
    }
    return seconds;
  }

  /// Men who were only brushed are out, and whom the rusher passed then has him to the end of their spell.
  void move_brushed(std::vector<Candidate>& all, const Match& match) {
    const auto in_all = [&](const Spell& spell) { return met(spell, 0, match.span.frames - 1); };
    std::vector<Candidate> kept;
    for (std::size_t i = 0; i < all.size(); ++i) {
      const Spell spell = all[i].spell;
      const Duel duel = all[i].duel;
      bool out = false;
      for (std::size_t j = 0; j < all.size() && duel.beat && !out; ++j) {
        Candidate& other = all[j];
        if (other.spell.rusher != spell.rusher || other.spell.protector == spell.protector) continue;
        if (met(spell, spell.first, duel.beat->frame) >= 0.5 - 1e-6) continue;
        if (other.spell.first >= spell.first || other.spell.last >= spell.last || other.duel.beat || other.duel.let_go)
          continue;
        if (!((at(spell.first, spell.rusher) - at(spell.first, other.spell.protector)).norm() <= rules.meet)) continue;
        if (in_all(other.spell) <= in_all(spell)) continue;
        bool busy = false;
        for (const Candidate& third : all) {
          busy = busy || (third.spell.protector == other.spell.protector && third.spell.rusher != spell.rusher &&
                          third.spell.last >= spell.first);
        }
        Spell longer = other.spell;
        longer.last = spell.last;
        const Duel anew = fight(stage.play, stage.motion, rules, match.span, longer);
        if (busy || !anew.beat || time(anew.beat->frame) > time(duel.beat->frame) + 0.5 + 1e-6) continue;
        other = {longer, anew};
        out = true;
      }
      if (!out) kept.push_back(all[i]);
      brushed += out;
    }
    // What was made longer is in `all`: take it from there.
    for (Candidate& one : kept) {
      for (const Candidate& now : all) {
        if (now.spell.rusher == one.spell.rusher && now.spell.protector == one.spell.protector &&
            now.spell.first == one.spell.first)
          one = now;
      }
    }
    all = kept;
  }

  explicit Once(const Acted& of, const Match& match) : stage(of) {
    const Play& play = stage.play;
    std::vector<Spell> all = spells(play, match_frames(play, stage.motion, rules.meet, match.span.frames));
    // Rushers whom nobody had, in order of id, are taken up by men who have nobody.
    for (const std::size_t rusher : play.rushers) {
      if (std::any_of(all.begin(), all.end(), [&](const Spell& spell) { return spell.rusher == rusher; })) continue;
      std::vector<std::pair<double, std::size_t>> near;
      std::optional<std::size_t> first;
      for (std::size_t frame = 0; frame < match.span.frames; ++frame) {
        if (!play.men[rusher].takes_part(frame) || !present(at(frame, rusher))) continue;
        if (!first) first = frame;
        for (const std::size_t man : play.protectors) {
          if (std::any_of(all.begin(), all.end(), [&](const Spell& spell) { return spell.protector == man; })) continue;
          const Point& passer = at(frame, play.passer);
          if (!((at(frame, man) - passer).norm() <= (at(frame, rusher) - passer).norm())) continue;
          const double range = (at(frame, man) - at(frame, rusher)).norm();
          if (range <= rules.engage) near.emplace_back(range, man);
        }
      }
      if (near.empty()) continue;
      all.push_back({rusher, std::min_element(near.begin(), near.end())->second, *first, match.span.frames - 1});
      ++taken_up;
    }
    std::vector<Candidate> spells_between;
    for (const Spell& spell : all) {
      const Duel duel = fight(play, stage.motion, rules, match.span, spell);
      if (duel.ever_between) spells_between.push_back({spell, duel});
      never_between += !duel.ever_between;
    }
    move_brushed(spells_between, match);
    for (const Candidate& one : spells_between) {
      bool longer = false, later_contact = false, passed = false;
      for (const Candidate& other : spells_between) {
        if (other.spell.rusher != one.spell.rusher || other.spell.protector == one.spell.protector) continue;
        if (met(other.spell, 0, match.span.frames - 1) > one.duel.seconds_met) longer = true;
        if (!one.duel.beat || !other.duel.contact || other.spell.first <= one.spell.first) continue;
        const double beat = time(one.duel.beat->frame), contact = time(*other.duel.contact);
        if (contact <= beat + 0.5 + 1e-6) later_contact = true;
        if (other.duel.seconds_met > one.duel.seconds_met && contact <= beat + 0.75 + 1e-6 &&
            on_line(one.duel.beat->frame, one.spell.rusher, other.spell.protector)) {
          passed = true;
        }
      }
      const bool helped = longer && one.duel.seconds_met < 0.5 - 1e-6 && (!one.duel.beat || later_contact);
      helps += helped;
      passed_on += passed && !helped;
      if (!helped && !passed) reps.push_back(one);
    }
  }

  /// Who has a rusher in a frame.
  std::int32_t has(std::size_t rusher, std::size_t frame) const {
    const Candidate *running = nullptr, *ended = nullptr, *coming = nullptr;
    for (const Candidate& rep : reps) {
      const Spell& spell = rep.spell;
      if (spell.rusher != rusher) continue;
      if (spell.first <= frame && frame <= spell.last) {
        if (!running || spell.first > running->spell.first) running = &rep;
      } else if (spell.last < frame) {
        if (!ended || spell.last > ended->spell.last) ended = &rep;
      } else if (!coming || spell.first < coming->spell.first) {
        coming = &rep;
      }
    }
    const Candidate* his = running ? running : ended ? ended : coming;
    if (his && his->duel.let_go && *his->duel.let_go <= frame) his = coming;
    return his ? code(his->spell.protector) : nobody;
  }

  /// Outside or inside of the man who has him then; of one without a side by which side of the man's line he is on.
  BeatSide side(const Candidate& rep, const Match& match) const {
    const Play& play = stage.play;
    const std::size_t beat = rep.duel.beat->frame, r = row_of(play, rep.spell.rusher), man = rep.spell.protector;
    const auto o = [&](std::size_t frame, int of) {
      const Point to = at(frame, play.passer) - at(frame, rep.spell.rusher),
                  off = at(frame, man) - at(frame, rep.spell.rusher);
      return -of * (to.x() * off.y() - to.y() * off.x());
    };
    const auto side_at = [&](std::size_t frame) {
      return side_of_man(play, stage.motion, frame, man, at(frame, play.passer));
    };
    if (side_at(beat) == 0) {
      const Point his = at(beat, rep.spell.rusher) - at(beat, man), to = at(beat, play.passer) - at(beat, man);
      return his.x() * to.y() - his.y() * to.x() < 0 ? BeatSide::left : BeatSide::right;
    }
    std::size_t first = beat;
    for (std::size_t frame = beat; frame-- > play.men[rep.spell.rusher].counts_from;) {
      if (match.man[r][frame] != code(man)) break;
      const Point &his = at(frame, rep.spell.rusher), &mans = at(frame, man), &passer = at(frame, play.passer);
      if (!present(his) || !present(mans) || !present(passer)) continue;
      if ((his - passer).norm() > (mans - passer).norm()) break;
      first = frame;
    }
    const int of = side_at(first);
    return of != 0 && o(first, of) <= 0 ? BeatSide::outside : BeatSide::inside;
  }
};

}  // namespace

TEST_CASE("a stunt passed off: each has his man till the exchange, and the other to the last frame of the play") {
  Acted stage;
  stage.back(stands(0, 8));
  const std::size_t tackle = stage.blocks(Slot::LT, stands(-3.5, 3)), guard = stage.blocks(Slot::LG, stands(-1.5, 3));
  const std::size_t end = stage.rushes(
      along({{0, {-4.5, -1}}, {0.8, {-3.7, 2}}, {1.2, {-3.7, 2}}, {1.6, {-1.5, 1.9}}, {3.4, {-1.5, 2.1}}}));
  const std::size_t inside = stage.rushes(
      along({{0, {-1.5, -1}}, {0.8, {-1.6, 2}}, {1.2, {-1.6, 2}}, {1.6, {-3.6, 2.1}}, {3.4, {-3.6, 2.1}}}));
  stage.act(3.4, 20, 2.4);
  const Match match = match_of(stage);
  CHECK(match.span.end == Approx(2.4));
  CHECK(match.reps.size() == 4);
  CHECK(men_of(stage, match, end) == std::vector{code(tackle), code(guard)});
  CHECK(men_of(stage, match, inside) == std::vector{code(guard), code(tackle)});
  // The exchange is where the one's spell ends and the other's begins.
  const Rep *before = rep_of(match, end, tackle), *after = rep_of(match, end, guard);
  REQUIRE(before);
  REQUIRE(after);
  CHECK(after->spell.first == before->spell.last + 1);
  for (std::size_t frame = 0; frame < stage.play.frames(); ++frame) {
    CHECK(match.man[0][frame] == code(frame <= before->spell.last ? tackle : guard));
  }
}

TEST_CASE("a beaten man stays charged to the last frame of the play, and the man to come has him before") {
  TackleAndPasser stage;
  // Beaten at about 1.5 s; thrown at 2 s, when the rusher is far from him.
  const std::size_t end =
      stage.rushes(along({{0, {9, -1}}, {1, {4.2, 2.6}}, {1.4, {4.6, 4.2}}, {2.2, {1, 7}}, {3, {0.3, 7}}}));
  stage.act(3, 20, 2);
  const Match match = match_of(stage);
  const Rep* rep = rep_of(match, end, stage.tackle);
  REQUIRE(rep);
  REQUIRE(rep->duel.beat);
  CHECK(rep->duel.beat->side == BeatSide::outside);
  CHECK(rep->spell.first > 0);  // too far off at the snap
  CHECK(stage.play.time[rep->spell.last] < 2 + 1e-9);
  CHECK(men_of(stage, match, end) == std::vector{code(stage.tackle)});
}

TEST_CASE("a back who chips, and helps no longer, never has the rusher") {
  // Within meet of him for less than half a second, in a spell of his own, before the tackle has him for good.
  TackleAndPasser stage;
  const std::size_t back =
      stage.blocks(Slot::none, along({{0, {5, 2.4}}, {0.4, {5, 1.2}}, {0.6, {5, 1.4}}, {1.1, {8, -2}}}));
  const std::size_t end = stage.rushes(along({{0, {5.4, -1}}, {0.4, {5.2, 0.6}}, {0.8, {5.1, 1}}, {1.1, {4.2, 2.7}}}));
  stage.act(2.6, 20, 2.4);
  const std::vector<Spell> all = spells(stage.play, match_frames(stage.play, stage.motion, rules.meet, 49));
  REQUIRE(all.size() == 2);
  REQUIRE(all[0].protector == back);
  const Match match = match_of(stage);
  CHECK(men_of(stage, match, end) == std::vector{code(stage.tackle)});
  REQUIRE(match.reps.size() == 1);
  CHECK(match.reps[0].spell.protector == stage.tackle);
  // Half a second of it is no chip.
  stage.paths[back] = along({{0, {5, 2.4}}, {0.4, {5, 1.2}}, {0.75, {5, 1.4}}, {1.2, {8, -2}}});
  stage.act(2.6, 20, 2.4);
  REQUIRE(match_of(stage).reps.size() == 2);
  CHECK(match_of(stage).reps[0].duel.seconds_met == Approx(0.5));
  CHECK(men_of(stage, match_of(stage), end) == std::vector{code(back), code(stage.tackle)});
}

TEST_CASE("who lets his rusher go has him no longer: nobody has, or the man still to come") {
  // The guard holds until 1 s and leads a screen; the rusher runs at the passer, and the back may meet him at 1.7 s.
  for (const bool met : {false, true}) {
    CAPTURE(met);
    Acted stage;
    stage.back(stands(0, 9));
    const std::size_t guard =
        stage.blocks(Slot::RG, along({{0, {1.3, 0.8}}, {0.8, {1.4, 2}}, {1, {1.4, 2}}, {1.3, {3, 1}}, {2.6, {9, -4}}}));
    const std::size_t back = stage.blocks(Slot::none, met ? stands(0.9, 5.6) : stands(-5, 5));
    const std::size_t rusher = stage.rushes(
        along({{0, {1.8, -1}}, {0.8, {1.5, 1}}, {1.1, {1.5, 1.2}}, {1.6, {1.1, 4.4}}, {2.6, {0.9, met ? 4.8 : 7.5}}}));
    stage.act(2.6, 20, 2.5);
    const Match match = match_of(stage);
    const Rep* rep = rep_of(match, rusher, guard);
    REQUIRE(rep);
    CHECK(!rep->duel.beat);
    REQUIRE(rep->duel.let_go);
    const std::size_t gone = *rep->duel.let_go;
    CHECK(std::abs(stage.play.time[gone] - 1.2) < 0.2);
    CHECK(men_of(stage, match, rusher) == std::vector{code(guard), met ? code(back) : nobody});
    CHECK(match.man[0][gone - 1] == code(guard));
    CHECK(match.man[0][gone] != code(guard));
  }
}

TEST_CASE("beaten in a moment of help, the helper answers for it unless another has him within half a second") {
  // The back is met at 0.35 s for less than half a second and run by; the tackle meets the rusher later, or sooner.
  const auto reps = [](double tackle_comes) {
    Acted stage;
    stage.back(stands(0, 7));
    const std::size_t back = stage.blocks(Slot::none, stands(4.5, 2.4));
    const std::size_t end = stage.rushes(along(
        {{0, {5, 0.6}}, {0.3, {5, 1.3}}, {0.55, {5.3, 1.6}}, {0.7, {5.9, 2.6}}, {1, {4.6, 3.9}}, {3, {4.2, 4.2}}}));
    const std::size_t tackle =
        stage.blocks(Slot::RT, along({{0, {1.5, 4.5}}, {tackle_comes - 0.3, {1.5, 4.5}}, {tackle_comes, {3.6, 4.6}}}));
    stage.act(3, 20, 2.8);
    const Match match = match_of(stage);
    const Rep *first = rep_of(match, end, back), *second = rep_of(match, end, tackle);
    REQUIRE(second);
    REQUIRE(second->duel.contact);
    if (first) {
      CHECK(first->duel.seconds_met < 0.5);
      REQUIRE(first->duel.beat);
      CHECK(stage.play.time[*second->duel.contact] > stage.play.time[first->duel.beat->frame] + 0.5);
      CHECK(men_of(stage, match, end) == std::vector{code(back), code(tackle)});
    } else {
      CHECK(men_of(stage, match, end) == std::vector{code(tackle)});
    }
    return match.reps.size();
  };
  CHECK(reps(1.2) == 1);
  CHECK(reps(1.9) == 2);
}

TEST_CASE("a rusher passed on to a man who stands in his way is nobody's loss; to one who does not, it is") {
  // The guard has him for 0.7 s and lets him by inside, where the centre waits on his line, or comes from the side.
  const auto reps = [](const Path& center_path) {
    Acted stage;
    stage.back(stands(0, 8));
    const std::size_t guard = stage.blocks(Slot::RG, stands(2, 2.4));
    const std::size_t center = stage.blocks(Slot::C, center_path);
    const std::size_t tackle = stage.rushes(along(
        {{0, {2.2, -1}}, {0.5, {2.1, 1.3}}, {1.2, {2, 1.4}}, {1.5, {0.8, 2.6}}, {1.8, {0.6, 3.6}}, {3.2, {0.5, 3.8}}}));
    stage.act(3.2, 20, 3);
    const Match match = match_of(stage);
    const Rep *first = rep_of(match, tackle, guard), *second = rep_of(match, tackle, center);
    REQUIRE(second);
    CHECK(men_of(stage, match, tackle) == (first ? std::vector{code(guard), code(center)} : std::vector{code(center)}));
    if (first) {
      REQUIRE(first->duel.beat);
      CHECK(first->duel.beat->side == BeatSide::inside);
      CHECK(first->duel.seconds_met > 0.5);
      CHECK(second->duel.seconds_met > first->duel.seconds_met);
      CHECK(stage.play.time[*second->duel.contact] < stage.play.time[first->duel.beat->frame] + 0.75);
    }
    return match.reps.size();
  };
  CHECK(reps(stands(0.4, 4.6)) == 1);
  CHECK(reps(along({{0, {-2, 3}}, {1.5, {-1.6, 4.4}}, {1.9, {0.4, 4.6}}})) == 2);
}

TEST_CASE("a rusher without a spell is his who had nobody and came nearest, while between him and the passer") {
  // Past the tackle in no time: 9 yd/s, within 1.3 yd of him.
  const Path runs_by = along({{0.4, {8, -1}}, {1.6, {2.4, 6.9}}});
  const auto has = [&](std::vector<std::pair<Slot, Point>> men, const Path& path) {
    Acted stage;
    stage.back(stands(0, 7));
    for (const auto& [slot, at] : men) stage.blocks(slot, stands(at.x(), at.y()));
    const std::size_t blitzer = stage.rushes(path);
    stage.act(2.5, 20, 2);
    const Match match = match_of(stage);
    REQUIRE(spells(stage.play, match_frames(stage.play, stage.motion, rules.meet, match.span.frames)).empty());
    const std::vector<std::int32_t> men_had = men_of(stage, match, blitzer);
    REQUIRE(men_had.size() == 1);
    CHECK(match.reps.size() == (men_had[0] == nobody ? 0 : 1));
    if (men_had[0] != nobody) {
      CHECK(match.reps[0].spell.first == 0);
      CHECK(stage.play.time[match.reps[0].spell.last] == Approx(2));
    }
    return men_had[0];
  };
  // Seen from the line he runs on, 1.3 yd and 1.45 yd to its side.
  const Point along_it = Point(-5.6, 7.9).normalized(), beside(-along_it.y(), along_it.x());
  const auto off = [&](double share, double yards) {
    return Point(Point(8, -1) + share * Point(-5.6, 7.9) + yards * beside);
  };
  CHECK(has({{Slot::RT, off(0.4, 1.3)}}, runs_by) == 1);
  CHECK(has({{Slot::RT, off(0.4, 1.53)}}, runs_by) == nobody);  // beyond engage
  CHECK(has({{Slot::RT, off(0.4, 1.4)}, {Slot::none, off(0.5, 1.3)}}, runs_by) == 2);
  CHECK(has({{Slot::RT, off(0.4, 1.3)}, {Slot::none, off(0.5, 1.4)}}, runs_by) == 1);
  CHECK(has({{Slot::RT, off(0.4, 1.3)}, {Slot::none, off(0.4, 1.3)}}, runs_by) == 1);  // as near: the lower id
}

TEST_CASE("of rushers without a spell the lower id is served first, and a man with a spell is not to be had") {
  Acted stage;
  stage.back(stands(0, 7));
  const std::size_t tackle = stage.blocks(Slot::RT, stands(5, 2.2)), guard = stage.blocks(Slot::RG, stands(1.5, 2.5));
  // Two run by the tackle, one behind the other, the second nearer to him; and a third by the guard, who has his man.
  const std::size_t first = stage.rushes(along({{0.3, {8.8, -1}}, {1.4, {3.4, 6.6}}}));
  const std::size_t second = stage.rushes(along({{0.6, {8.6, -1}}, {1.7, {3.2, 6.6}}}));
  stage.rushes(along({{0, {1.5, -1}}, {0.6, {1.5, 1.5}}}));
  stage.act(2.5, 20, 2.2);
  const std::vector<Spell> all = spells(stage.play, match_frames(stage.play, stage.motion, rules.meet, 45));
  REQUIRE(all.size() == 1);
  REQUIRE(all[0].protector == guard);
  const Match match = match_of(stage);
  CHECK(men_of(stage, match, first) == std::vector{code(tackle)});
  CHECK(men_of(stage, match, second) == std::vector{nobody});
  // Judged like any other: beaten, though never met, on the side he went by.
  const Rep* rep = rep_of(match, first, tackle);
  REQUIRE(rep);
  CHECK_FALSE(rep->duel.contact);
  REQUIRE(rep->duel.beat);
  CHECK(rep->duel.beat->side == BeatSide::outside);
}

TEST_CASE("who counts from later is taken up from then on; who comes after the end of reps has nobody") {
  Acted stage;
  stage.back(stands(0, 7));
  const std::size_t tackle = stage.blocks(Slot::RT, stands(5, 2.2));
  const std::size_t blitzer = stage.rushes(along({{0.6, {8.6, -1}}, {1.7, {3.2, 6.6}}}));
  stage.act(2.5, 20, 2.2);
  stage.play.men[blitzer].counts_from = 9;
  const Match match = match_of(stage);
  REQUIRE(match.reps.size() == 1);
  CHECK(match.reps[0].spell.first == 9);
  CHECK(men_of(stage, match, blitzer) == std::vector{code(tackle)});  // in every frame
  stage.play.men[blitzer].counts_from = 45;
  CHECK(match_of(stage).reps.empty());
  CHECK(men_of(stage, match_of(stage), blitzer) == std::vector{nobody});
  // Unseen till later: from when he is seen.
  stage.play.men[blitzer].counts_from = 0;
  stage.paths[blitzer] = from(0.7, stage.paths[blitzer]);
  stage.act(2.5, 20, 2.2);
  CHECK(match_of(stage).reps.at(0).spell.first == 14);
}

TEST_CASE("who stands in his way must meet him within three quarters of a second of the beat") {
  // The rusher has got by the guard and takes longer and longer to come to the centre, who waits on his line.
  double beaten = 0;
  int passed_on = 0, late = 0;
  for (const double takes : {1.3, 1.2, 1.1, 1.0, 0.9, 0.8, 0.7, 0.6, 0.5}) {
    CAPTURE(takes);
    Acted stage;
    stage.back(stands(0, 8));
    const std::size_t guard = stage.blocks(Slot::RG, stands(2, 2.4));
    const std::size_t center = stage.blocks(Slot::C, stands(0.4, 4.6));
    const std::size_t tackle = stage.rushes(along({{0, {2.2, -1}},
                                                   {0.5, {2.1, 1.3}},
                                                   {1.2, {2, 1.4}},
                                                   {1.5, {0.8, 2.6}},
                                                   {1.5 + takes, {0.6, 3.6}},
                                                   {4.5, {0.5, 3.8}}}));
    stage.act(4.5, 20, 4.4);
    const Match match = match_of(stage);
    const Rep *first = rep_of(match, tackle, guard), *second = rep_of(match, tackle, center);
    REQUIRE(second);
    REQUIRE(second->duel.contact);
    if (first && first->duel.beat)
      beaten = stage.play.time[first->duel.beat->frame];  // the same however long he takes then
    REQUIRE(beaten > 0);
    const double after = stage.play.time[*second->duel.contact] - beaten;
    CHECK((first == nullptr) == (after < 0.75 + 1e-9));
    passed_on += after > 0.5 && after < 0.75;
    late += after > 0.75 + 1e-9 && after < 1;
  }
  CHECK(passed_on > 1);
  CHECK(late > 1);
}

TEST_CASE("a spell in which he never was before the rusher is no rep, and takes none up") {
  // The tackle trails him by two yards all the way, nearer to nobody.
  Acted stage;
  stage.back(stands(0, 7));
  stage.blocks(Slot::RT, along({{0, {5.6, -1.6}}, {2, {1.4, 4.4}}}));
  const std::size_t end = stage.rushes(along({{0, {4.6, -0.4}}, {2, {0.4, 5.6}}}));
  stage.act(2.2, 20, 2.1);
  REQUIRE(spells(stage.play, match_frames(stage.play, stage.motion, rules.meet, 43)).size() == 1);
  CHECK(match_of(stage).reps.empty());
  CHECK(men_of(stage, match_of(stage), end) == std::vector{nobody});
}

TEST_CASE("a beat's side is the one on which he got past, though his line came clear on the other") {
  // Abreast of the tackle, inside of him, his line still grazes the man's disc; a fifth of a second later he is behind
  // and outside. At 5 frames a second.
  const Point passer(0, 7), man(3, 4);
  const auto from_passer = [&](double degrees_from_him, double range) {
    const double angle = -pi / 4 - radians(degrees_from_him);
    return Point(passer + range * Point(std::cos(angle), std::sin(angle)));
  };
  const Point abreast = from_passer(7, 4.24), behind = from_passer(-10, 3.4);
  Acted stage;
  stage.back(stands(0, 7));
  const std::size_t tackle = stage.blocks(Slot::RT, stands(3, 4));
  const auto runs = [&](const Point& then) {
    return along({{0, {3, 1.5}}, {0.6, {2.6, 2.9}}, {0.8, then}, {1, behind}, {1.6, {1.5, 6.2}}});
  };
  const std::size_t end = stage.rushes(runs(abreast));
  stage.act(1.6, 5, 1.6);
  REQUIRE(cross(passer - behind, man - behind) > 0);  // the man is inside of his line by then
  REQUIRE_FALSE(on_the_line(behind, man, passer, rules.reach));
  REQUIRE(on_the_line(abreast, man, passer, rules.reach));
  REQUIRE((abreast - passer).norm() < (man - passer).norm());
  Match match = match_of(stage);
  REQUIRE(match.reps.size() == 1);
  REQUIRE(match.reps[0].duel.beat);
  CHECK(match.reps[0].duel.beat->frame == 5);
  CHECK(match.reps[0].duel.beat->side == BeatSide::inside);
  // A yard farther from the passer he is not past yet, and it is the outside he gets past on.
  stage.paths[end] = runs(from_passer(7, 5));
  stage.act(1.6, 5, 1.6);
  match = match_of(stage);
  REQUIRE(match.reps.size() == 1);
  CHECK(match.reps[0].duel.beat->frame == 5);
  CHECK(match.reps[0].duel.beat->side == BeatSide::outside);
  CHECK(match.man[0] == std::vector(9, code(tackle)));
}

TEST_CASE("a man without a side is beaten left or right of his own line to the passer") {
  // A back inside the guards, run by on either hand; and a centre.
  for (const Slot slot : {Slot::none, Slot::C}) {
    for (const double way : {-1.0, 1.0}) {
      Acted stage;
      stage.back(stands(0, 7));
      stage.blocks(Slot::LG, stands(-2.5, 1));
      stage.blocks(Slot::RG, stands(2.5, 1));
      const std::size_t man = stage.blocks(slot, stands(0.3, 3));
      const std::size_t rusher = stage.rushes(along(
          {{0, {0.3, -1}}, {0.7, {0.3, 1.9}}, {1, {0.3, 1.9}}, {1.3, {0.3 + 1.2 * way, 2.9}}, {2.2, {0.3, 6.2}}}));
      stage.act(2.2, 20, 2.2);
      const Match match = match_of(stage);
      const Rep* rep = rep_of(match, rusher, man);
      REQUIRE(rep);
      REQUIRE(rep->duel.beat);
      CHECK(rep->duel.beat->side == (way > 0 ? BeatSide::right : BeatSide::left));
    }
  }
}

TEST_CASE("how a rusher stands to the man who has him: engaged at meet, helpers within engage, whoever is nearest") {
  scenes::FrameScene scene({0, 5});
  scene.protector(Slot::RT, {0, 0})
      .protector(Slot::RG, {1.5, 1.25})
      .mate({-1.5, 1.25})
      .mate({0, 2.76})
      .rusher({0, 1.25});
  Play play;
  Motion motion{5, {}, {}};
  for (const Standing& mate : scene.offense) {
    play.men.push_back({static_cast<std::int32_t>(mate.man), Unit::offense, Position::other});
    play.men.back().slot = mate.slot;
    play.men.back().line_side = mate.slot == Slot::none ? 0 : 1;
    motion.place.push_back(mate.at);
  }
  play.men.push_back({4, Unit::defense, Position::other});
  motion.place.push_back({0, 1.25});
  play.rushers = {4};
  play.time = {0};
  const auto seen = [&](std::int32_t man, const Rules& of) {
    Match match;
    match.man = {{man}};
    return Followed(play, motion, match).see(0, scene, scene.rushers[0], of);
  };
  Rules wide = rules;
  wide.meet = 1.25;
  const Blocking found = seen(0, wide);
  CHECK_FALSE(found.free);
  REQUIRE(found.blocker);
  CHECK(found.blocker->man == 0);
  CHECK(found.blocker->slot == Slot::RT);
  CHECK(found.range == 1.25);
  CHECK(found.engaged);
  CHECK(found.helpers == 2);  // 1.5 away on either side; the back at 1.51 is not
  CHECK(found.placed.past);
  CHECK(found.placed.side == 1);
  wide.meet = 1.2499;
  CHECK_FALSE(seen(0, wide).engaged);
  // Another has him: the first is a helper then.
  CHECK(seen(1, rules).blocker->man == 1);
  CHECK(seen(1, rules).helpers == 2);
  wide.engage = 1.4999;
  CHECK(seen(1, wide).helpers == 1);
  // Nobody: he is free, past, of the side of the passer he is on; 0 is right.
  const Blocking free = seen(nobody, rules);
  CHECK(free.free);
  CHECK_FALSE(free.blocker);
  CHECK(std::isnan(free.range));
  CHECK_FALSE(free.engaged);
  CHECK(free.helpers == 3);
  CHECK(free.placed.past);
  CHECK(free.placed.side == 1);
  CHECK_FALSE(free.between);
  scene.rushers[0].at = {-1e-9, 1.25};
  CHECK(seen(nobody, rules).placed.side == -1);
  // The man who has him is away in this frame: not free, and nothing known of the two.
  scene.rushers[0].at = {0, 1.25};
  motion.place[0] = absent();
  const Blocking away = seen(0, rules);
  CHECK_FALSE(away.free);
  CHECK_FALSE(away.blocker);
  CHECK(std::isnan(away.range));
  CHECK_FALSE(away.engaged);
  CHECK(away.helpers == 2);
  CHECK(away.placed.side == 0);
  CHECK_FALSE(away.placed.past);
}

TEST_CASE("who stands between is asked only of one who is past his man, or free") {
  Acted stage;
  stage.back(stands(0, 7));
  const std::size_t tackle = stage.blocks(Slot::RT, stands(3, 4)), guard = stage.blocks(Slot::RG, stands(1.6, 5.4));
  const std::size_t rusher = stage.rushes(along({{0, {4.2, 2.8}}, {0.1, {2.6, 4.6}}}));
  stage.act(0.1, 10);
  Match match;
  const auto between = [&](std::int32_t man, std::size_t frame) {
    match.man = {{man, man}};
    Followed followed(stage.play, stage.motion, match);
    Scene scene;
    look(stage.play, stage.motion, frame, scene);
    const auto found = followed.see(frame, scene, scene.rushers[0], rules).between;
    return found ? code(found->man) : nobody;
  };
  CHECK(between(code(tackle), 0) == nobody);
  CHECK(between(code(tackle), 1) == code(guard));
  CHECK(between(code(guard), 1) == nobody);
  CHECK(between(nobody, 0) == code(tackle));
  CHECK(between(nobody, 1) == code(guard));
  CHECK(stage.play.rushers == std::vector{rusher});
}

TEST_CASE("reps, who has whom and the sides of beats, written down once more") {
  Random random(75);
  int reps = 0, helps = 0, passed_on = 0, taken_up = 0, beats = 0, exchanges = 0, free = 0, never_between = 0,
      decided = 0, brushed = 0;
  std::array<int, 4> sides{};
  for (int i = 0, n = scenes::cases(3000, 20000); i < n; ++i) {
    CAPTURE(i);
    Acted stage;
    stage.back(stands(random.number(-0.5, 0.5), 7));
    const Slot slots[] = {Slot::LT, Slot::LG, Slot::C, Slot::RG, Slot::RT};
    const int protectors = random.whole(2, 5);
    for (int k = 0; k < protectors; ++k) {
      const double u = 1.5 * (k - 2) + random.number(-0.5, 0.5);
      stage.blocks(random.whole(0, 5) ? slots[k] : Slot::none,
                   along({{0, {u, 0.8}},
                          {0.9, {u * random.number(0.8, 1.4), random.number(2, 4)}},
                          {2.4, {u * random.number(0.4, 1.2), random.number(3, 5)}}}));
    }
    for (int k = 0; k < 3; ++k) {
      std::vector<std::pair<double, Point>> knots;
      Point at(random.number(-6, 6), random.number(-3, -1));
      for (double time = 0; time < 2.8; time += 0.4) {
        knots.emplace_back(time, at);
        const Point to_passer = Point(0, 7) - at;
        at += random.number(0.1, 0.5) * to_passer + Point(random.number(-1.6, 1.6), random.number(-0.8, 0.8));
      }
      Path path = along(knots);
      if (random.whole(0, 9) == 0) path = from(random.number(0, 1.5), path);
      const std::size_t rusher = stage.rushes(std::move(path));
      if (random.whole(0, 9) == 0) stage.play.men[rusher].counts_from = static_cast<std::size_t>(random.whole(0, 12));
    }
    stage.act(2.6, 10, random.whole(0, 1) ? random.number(1.5, 2.5) : scenes::nan);
    const Match match = match_of(stage);
    Once once(stage, match);
    if (once.hair) continue;
    ++decided;
    // By rusher, then by their start.
    const auto order = [](const Spell& a, const Spell& b) {
      return std::pair(a.rusher, a.first) < std::pair(b.rusher, b.first);
    };
    CHECK(std::is_sorted(match.reps.begin(), match.reps.end(),
                         [&](const Rep& a, const Rep& b) { return order(a.spell, b.spell); }));
    std::stable_sort(once.reps.begin(), once.reps.end(),
                     [&](const auto& a, const auto& b) { return order(a.spell, b.spell); });
    REQUIRE(match.reps.size() == once.reps.size());
    for (std::size_t k = 0; k < match.reps.size(); ++k) {
      const Spell &spell = match.reps[k].spell, &wanted = once.reps[k].spell;
      CHECK(spell.rusher == wanted.rusher);
      CHECK(spell.protector == wanted.protector);
      CHECK(spell.first == wanted.first);
      CHECK(spell.last == wanted.last);
      REQUIRE(match.reps[k].duel.beat.has_value() == once.reps[k].duel.beat.has_value());
      if (!match.reps[k].duel.beat) continue;
      const BeatSide side = match.reps[k].duel.beat->side;
      CHECK(side == once.side(once.reps[k], match));
      ++beats;
      ++sides.at(static_cast<std::size_t>(side));
    }
    for (std::size_t r = 0; r < stage.play.rushers.size(); ++r) {
      REQUIRE(match.man[r].size() == stage.play.frames());
      for (std::size_t frame = 0; frame < stage.play.frames(); ++frame) {
        CHECK(match.man[r][frame] == once.has(stage.play.rushers[r], frame));
        exchanges += frame > 0 && match.man[r][frame] != match.man[r][frame - 1];
      }
      free += match.man[r][0] == nobody;
    }
    reps += static_cast<int>(match.reps.size());
    helps += once.helps;
    brushed += once.brushed;
    passed_on += once.passed_on;
    taken_up += once.taken_up;
    never_between += once.never_between;
  }
  CHECK(decided > scenes::cases(3000, 20000) * 9 / 10);
  CHECK(reps > decided);
  CHECK(beats > decided / 3);
  CHECK(exchanges > decided / 20);
  CHECK(free > decided / 20);
  CHECK(helps > 10);
  CHECK(brushed > 3);
  CHECK(passed_on > 3);
  CHECK(taken_up > 10);
  CHECK(never_between > 10);
  for (const int of : sides) CHECK(of > 10);
}
