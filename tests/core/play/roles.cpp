#include "play/roles.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "acted.hpp"
#include "play/span.hpp"

using namespace shortedge;
using namespace shortedge::scenes;
using doctest::Approx;

namespace {

struct Judged {
  Game game;
  ReadyPlay play;
  const Man& operator[](std::string_view name) const { return man_called(game, play.play, name); }
};

Judged find(const Script& script) {
  Game game = Input(script).game();
  ReadyPlay play = ready(game);
  return {std::move(game), std::move(play)};
}

/// What one more man is found to be beside five linemen and a passer.
Role role_of(Actor actor, double throw_time = scenes::nan) {
  Script script = five_and_passer();
  script.throw_time = throw_time;
  actor.name = "he";
  script.men.push_back(std::move(actor));
  return find(script)["he"].role;
}

Actor back(Path path) { return offense("RB", std::move(path)); }

/// Five linemen who stand and a passer 5 yd deep, and others, at ten frames a second: roles found on motions that may
/// have any holes.
struct Cast {
  Play play;
  Motion motion;
  std::vector<Path> paths;

  explicit Cast(Path passer = stands(0, 5)) {
    add(Unit::offense, std::move(passer), Position::QB);
    const std::pair<Position, double> line[] = {
        {Position::LT, -3.2}, {Position::LG, -1.6}, {Position::C, 0.0}, {Position::RG, 1.6}, {Position::RT, 3.2}};
    for (const auto& [position, u] : line) add(Unit::offense, stands(u, 0.6), position);
  }
  std::size_t add(Unit unit, Path path, Position position = Position::other, Role given = Role::unset) {
    Man man{static_cast<std::int32_t>(play.men.size()), unit, position};
    man.given = given;
    play.men.push_back(man);
    paths.push_back(std::move(path));
    return play.men.size() - 1;
  }
  std::size_t rusher(Path path, Role given = Role::unset) {
    return add(Unit::defense, std::move(path), Position::other, given);
  }

