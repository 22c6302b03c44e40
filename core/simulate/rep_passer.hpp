#pragma once
/// The passer of a simulated rep: what he sees and does about the rush. For rep.cpp alone. His planned drop:
/// passer.hpp.
///
/// Early throw: from `early_from` s on, a rusher with no protector within `early_clear` of the line between them, and
/// less than `early_within` away at the speed he closes, for `early_lasts` on end: in a share of draws (`early_throws`)
/// the ball is out early_takes s (lognormal) later, if it was not to be sooner. It counts as that rusher's: `hurried`,
/// never `pressure`, which is what reps measure. A man who is ridden past is not free for it.
/// Step or slide, in a share of draws (`steps_first`), from `step_before` s before the top on (he cuts the drop): when
/// an edge rusher (over 0.55 rad from straight upfield of him) who is free, not squared up (squareness below 0.75), or
/// whose man has open hips, is under 1.3 s and 7 yd away, he goes up, at step_speed, at most step_most in all, while
/// step_clear ahead of him is free of men. While he could step, no edge rusher makes him throw early. From an inside
/// man with nobody before him he slides sideways, at most slide_most. Otherwise he goes on with his drop, and once he
/// has left it he stands. He looks at the middle of a step and acts from its start, so on the average what he sees is
/// not seen late; who has been free for `early_lasts` at a time within the step makes him throw from that time on.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>

#include "simulate/rep_lanes.hpp"

namespace shortedge {

inline constexpr double edge_cosine = 0.8525245220595057;  // of 0.55 rad
inline constexpr double loose_squareness = 0.75;
inline constexpr double threat_seconds = 1.3, threat_range = 7.0;  // s, yd
inline constexpr double shoulders = 0.75;                          // yd either side of him, ahead

/// Where he is half a step on; and at its end, were he to go on with his drop.
SHORTEDGE_INLINED void RepSimulator::Reps::drop_on(std::size_t n) {
  Passing& man = passer_;
  const Instant &middle = passer_at_[2 * n + 1], &end = passer_at_[2 * n + 2];
  man.middle = splat(middle.at);
  man.next = splat(end.velocity);
  man.moves = splat(middle.velocity);
  if (!any(man.off_script)) return;
  man.middle = blend(man.off_script, man.at + step_ / 2 * man.velocity, man.middle);
  man.moves = blend(man.off_script, man.velocity + step_ / 2 * man.gained, man.moves);
}

/// What he does about what he has seen.
SHORTEDGE_INLINED void RepSimulator::Reps::decide() {
  Passing& man = passer_;
  if (!any(man.off_script)) return;
  const WidePoint wants{man.sliding * assumptions_.step_speed, blend(man.stepping, -assumptions_.step_speed, Wide{})};
  WidePoint asked = (wants - man.moves) / assumptions_.response;
  const Wide size = asked.norm();
  asked = blend(size > assumptions_.a_lat, asked * (assumptions_.a_lat / size), asked);
  man.gained = blend(man.off_script, asked, WidePoint{});
  man.next = blend(man.off_script, man.velocity + step_ * asked, man.next);
}

/// The ball will be out before long, because of this rusher.
inline void RepSimulator::Reps::throw_early(std::size_t lane, Rushing& rusher, double time) {
  passer_.out[lane] = -1;
  rusher.hurried[lane] = time;
  rusher.hurried_by[lane] = rusher.had_by[lane];
  throw_time_[lane] = std::min(throw_time_[lane], time + passer_.early_takes[lane]);
  steps_[lane] = steps_to(throw_time_[lane] + after_);
}

/// What he sees at the middle of a step, and so does from its start, `time`. Whether he leaves his drop in any lane.
SHORTEDGE_INLINED bool RepSimulator::Reps::look(double time) {
  const double middle = time + step_ / 2;
  const Assumptions& a = assumptions_;
  Passing& man = passer_;
  const WideMask waits = live_ & (throw_time_ > middle);
  const WideMask may_step = waits & man.feels & (man.top - a.step_before <= middle);
  const WideMask may_throw = (middle >= a.early_from ? waits : WideMask{}) & man.early & ~man.out;
  if (!any(may_step | may_throw)) {
    man.stepping = man.open = WideMask{};
    man.sliding = Wide{};
    return false;
  }
  // By now; what is noted is up to the step's start.
  const Wide stepped = man.stepped + blend(man.stepping, larger(0.0, man.at.v - man.middle.v), Wide{});
  const Wide slid = man.slid + blend(man.sliding != 0, size_of(man.middle.u - man.at.u), Wide{});
  WideMask clear = may_step & (stepped < a.step_most);
  const auto in_way = [&](const WidePoint& at) {
    const Wide ahead = man.middle.v - at.v;
    return (ahead > 0) & (ahead < a.step_clear) & (size_of(at.u - man.middle.u) < shoulders);
  };
  for (const Blocking& other : protectors_) clear &= ~in_way(other.middle);
  for (const Rushing& other : rushers_) clear &= ~in_way(other.middle);
  man.open = clear;
  WideMask steps{}, slides{};
  Wide slides_to{};
  for (Rushing& rusher : rushers_) {
    const WidePoint to_passer = man.middle - rusher.middle;
    const Wide range = to_passer.norm();
    const Wide closing = (rusher.seen.velocity - man.moves).dot(to_passer) / range;
    const Wide left = range - a.arm;
    const WideMask comes = (may_step | may_throw) & (left <= threat_seconds * closing) & (range < threat_range);
    if (!any(comes)) {
      rusher.early_since = nan;
      continue;
    }
    WideMask blocked{};
    Wide squareness = -1.0;
    WideMask open{};
    for (std::size_t i = 0; i < protectors_.size(); ++i) {
      const Blocking& other = protectors_[i];
      const WidePoint to_other = other.middle - rusher.middle;
      const Wide along = to_other.dot(to_passer);
      const Wide across = size_of(cross(to_passer, to_other));
      blocked |= (along > 0) & (along < range * range) & (across <= a.early_clear * range);
      const WideMask his = rusher.had_by == static_cast<std::int64_t>(i);
      if (!any(his)) continue;
      squareness = blend(his, rusher.seen.line.dot(to_other) / larger(1e-9, to_other.norm()), squareness);
      open = blend(his, other.open, open);
    }
    const WideMask edge = to_passer.v < edge_cosine * range;
    steps |= comes & may_step & edge & ((squareness < loose_squareness) | open);
    const WideMask free_inside = comes & may_step & ~edge & ~blocked;
    slides |= free_inside;
    slides_to = blend(free_inside, blend(to_passer.u < 0, -1.0, 1.0), slides_to);
    const WideMask seen = comes & may_throw & ~blocked & ~rusher.ridden & (left <= a.early_within * closing) &
                          ~(edge & may_step & man.open);
    rusher.early_since = blend(seen, blend(unknown(rusher.early_since), time, rusher.early_since), nan);
    const WideMask decides = seen & (middle - rusher.early_since >= a.early_lasts);
    for (std::size_t lane = 0; lane < lanes && any(decides); ++lane) {
      if (decides[lane] && !passer_.out[lane]) throw_early(lane, rusher, rusher.early_since[lane] + a.early_lasts);
    }
  }
  man.stepping = man.open & (steps | (man.stepping & may_step));
  man.sliding = blend(slides & (slid < a.slide_most), slides_to, Wide{});
  const WideMask leaves = (man.stepping | (man.sliding != 0)) & ~man.off_script;
  man.top = blend(leaves & (man.top > time), larger(time, man.top - a.step_before), man.top);
  man.off_script |= leaves;
  return any(leaves);
}

}  // namespace shortedge
