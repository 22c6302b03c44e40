#include "match/match.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <tuple>

#include "base/tolerances.hpp"
#include "play/sides.hpp"
#include "rush/corner.hpp"

namespace shortedge {

namespace {

constexpr double brief_spell = 0.5;    // s within meet: less may be help
constexpr double picked_up_by = 0.5;   // s after a beat
constexpr double passed_on_by = 0.75;  // s after a beat

class Matcher {
 public:
  Matcher(const Play& play, const Motion& motion, const Rules& rules)
      : play_(play), motion_(motion), rules_(rules), match_{rep_span(play, motion), {}, {}, {}} {}

  Match run() {
    find_reps();
    say_who_has_whom();
    find_beat_sides();
    return std::move(match_);
  }

 private:
  double time(std::size_t frame) const { return play_.time[frame]; }
  const Point& passer(std::size_t frame) const { return motion_.at(frame, play_.passer); }

  void find_reps() {
    std::vector<Spell> found = spells(play_, match_frames(play_, motion_, rules_.meet, match_.span.frames));
    take_up(found);
    std::vector<Rep> candidates;
    std::vector<Rep> all;
    for (const Spell& spell : found) all.push_back({spell, fight(play_, motion_, rules_, match_.span, spell)});
    std::vector<std::size_t> where;
    for (std::size_t i = 0; i < all.size(); ++i) {
      if (!all[i].duel.ever_between) continue;
      candidates.push_back(all[i]);
      where.push_back(i);
    }
    std::vector<bool> brushed;
    for (const Rep& rep : candidates) brushed.push_back(only_brushed(rep, candidates));
    std::vector<Rep> left;
    for (std::size_t i = 0; i < candidates.size(); ++i) {
      all[where[i]] = candidates[i];
      if (!brushed[i]) left.push_back(candidates[i]);
    }
    std::vector<bool> is_rep(all.size(), false);
    for (std::size_t i = 0; i < candidates.size(); ++i) is_rep[where[i]] = !brushed[i] && !is_help(candidates[i], left);
    for (std::size_t i = 0; i < all.size(); ++i) (is_rep[i] ? match_.reps : match_.others).push_back(all[i]);
  }

  /// s within meet of the two, frames first to last.
  double seconds_met(const Spell& of, std::size_t first, std::size_t last) const {
    double seconds = 0;
    for (std::size_t frame = first; frame <= last; ++frame) {
      const bool met = play_.men[of.rusher].takes_part(frame) &&
                       within(motion_.at(frame, of.rusher), motion_.at(frame, of.protector), rules_.meet);
      seconds += met ? held_seconds(play_, frame, last + 1) : 0;
    }
    return seconds;
  }
  double seconds_met(const Spell& of) const { return seconds_met(of, 0, match_.span.frames - 1); }

  /// Whether the rusher brushed him on his way past another, whose spell is then made longer and judged anew.
  bool only_brushed(const Rep& rep, std::vector<Rep>& candidates) const {
    const Spell& spell = rep.spell;
    const Duel& duel = rep.duel;
    if (!duel.beat || seconds_met(spell, spell.first, duel.beat->frame) >= brief_spell - tolerance::time) return false;
    for (Rep& other : candidates) {
      if (other.spell.rusher != spell.rusher || other.spell.protector == spell.protector) continue;
      if (other.spell.first >= spell.first || other.spell.last >= spell.last || other.duel.beat || other.duel.let_go)
        continue;
      const bool still_met =
          within(motion_.at(spell.first, spell.rusher), motion_.at(spell.first, other.spell.protector), rules_.meet);
      if (!still_met || seconds_met(other.spell) <= seconds_met(spell)) continue;
      const bool busy = std::any_of(candidates.begin(), candidates.end(), [&](const Rep& third) {
        return third.spell.protector == other.spell.protector && third.spell.rusher != spell.rusher &&
               third.spell.last >= spell.first;
      });
      if (busy) continue;
      Spell longer = other.spell;
      longer.last = spell.last;
      const Duel anew = fight(play_, motion_, rules_, match_.span, longer);
      if (!anew.beat || time(anew.beat->frame) > time(duel.beat->frame) + picked_up_by + tolerance::time) continue;
      other = {longer, anew};
      return true;
    }
    return false;
  }