  void find(double end = 4, double throw_time = scenes::nan) {
    constexpr double half = 1e-4;
    Play fresh;
    fresh.men = play.men;
    for (Man& man : fresh.men)
      man = [&] {
        Man plain{man.player, man.unit, man.position};
        plain.given = man.given;
        return plain;
      }();
    fresh.end_time = end;
    fresh.throw_time = throw_time;
    motion = {fresh.men.size(), {}, {}};
    for (long frame = 0; frame <= std::lround(end * 10); ++frame) {
      const double time = static_cast<double>(frame) / 10;
      fresh.time.push_back(time);
      for (const Path& path : paths) {
        motion.place.push_back(path(time));
        motion.velocity.push_back((path(time + half) - path(time - half)) / (2 * half));
      }
    }
    play = std::move(fresh);
    find_roles(play, motion);
    find_comings(play, motion);
  }
  const Man& operator[](std::size_t man) const { return play.men[man]; }
};

/// A defender by himself.
Man alone(Path path, double throw_time = scenes::nan, double end = 4) {
  Cast cast;
  const std::size_t he = cast.rusher(std::move(path));
  cast.find(end, throw_time);
  const bool listed = std::count(cast.play.rushers.begin(), cast.play.rushers.end(), he) == 1;
  CHECK(listed == (cast[he].role == Role::rusher));
  return cast[he];
}
constexpr std::size_t always = std::numeric_limits<std::size_t>::max();

/// The same path with nobody there between the two times.
Path unseen(double begin, double end, Path path) {
  return [=, path = std::move(path)](double time) {
    return time > begin - 1e-9 && time < end + 1e-9 ? absent() : path(time);
  };
}

/// Section 2.3 of a defender once more: from his places by frame, as far as they are known.
struct Told {
  bool rusher = false, late = false;
  std::size_t from = 0, to = always;
};
Told told(const Cast& cast, std::size_t man, double reps_end) {
  const Play& play = cast.play;
  const double throw_time = std::isnan(play.throw_time) ? play.end_time : play.throw_time;
  const double roles_end = std::min(throw_time, 2.5) + 1e-6;
  struct Sample {
    std::size_t frame;
    double time;
    Point at, passer;
  };
  std::vector<Sample> all, early, in_reps;
  for (std::size_t frame = 0; frame < play.frames(); ++frame) {
    const Sample sample{frame, play.time[frame], cast.motion.at(frame, man), cast.motion.at(frame, play.passer)};
    if (std::isnan(sample.at.x())) continue;
    all.push_back(sample);
    if (sample.time <= roles_end) early.push_back(sample);
    if (sample.time <= reps_end + 1e-6) in_reps.push_back(sample);
  }
  Told found;
  const bool there = !all.empty() && all[0].frame == 0;
  bool came = false, deep = false;
  const bool front = there && all[0].at.y() >= -2 && std::abs(all[0].at.x()) <= 8;
  for (std::size_t k = 0; k < early.size(); ++k) {
    const Point& at = early[k].at;
    if (std::abs(at.x()) <= 15) {
      came = came || at.y() >= 0.5;
      deep = deep || at.y() >= 1;
    }
    const auto on_a_man = [&](std::size_t sample) {
      bool near = false;
      for (std::size_t other = 1; other <= 5; ++other) {
        near = near || (cast.motion.at(early[sample].frame, other) - early[sample].at).norm() <= 1.2;
      }
      return near;
    };
    for (std::size_t last = k;
         front && last < early.size() && early[last].frame - early[k].frame == last - k && on_a_man(last); ++last) {
      came = came || early[last].time - early[k].time >= 0.3 - 1e-6;
    }
  }
  found.rusher = came && (deep || !(early.back().at.y() < -3));
  if (found.rusher) {
    if (!(there && all[0].at.y() >= -2)) {
      found.from =
          std::find_if(all.begin(), all.end(), [](const Sample& sample) { return sample.at.y() >= -1; })->frame;
    }
  } else {
    std::size_t since = always;
    for (const Sample& sample : in_reps) {
      since = sample.at.y() < -1 ? always : std::min(since, sample.frame);
      if (sample.time > roles_end && sample.at.y() >= 0.5 && (sample.at - sample.passer).norm() <= 9 && !found.rusher) {
        found = {true, true, since, always};
      }
    }
  }
  if (!found.rusher) return found;
  std::erase_if(in_reps, [&](const Sample& sample) { return sample.frame < found.from; });
  if (in_reps.empty() || !(in_reps.back().at.y() < -3)) return found;
  double greatest = -infinity;
  for (const Sample& sample : in_reps) greatest = std::max(greatest, sample.at.y());
  for (const Sample& sample : in_reps) {
    if (sample.at.y() >= greatest - 1) found.to = sample.frame + 1;
  }
  return found;
}

/// There at `time` and not before, from and to where he stands.
Path steps_to(const Point& from, double time, const Point& to) { return along({{time - 0.05, from}, {time, to}}); }

}  // namespace

TEST_CASE("the passer is the one quarterback, or the man who is said to be") {
  Script script = five_and_passer();
  script.men.push_back(back(stands(1, 6)));
  CHECK(find(script)["QB"].role == Role::passer);
  script.men.back().role = Role::passer;
  CHECK(find(script)["RB"].role == Role::passer);
  CHECK(find(script)["QB"].role != Role::passer);
  // A defender listed as QB is none.
  Script odd = five_and_passer();
  odd.men.push_back({"spy", "QB", Unit::defense, stands(0, -6)});
  CHECK(find(odd)["QB"].role == Role::passer);
}

TEST_CASE("labelled linemen are linemen wherever they stand") {
  const Judged found = find(five_and_passer());
  CHECK(found["LT"].slot == Slot::LT);
  CHECK(found["LG"].slot == Slot::LG);
  CHECK(found["C"].slot == Slot::C);
  CHECK(found["RG"].slot == Slot::RG);
  CHECK(found["RT"].slot == Slot::RT);
  CHECK(found["QB"].slot == Slot::none);
  for (const char* name : {"LT", "LG", "C", "RG", "RT"}) CHECK(found[name].role == Role::protector);
}

TEST_CASE("without labels the five nearest the ball are named by where they stand") {
  Script script = five_and_passer();
  script.men.resize(1);
  script.men.push_back(offense("T", stands(3.2, 0.8), "a"));
  script.men.push_back(offense("OT", stands(-3.2, 0.8), "b"));
  script.men.push_back(offense("G", stands(1.6, 0.5), "c"));
  script.men.push_back(offense("OG", stands(-1.6, 0.5), "d"));
  script.men.push_back(offense("OL", stands(0.1, 0.3), "e"));
  script.men.push_back(offense("OL", stands(5, 0.8), "f"));    // a sixth man
  script.men.push_back(offense("OL", stands(0.5, 2.1), "g"));  // too deep for the line
  const Judged found = find(script);
  CHECK(found["a"].slot == Slot::RT);
  CHECK(found["b"].slot == Slot::LT);
  CHECK(found["c"].slot == Slot::RG);
  CHECK(found["d"].slot == Slot::LG);
  CHECK(found["e"].slot == Slot::C);
  CHECK(found["f"].slot == Slot::none);
  CHECK(found["g"].slot == Slot::none);
  CHECK(found["f"].role == Role::protector);  // he stays in all the same
}

TEST_CASE("without labels the listed centre is the centre, though another stands nearer the ball") {
  Script script = five_and_passer();
  script.men.resize(1);
  script.men.push_back(offense("OL", stands(-2.6, 0.8), "lt"));
  script.men.push_back(offense("OL", stands(-1.0, 0.5), "lg"));
  script.men.push_back(offense("C", stands(0.6, 0.3), "c"));
  script.men.push_back(offense("OL", stands(-0.4, 1.8), "odd"));
  script.men.push_back(offense("OL", stands(2.2, 0.5), "rg"));
  const Judged found = find(script);
  CHECK(found["c"].slot == Slot::C);
  CHECK(found["odd"].slot == Slot::LG);
  CHECK(found["lg"].slot == Slot::LT);
  CHECK(found["rg"].slot == Slot::RG);
  CHECK(found["lt"].slot == Slot::none);  // a fifth man beyond the tackle
}

TEST_CASE("with labels a generic lineman is none") {
  Script script = five_and_passer();
  script.men.push_back(offense("OL", stands(4.8, 0.8), "extra"));
  CHECK(find(script)["extra"].slot == Slot::none);
}

TEST_CASE("who stays in protects") {
  CHECK(role_of(back(stands(1, 6))) == Role::protector);
  CHECK(role_of(back(stands(7, 0))) == Role::protector);  // 7 yd across is within
  CHECK(role_of(back(stands(7.01, 0))) == Role::other);
  CHECK(role_of(offense("TE", stands(4.8, -1))) == Role::protector);  // a yard beyond the line is within
  CHECK(role_of(offense("TE", stands(4.8, -1.01))) == Role::other);
  CHECK(role_of(offense("WR", stands(5, 1))) == Role::protector);
  // A back who leaves: by 2.5 s or the throw he counts as a receiver, later he has stayed in.
  CHECK(role_of(back(steps_to({2, 5}, 2.5, {8, 5}))) == Role::other);
  CHECK(role_of(back(steps_to({2, 5}, 2.6, {8, 5}))) == Role::protector);
  CHECK(role_of(back(steps_to({2, 5}, 1.6, {8, 5})), 1.5) == Role::protector);
  CHECK(role_of(back(steps_to({2, 5}, 1.5, {8, 5})), 1.5) == Role::other);
}

TEST_CASE("what people says of a role holds") {
  Actor receiver = offense("WR", stands(5, 1));
  receiver.role = Role::other;
  CHECK(role_of(receiver) == Role::other);
  Actor chip = back(steps_to({2, 5}, 0.8, {9, -4}));
  chip.role = Role::protector;
  CHECK(role_of(chip) == Role::protector);
  Actor spy = defense("he", stands(0, -5));
  spy.role = Role::rusher;
  CHECK(role_of(spy) == Role::rusher);
  Actor dropper = defense("he", stands(2, 1));
  dropper.role = Role::other;
  CHECK(role_of(dropper) == Role::other);
}