  /// Gives rushers without a spell to protectors without one.
  void take_up(std::vector<Spell>& found) const {
    const auto has_spell = [&](std::size_t Spell::* who, std::size_t man) {
      return std::any_of(found.begin(), found.end(), [&](const Spell& spell) { return spell.*who == man; });
    };
    for (const std::size_t rusher : play_.rushers) {
      if (has_spell(&Spell::rusher, rusher)) continue;
      std::size_t first = play_.men[rusher].counts_from;
      while (first < match_.span.frames && !present(motion_.at(first, rusher))) ++first;
      if (first >= match_.span.frames) continue;
      double nearest = infinity;
      Spell spell{rusher, 0, first, match_.span.frames - 1};
      for (const std::size_t man : play_.protectors) {
        if (has_spell(&Spell::protector, man)) continue;
        const double came = came_near(rusher, man, first);
        if (!(came <= rules_.engage) || !(came < nearest)) continue;
        nearest = came;
        spell.protector = man;
      }
      if (nearest < infinity) found.push_back(spell);
    }
    std::stable_sort(found.begin(), found.end(), [](const Spell& a, const Spell& b) {
      return std::pair(a.rusher, a.first) < std::pair(b.rusher, b.first);
    });
  }

  /// yd, how near a protector came to a rusher while no farther from the passer than he.
  double came_near(std::size_t rusher, std::size_t man, std::size_t first) const {
    double nearest = infinity;
    for (std::size_t frame = first; frame < match_.span.frames && play_.men[rusher].takes_part(frame); ++frame) {
      const Point &his = motion_.at(frame, rusher), &at = motion_.at(frame, man);
      if (distance(at, passer(frame)) <= distance(his, passer(frame))) nearest = std::fmin(nearest, distance(his, at));
    }
    return nearest;
  }

  bool is_help(const Rep& rep, const std::vector<Rep>& candidates) const {
    bool longer = false, picked_up = false, passed_on = false;
    const std::optional<Beat>& beat = rep.duel.beat;
    for (const Rep& other : candidates) {
      if (other.spell.rusher != rep.spell.rusher || other.spell.protector == rep.spell.protector) continue;
      const bool met_longer = other.duel.seconds_met > rep.duel.seconds_met;
      longer = longer || met_longer || seconds_met(other.spell) > rep.duel.seconds_met;
      if (!beat || other.spell.first <= rep.spell.first || !other.duel.contact) continue;
      const double after = time(*other.duel.contact) - time(beat->frame);
      picked_up = picked_up || after <= picked_up_by + tolerance::time;
      passed_on =
          passed_on || (met_longer && after <= passed_on_by + tolerance::time &&
                        on_the_line(motion_.at(beat->frame, rep.spell.rusher),
                                    motion_.at(beat->frame, other.spell.protector), passer(beat->frame), rules_.reach));
    }
    const bool brief = rep.duel.seconds_met < brief_spell - tolerance::time && longer;
    return (brief && (!beat || picked_up)) || passed_on;
  }

  void say_who_has_whom() {
    match_.man.assign(play_.rushers.size(), std::vector<std::int32_t>(play_.frames(), nobody));
    for (std::size_t r = 0; r < play_.rushers.size(); ++r) {
      std::vector<const Rep*> his;
      for (const Rep& rep : match_.reps) {
        if (rep.spell.rusher == play_.rushers[r]) his.push_back(&rep);
      }
      if (his.empty()) continue;
      for (std::size_t frame = 0; frame < play_.frames(); ++frame) match_.man[r][frame] = who_has(his, frame);
    }
  }