TEST_CASE("who gets behind the line in time rushes") {
  CHECK(role_of(defense("he", steps_to({5, -5}, 1.5, {5, 0.5}))) == Role::rusher);
  CHECK(role_of(defense("he", steps_to({5, -5}, 1.5, {5, 0.49}))) == Role::other);
  CHECK(role_of(defense("he", steps_to({14, -5}, 1.5, {15, 1}))) == Role::rusher);
  CHECK(role_of(defense("he", steps_to({14, -5}, 1.5, {15.01, 1}))) == Role::other);
  CHECK(role_of(defense("he", steps_to({5, -5}, 2.5, {5, 1}))) == Role::rusher);
  CHECK_FALSE(alone(steps_to({5, -5}, 2.5, {5, 1})).late);
  CHECK(alone(steps_to({5, -5}, 2.6, {5, 1})).late);
  CHECK(role_of(defense("he", steps_to({5, -5}, 1.5, {5, 1})), 1.4) == Role::other);
  CHECK(role_of(defense("he", steps_to({5, -5}, 1.4, {5, 1})), 1.4) == Role::rusher);
}

TEST_CASE("a man of the front who is held up on the line rushes too") {
  CHECK(role_of(defense("he", stands(1.6, -0.69))) == Role::rusher);
  CHECK(role_of(defense("he", stands(1.6, -0.71))) == Role::other);  // more than 1.2 yd off the guard
  // 0.3 s on end is enough, 0.2 s is not; two spells of 0.2 s do not add up.
  const auto touches = [&](double until) {
    return along(
        {{0, {1.6, -1.9}}, {0.45, {1.6, -1.9}}, {0.5, {1.6, -0.5}}, {until, {1.6, -0.5}}, {until + 0.05, {1.6, -1.9}}});
  };
  CHECK(role_of(defense("he", touches(0.8))) == Role::rusher);
  CHECK(role_of(defense("he", touches(0.7))) == Role::other);
  CHECK(role_of(defense("he", along({{0.45, {1.6, -1.9}},
                                     {0.5, {1.6, -0.5}},
                                     {0.7, {1.6, -0.5}},
                                     {0.75, {1.6, -1.9}},
                                     {0.85, {1.6, -1.9}},
                                     {0.9, {1.6, -0.5}},
                                     {1.1, {1.6, -0.5}},
                                     {1.15, {1.6, -1.9}}}))) == Role::other);
  // One protector or another: passed from guard to tackle.
  CHECK(role_of(defense("he", along({{0, {1.6, -0.6}}, {0.15, {1.6, -0.6}}, {0.25, {3.2, -0.3}}}))) == Role::rusher);
  // From off the line, or from wide, it does not count.
  CHECK(role_of(defense("he", steps_to({1.6, -2.1}, 0.5, {1.6, -0.6}))) == Role::other);
  CHECK(role_of(defense("he", steps_to({1.6, -2.0}, 0.5, {1.6, -0.6}))) == Role::rusher);
  CHECK(role_of(defense("he", steps_to({8.1, -1}, 0.5, {3.2, -0.2}))) == Role::other);
}

TEST_CASE("a rusher takes part from the snap, or from a yard off the line") {
  Script script = five_and_passer();
  script.men.push_back(defense("end", along({{0, {5, -2}}, {2, {5, 4}}})));
  script.men.push_back(defense("blitzer", along({{0, {2, -6}}, {2, {2, 4}}})));  // 5 yd/s: at -1 after 1 s
  const Judged found = find(script);
  CHECK(found["end"].counts_from == 0);
  CHECK(found["blitzer"].counts_from == 10);
  CHECK(found["blitzer"].role == Role::rusher);
}

TEST_CASE("who shows and drops is no rusher") {
  // On the guard at the snap, and off him after half a second to where he covers.
  const auto shows = [](double deepest, double ends) {
    return along({{0, {1.6, -0.5}}, {0.5, {1.6, deepest}}, {0.9, {1.6, deepest}}, {2.2, {1.6, ends}}});
  };
  CHECK(alone(shows(-0.5, -3.1)).role == Role::other);
  CHECK(alone(shows(-0.5, -3)).role == Role::rusher);  // three yards off is not more than three
  CHECK(alone(shows(0.9, -6)).role == Role::other);    // half a yard behind the line is not yet a rush
  CHECK(alone(shows(1, -6)).role == Role::rusher);     // a yard is
  // A yard behind it, but more than 15 yd across; from there he comes half a yard behind it inside.
  CHECK(
      alone(along({{0, {15.1, -1}}, {0.4, {15.1, 1.5}}, {0.6, {15.1, 0.8}}, {0.8, {14, 0.6}}, {2.2, {14, -6}}})).role ==
      Role::other);
  CHECK(alone(along({{0, {15, -1}}, {0.4, {15, 1.5}}, {0.6, {15, 0.8}}, {0.8, {14, 0.6}}, {2.2, {14, -6}}})).role ==
        Role::rusher);
  // His last frame of that time tells: what he does after it does not, and the throw may end it.
  const Path goes = along({{0, {1.6, -0.5}}, {2, {1.6, -0.5}}, {2.4, {1.6, -3.2}}, {4, {1.6, -9}}});
  CHECK(alone(goes).role == Role::other);
  CHECK(alone(goes, 2.3).role == Role::rusher);
  CHECK(alone(along({{0, {1.6, -0.5}}, {2.6, {1.6, -0.5}}, {3, {1.6, -9}}})).role == Role::rusher);
  CHECK(alone(unseen(2.3, 3.9, goes)).role == Role::rusher);  // last seen at 2.2 s
}

TEST_CASE("a late rusher takes part from the first frame of the stretch that leads to the passer") {
  // A spy: at the line after 2 s, to the passer after 3.
  const Path spies = along({{0, {4, -5}}, {2, {4, -0.5}}, {2.6, {4, -0.5}}, {3.2, {2, 3}}});
  const Man spy = alone(spies);
  CHECK(spy.role == Role::rusher);
  CHECK(spy.late);
  CHECK(spy.counts_from == 18);  // -1 after 1.78 s
  CHECK(spy.counts_to == always);
  // Back off the line in between: the stretch begins anew.
  const Man twice = alone(along({{0, {4, -5}}, {1, {4, 0.4}}, {2, {4, -1.1}}, {2.5, {4, -0.6}}, {3.2, {2, 3}}}));
  CHECK(twice.late);
  CHECK(twice.counts_from == 21);  // a tenth of a yard on in 0.1 s
  CHECK(alone(along({{0, {4, -5}}, {1, {4, 0.4}}, {2, {4, -1}}, {2.5, {4, -0.6}}, {3.2, {2, 3}}})).counts_from ==
        8);  // never off it
  // Missing frames do not break a stretch, whatever comes of them.
  CHECK(alone(unseen(2.2, 2.9, spies)).counts_from == 18);
  CHECK(alone(unseen(1.7, 2.4, spies)).counts_from == 25);
  // Wherever he stood at the snap; on the line, from then on.
  CHECK(alone(along({{0, {9, -0.5}}, {2.6, {9, 0.3}}, {3.2, {4, 3}}})).counts_from == 0);
  CHECK(alone(along({{0, {20, -12}}, {2.6, {9, -3}}, {3.2, {4, 3}}})).late);
  // Who rushed in time is not late.
  CHECK_FALSE(alone(along({{0, {4, -5}}, {2.5, {4, 0.5}}, {3.2, {2, 3}}})).late);
}

TEST_CASE("late is half a yard behind the line within nine of the passer, by the end of reps") {
  const auto waits = [](double u, double v) {
    return along({{0, {u, -5}}, {2.5, {u, -5}}, {2.9, {u, v}}, {3, {u, v}}, {3.3, {u, -5}}});
  };
  CHECK(alone(waits(4, 0.5)).late);
  CHECK(alone(waits(4, 0.49)).role == Role::other);
  CHECK(alone(waits(9, 5)).late);
  CHECK(alone(waits(9.01, 5)).role == Role::other);
  CHECK(alone(waits(-9.01, 5)).role == Role::other);
  // Both in one frame: near and beyond the line, then behind it and far, is neither.
  CHECK(alone(along({{0, {4, -5}}, {2.6, {4, 0.2}}, {3, {9.5, 0.2}}, {3.3, {9.5, 3}}})).role == Role::other);
  // No bound across: where the passer has gone.
  Cast moved(stands(12, 5));
  const std::size_t far = moved.rusher(along({{0, {18, -5}}, {2.6, {18, -5}}, {3.2, {18, 2}}}));
  moved.find();
  CHECK(moved[far].late);
  // After the time in which roles are read, not in it: the throw may end that, and reps with it.
  CHECK(alone(waits(4, 0.5), 2.95).late);
  CHECK(alone(waits(4, 0.5), 2.8).role == Role::other);
  CHECK(alone(along({{0, {4, -5}}, {1, {4, -5}}, {1.5, {4, 2}}}), 1.2).role ==
        Role::other);  // a throw before: nobody is late
  // Without a throw reps end with any defender at the passer, rusher or not.
  for (const double sack : {2.7, 3.1}) {
    Cast cast;
    const std::size_t first =
        cast.rusher(along({{0, {-4, -5}}, {sack - 0.5, {-4, 0.4}}, {sack, {-0.9, 5}}}), Role::other);
    const std::size_t he = cast.rusher(waits(4, 0.5));
    cast.find();
    CHECK(cast[first].role == Role::other);
    CHECK(rep_span(cast.play, cast.motion).end == Approx(sack));
    CHECK(cast[he].late == (sack > 2.9));
  }
  // Where the passer is not seen nobody is near him.
  Cast blind(unseen(2.85, 3.05, stands(0, 5)));
  const std::size_t he = blind.rusher(waits(4, 0.5));
  blind.find();
  CHECK(blind[he].role == Role::other);
}