  static std::int32_t who_has(const std::vector<const Rep*>& his, std::size_t frame) {
    // Running before ended before to come; of the first the latest begun, of the second the latest ended, of the third
    // the first to come; then the lower id.
    const auto rank = [&](const Rep* rep) {
      const Spell& spell = rep->spell;
      const auto at = [](std::size_t one) { return static_cast<std::ptrdiff_t>(one); };
      const bool to_come = spell.first > frame, ended = spell.last < frame;
      return to_come ? std::tuple(2, at(spell.first), spell.protector)
             : ended ? std::tuple(1, -at(spell.last), spell.protector)
                     : std::tuple(0, -at(spell.first), spell.protector);
    };
    const auto lower = [&](const Rep* a, const Rep* b) { return rank(a) < rank(b); };
    const Rep* first = *std::min_element(his.begin(), his.end(), lower);
    if (first->duel.let_go && *first->duel.let_go <= frame) {  // then he is the next man's
      std::vector<const Rep*> coming;
      std::copy_if(his.begin(), his.end(), std::back_inserter(coming),
                   [&](auto* rep) { return rep->spell.first > frame; });
      if (coming.empty()) return nobody;
      first = *std::min_element(coming.begin(), coming.end(), lower);
    }
    return static_cast<std::int32_t>(first->spell.protector);
  }

  void find_beat_sides() {
    for (Rep& rep : match_.reps) {
      if (rep.duel.beat) rep.duel.beat->side = beat_side(rep.spell, rep.duel.beat->frame);
    }
  }

  BeatSide beat_side(const Spell& spell, std::size_t beat) const {
    const auto r = static_cast<std::size_t>(std::find(play_.rushers.begin(), play_.rushers.end(), spell.rusher) -
                                            play_.rushers.begin());
    // How he stood when he got past, which may have been before his line was clear: back over the frames he is past in.
    std::size_t frame = beat, passed = beat;
    while (frame-- > play_.men[spell.rusher].counts_from) {
      const Point &rusher = motion_.at(frame, spell.rusher), &man = motion_.at(frame, spell.protector);
      if (match_.man[r][frame] != match_.man[r][beat]) break;
      if (!present(rusher) || !present(man) || !present(passer(frame))) continue;
      if (!is_past(rusher, man, passer(frame))) break;
      passed = frame;
    }
    if (match_.man[r][beat] != static_cast<std::int32_t>(spell.protector))
      passed = beat;  // another has him: judged alone
    const auto side_in = [&](std::size_t at) { return side_of_man(play_, motion_, at, spell.protector, passer(at)); };
    const Point &rusher = motion_.at(beat, spell.rusher), &man = motion_.at(beat, spell.protector);
    if (side_in(beat) == 0) return cross(rusher - man, passer(beat) - man) < 0 ? BeatSide::left : BeatSide::right;
    const Placed placed = placed_now(motion_.at(passed, spell.rusher), motion_.at(passed, spell.protector),
                                     passer(passed), side_in(passed));
    return placed.outside ? BeatSide::outside : BeatSide::inside;
  }

  const Play& play_;
  const Motion& motion_;
  const Rules& rules_;
  Match match_;
};

}  // namespace

Match match_play(const Play& play, const Motion& motion, const Rules& rules) {
  return Matcher(play, motion, rules).run();
}

Blocking see_rusher(const Play& play, const Motion& motion, const Match& match, std::size_t frame, const Scene& scene,
                    const Rushing& rusher, const Rules& rules, PassedSide& side_of) {
  Blocking found;
  const std::int32_t man = match.man[rusher.index][frame];
  found.free = man == nobody;
  for (const Standing& mate : scene.offense) {
    found.helpers += static_cast<std::int32_t>(mate.man) != man && within(mate.at, rusher.at, rules.engage);
  }
  if (found.free) {
    found.placed = {rusher.at.x() < scene.passer.x() ? -1 : 1, true, false};
  } else {
    const auto who = static_cast<std::size_t>(man);
    const Point& at = motion.at(frame, who);
    if (!present(at)) return found;
    found.blocker = Standing{who, play.men[who].slot, at};
    found.range = distance(rusher.at, at);
    found.engaged = found.range <= rules.meet;
    const int side = side_of_man(play, motion, frame, who, scene.passer);
    found.placed = side_of.see(rusher.at, who, at, scene.passer, side);
  }
  if (found.placed.past) {
    found.between = man_between(scene, rusher.at, found.blocker ? &*found.blocker : nullptr, rules.body);
  }
  return found;
}

Blocking Followed::see(std::size_t frame, const Scene& scene, const Rushing& rusher, const Rules& rules) {
  return see_rusher(play_, motion_, match_, frame, scene, rusher, rules, sides_[rusher.index]);
}

}  // namespace shortedge