TEST_CASE("a rusher who drops takes no part after his last frame within a yard of his greatest depth") {
  // 2 yd behind the line at 1 s, there for half a second, and out again at 4 yd/s.
  const auto drops = [](double ends) {
    return along({{0, {4, -1}}, {1, {4, 2}}, {1.5, {4, 2}}, {3, {4, 2 - (2 - ends)}}});
  };
  const Man out = alone(drops(-4));
  CHECK(out.role == Role::rusher);
  CHECK_FALSE(out.late);
  CHECK(out.counts_from == 0);
  CHECK(out.counts_to == 18);  // at 1.75 s he is a yard off his greatest: 1.7 s is the last frame
  CHECK(out.takes_part(17));
  CHECK_FALSE(out.takes_part(18));
  CHECK(alone(drops(-3)).counts_to == always);  // three yards off is not more than three
  CHECK(alone(drops(-3.01)).counts_to == 18);
  // Exactly a yard is within: 2, then 1, then below.
  CHECK(alone(along({{0, {4, -1}}, {1, {4, 2}}, {1.1, {4, 1}}, {1.2, {4, 0.9}}, {3, {4, -4}}})).counts_to == 12);
  // He comes back to within a yard of it and goes again: the last time counts.
  CHECK(alone(along({{0, {4, -1}}, {1, {4, 2}}, {1.4, {4, 0}}, {1.8, {4, 1.2}}, {3, {4, -4}}})).counts_to == 19);
  // The last frame by the end of reps tells, not what follows.
  CHECK(alone(drops(-4), 2.6).counts_to == always);
  CHECK(alone(drops(-4), 2.9).counts_to == 18);
  CHECK(alone(along({{0, {4, -1}}, {1, {4, 2}}, {2, {4, -4}}, {2.8, {4, -4}}, {3.5, {4, 4}}}), 2.5).counts_to ==
        12);  // 1.4 yd at 1.1 s, then 0.8
  CHECK(alone(along({{0, {4, -1}}, {1, {4, 2}}, {2, {4, -4}}, {2.8, {4, -4}}, {3.5, {4, 4}}})).counts_to == always);
  // Last seen off the line, though unseen from then on.
  CHECK(alone(unseen(2.9, 4, drops(-4))).counts_to == 18);
  CHECK(alone(unseen(2.5, 4, drops(-4))).counts_to == always);
  CHECK(alone(unseen(1.6, 2.2, drops(-4))).counts_to == 16);
}

TEST_CASE("a late rusher may drop, and a rusher people states") {
  const Man late = alone(along({{0, {4, -6}}, {2, {4, -6}}, {2.8, {4, 2}}, {3.8, {4, -6}}}));  // 10 and 8 yd/s
  CHECK(late.late);
  CHECK(late.counts_from == 25);
  CHECK(late.counts_to == 30);
  // His greatest depth is of the time he counts: a rusher from off the line who was deeper than -1 never before.
  Cast cast;
  const Path shows = along({{0, {1.6, -0.5}}, {0.5, {1.6, -0.5}}, {2.2, {1.6, -8}}});
  const std::size_t said = cast.rusher(shows, Role::rusher), found = cast.rusher(shows);
  const std::size_t not_one = cast.rusher(along({{0, {4, -5}}, {1, {4, 2}}, {3, {0, 4.5}}}), Role::other);
  const std::size_t off = cast.rusher(stands(0, -9), Role::rusher);
  cast.find(4, 3.5);
  CHECK(cast[found].role == Role::other);
  CHECK(cast[said].role == Role::rusher);
  CHECK_FALSE(cast[said].late);
  CHECK(cast[said].counts_to == 8);          // a yard off at 0.73 s
  CHECK(cast[not_one].role == Role::other);  // nor is he late
  CHECK(cast[off].role == Role::rusher);
  CHECK(cast[off].counts_from == cast.play.frames());  // and never comes
  CHECK(cast.play.rushers == std::vector{said, off});
}

TEST_CASE("defenders' roles, comings and goings, written down once more") {
  Random random(74);
  int rushers = 0, late = 0, dropped = 0, others = 0, ended = 0;
  for (int i = 0, n = scenes::cases(1500, 20000); i < n; ++i) {
    CAPTURE(i);
    Cast cast;
    std::vector<std::size_t> men;
    for (int k = 0; k < 3; ++k) {
      std::vector<std::pair<double, Point>> knots;
      Point at(random.number(-9, 9), random.whole(0, 1) ? random.number(-2.5, -0.5) : random.number(-9, -2));
      for (int knot = 0; knot < 6; ++knot) {
        knots.emplace_back(0.8 * knot, at);
        at += Point(random.number(-4, 4), random.number(-4, 4));
        if (random.whole(0, 3) == 0) at.y() = random.number(-6, 4);
      }
      Path path = along(knots);
      if (random.whole(0, 2) == 0) {
        const double begin = random.whole(0, 35) * 0.1;
        path = unseen(begin, begin + random.whole(0, 12) * 0.1, path);
      }
      men.push_back(cast.rusher(std::move(path)));
    }
    cast.find(4, random.whole(0, 1) ? random.number(1, 4) : scenes::nan);
    double reps_end = cast.play.end_time;
    for (std::size_t frame = cast.play.frames(); frame-- > 0;) {
      for (const std::size_t man : men) {
        if ((cast.motion.at(frame, man) - Point(0, 5)).norm() <= 1) reps_end = cast.play.time[frame];
      }
    }
    ended += std::isnan(cast.play.throw_time) && reps_end < cast.play.end_time;
    if (!std::isnan(cast.play.throw_time)) reps_end = cast.play.throw_time;
    for (const std::size_t man : men) {
      CAPTURE(man);
      const Told wanted = told(cast, man, reps_end);
      const Man& found = cast[man];
      REQUIRE((found.role == Role::rusher) == wanted.rusher);
      CHECK(found.role == (wanted.rusher ? Role::rusher : Role::other));
      CHECK(found.late == wanted.late);
      if (wanted.rusher) CHECK(found.counts_from == wanted.from);
      CHECK(found.counts_to == wanted.to);
      rushers += wanted.rusher;
      others += !wanted.rusher;
      late += wanted.late;
      dropped += wanted.to != always;
    }
  }
  CHECK(rushers > 500);
  CHECK(others > 500);
  CHECK(late > 100);
  CHECK(dropped > 100);
  CHECK(ended > 50);
}

TEST_CASE("the lists of a play hold each man once, the lower id first") {
  Script script = five_and_passer();
  script.men.push_back(back(stands(1, 6)));
  script.men.push_back(offense("WR", stands(20, -1)));
  script.men.push_back(defense("end", along({{0, {5, -1}}, {2, {2, 4}}})));
  script.men.push_back(defense("corner", stands(20, -8)));
  const Judged found = find(script);
  const Play& play = found.play.play;
  CHECK(play.protectors.size() == 6);
  CHECK(play.offense.size() == 7);
  CHECK(play.rushers.size() == 1);
  CHECK(std::is_sorted(play.protectors.begin(), play.protectors.end()));
  CHECK(play.men[play.passer].position == Position::QB);
  CHECK(std::find(play.offense.begin(), play.offense.end(), play.passer) == play.offense.end());
}
