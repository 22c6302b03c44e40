#pragma once
/// The protector of a simulated rep: what he sees and wants. For rep.cpp alone.
///
/// He sees his man as he was his reaction ago, carried on straight: no foresight.
/// Line: from his man as he sees him to the spot, its depth no more than 8 yd or the passer's place carried on 0.4 s,
/// whichever is deeper; once the drop has topped, or the passer has cut it, to the passer.
/// Set: he gains a depth by the drop (`set_per_yard` d - `set_less`, at least `set_least`, at most `set_most`; guards
/// and the centre a share of it), or as he is ordered. Against a man who lines up over 4 yd outside him at most 1 yd.
/// Junction: until his man is 0.5 yd from his rim, he makes for the deepest of five equal steps from the cut-off point
/// (rush/cutoff.hpp) to the line's point at the depth he gains, that he reaches, at kick speed and with 0.2 yd of
/// slack, before his man, at the speed he sees and 5.5 yd/s at least, is within reach of it; none: the cut-off point.
/// Tackles go straight back at `kick_back` x kick speed before contact, against men up to 2.6 yd outside them; against
/// men farther out less and less, from 4.6 yd on at kick speed, since who has to get out to his man cannot go straight
/// back (assumption; for everyone alike it makes wide ends easier, and cut off at one width it makes a step there).
/// After it, and with open hips: the cut-off point. At min(limit, gap / close_in),
/// plus half of that point's own speed across the line; nowhere nearer than `keep_off` to what he guards. Hips: he
/// opens them when the speed he needs (cut-off ratio x the speed he sees) exceeds opens_at x kick speed, but not while
/// he touches his man with ratio below 1 and the line within 0.9 of his reach. Open: run speed, reach_open, grip_open,
/// inward at most half his kick speed. He faces again after `settle` s on end with ratio below 1 and less than
/// reach_open off the line. For `turn_seconds` after opening or facing he has reach_open and kick speed only, and so,
/// with won_kick of it, has who has lost the hands. Riding (rep_engagement.hpp) with open hips he runs at his man's
/// speed for his inside hip. A free man helps at 0.3 yd to his own side of the line; with nobody to help he sets. A
/// chip goes for his man's outside half at run speed. If it hits, both stand for as long as it holds, then he leaves;
/// if not, he leaves at once.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "rush/cutoff.hpp"
#include "simulate/rep_lanes.hpp"

namespace shortedge {

inline constexpr double help_offset = 0.3;     // yd to his own side of the line
inline constexpr double follow_share = 0.5;    // of the speed across of the place he makes for
inline constexpr double meets_within = 0.5;    // yd from the rim
inline constexpr double junction_slack = 0.2;  // yd
inline constexpr double junction_speed = 5.5;  // yd/s, of his man at least
inline constexpr int junctions = 5;
inline constexpr double holds_within = 0.9;  // of his reach, off the line
inline constexpr double inward_share = 0.5;  // of kick speed, with open hips
inline constexpr double hip = 0.65;          // yd from a rusher's centre

/// His man as he sees him.
SHORTEDGE_INLINED RepSimulator::Reps::Faced RepSimulator::Reps::seen_by(const Blocking& man, std::size_t n) const {
  const std::size_t men = rushers_.size(), around = kept_ - 1, step_on = men * sizeof(Was) / sizeof(double);
  std::array<const double*, lanes> first{};
  WideMask fresh{};  // he has not yet seen anything but the snap
  for (std::size_t lane = 0; lane < lanes; ++lane) {
    const std::size_t back = man.back_steps[lane], before = std::max(n, back) - back;
    const auto rusher = static_cast<std::size_t>(std::max<std::int64_t>(0, man.target[lane]));
    fresh[lane] = n < back ? -1 : 0;
    first[lane] = reinterpret_cast<const double*>(&was_[(before & around) * men + rusher]) + lane;
  }
  const Wide share = blend(fresh, Wide{}, man.lag_share);
  const auto between = [&](std::size_t part) {  // of at.u, at.v, velocity.u, velocity.v
    const Wide then = Wide::each([&](std::size_t lane) { return first[lane][part * lanes]; });
    const Wide next = Wide::each([&](std::size_t lane) { return first[lane][part * lanes + step_on]; });
    return Wide(then + share * (next - then));
  };
  const double passed = (static_cast<double>(n) + 0.5) * step_;
  const Wide carried = blend(fresh, passed, larger(man.lag, step_ / 2));
  Faced seen;
  seen.velocity = {between(2), between(3)};
  seen.middle = {between(0) + carried * seen.velocity.u, between(1) + carried * seen.velocity.v};
  seen.speed = seen.velocity.norm();
  seen.to_aim = guards_ - seen.middle;
  seen.goal = seen.to_aim.norm();
  seen.line = blend(seen.goal > 0, seen.to_aim * (1.0 / seen.goal), WidePoint{});
  return seen;
}

/// At his man's outside half, and not in his mate's way; with him while the chip holds; then out of the protection,
/// outside round the man he chipped.
SHORTEDGE_INLINED WidePoint RepSimulator::Reps::wanted_by_chip(Blocking& man, std::size_t index, double time) const {
  WidePoint wants;
  man.gone = man.leaves_at <= time;
  for (std::size_t lane = 0; lane < lanes; ++lane) {
    const Point middle = man.middle.lane(lane);
    if (man.gone[lane]) {
      const Point out(sides_[index] * 3.0, -4.0);
      const Point between = rushers_[static_cast<std::size_t>(man.man[lane])].middle.lane(lane) - middle;
      if (between.norm() > assumptions_.body + look_ahead || out.dot(between) <= 0) {
        wants.set(lane, out);
      } else {
        const Point along = quarter_turn(between).normalized();
        wants.set(lane, std::copysign(out.norm(), along.x() * out.x()) * along);
      }
      continue;
    }
    if (time + step_ / 2 < man.reaction[lane] || man.target[lane] == no_man) continue;
    const Faced& rusher = rushers_[static_cast<std::size_t>(man.target[lane])].seen;
    if (rusher.goal[lane] == 0) continue;
    const Point outside(std::copysign(assumptions_.protector_room, -rusher.line.u[lane]), 0);
    const Point gap = rusher.middle.lane(lane) + outside - middle;
    const double far = gap.norm();
    if (far > 0) wants.set(lane, gap * (man.legs.vmax[lane] / far));
  }
  return wants;
}

SHORTEDGE_INLINED WidePoint RepSimulator::Reps::wanted(Blocking& man, std::size_t index, std::size_t n,
                                                       double time) const {
  if (formation_.protectors[index].job == Job::chip) return wanted_by_chip(man, index, time);
  const Assumptions& a = assumptions_;
  const WideMask reacts = man.reaction <= time + step_ / 2;
  if (!any(reacts)) return {};
  const Faced rusher = seen_by(man, n);
  const WideMask works = reacts & (man.target != no_man) & (rusher.goal != 0);
  const WidePoint &line = rusher.line, to_man = man.middle - rusher.middle;
  const Wide off_line = cross(line, to_man);
  const CutOffOf<Wide> cut = cut_off(to_man, rusher.to_aim, rusher.goal);

  const WideMask was_open = man.open & works;
  const WideMask blocks = man.holds & (cut.ratio < 1) & (size_of(off_line) < holds_within * a.reach);
  const WideMask opens = ~man.open & works & ~blocks & (cut.ratio * rusher.speed > a.opens_at * man.kick_speed);
  const WideMask in_front = (cut.ratio < 1) & (size_of(off_line) < a.reach_open);
  man.in_front = blend(opens | (was_open & ~in_front), nan, man.in_front);
  const double now = time - step_ / 2;  // what he sees at the middle of a step he does from its start
  man.in_front = blend(was_open & in_front & unknown(man.in_front), now, man.in_front);
  const WideMask faces = was_open & (time - man.in_front >= a.settle);
  man.hips = blend(opens & unknown(man.hips) & (man.man != no_man), now, man.hips);
  man.turned = blend(opens | faces, now, man.turned);
  man.open = (man.open | opens) & ~faces;

  const WideMask turning = time - man.turned<a.turn_seconds, beaten = man.beaten_until> time;
  const Wide kick = smaller(man.kick_speed, man.legs.vmax) * blend(beaten, a.won_kick, 1.0);
  const Wide limit = blend(man.open & ~turning, man.legs.vmax, kick);
  const Wide most = larger(0.0, rusher.goal - a.keep_off);
  Wide from_rusher = smaller(cut.from_rusher, most);
  const WideMask helps = man.target != man.man;
  const WideMask sets = works & ~man.open & ~helps & (to_man.norm() - man.rim > meets_within);
  Wide back = 1.0;
  if (any(sets)) {
    back = blend(sets, man.back, 1.0);
    const Wide deepest = blend(line.v > 0.05, (man.sets_to - rusher.middle.v) / larger(0.05, line.v), Wide{});
    const Wide last = smaller(deepest, most);
    const WideMask deeper = sets & (last > from_rusher);
    Wide found = from_rusher;
    const Wide per_speed = 1.0 / larger(junction_speed, rusher.speed), per_back = 1.0 / back;
    for (int k = 1; k <= junctions && any(deeper); ++k) {
      const Wide there = from_rusher + (last - from_rusher) * (static_cast<double>(k) / junctions);
      const WidePoint way = rusher.middle + there * line - man.middle;
      const Wide down = blend(way.v > 0, way.v * per_back, way.v);
      const Wide until = larger(0.0, there - a.reach) * per_speed, can = kick * until + junction_slack;
      found = blend(deeper & (way.u * way.u + down * down <= can * can), there, found);
    }
    from_rusher = found;
  }
  WidePoint place = rusher.middle + from_rusher * line;
  if (any(helps)) place = blend(helps, place + signed_as(help_offset, off_line) * quarter_turn(line), place);
  place = blend(works, place, WidePoint{formation_.protectors[index].at.x(), man.sets_to});
  const Wide share = bounded(from_rusher / blend(works, rusher.goal, 1.0), 0.0, 1.0);
  const Wide across = (1 - share) * cross(line, rusher.velocity) + share * cross(line, guards_velocity_);
  const WidePoint gap = place - man.middle;
  const Wide far = gap.norm();
  WidePoint wants = blend(works, follow_share * across * quarter_turn(line), WidePoint{});
  wants = blend(far > 0, wants + gap * smaller(limit / far, 1 / a.close_in), wants);
  const Wide size2 = wants.squaredNorm();
  const WideMask fast = size2 > limit * limit;
  if (any(fast)) wants = blend(fast, wants * (limit / root(size2)), wants);
  wants.v = blend(wants.v > 0, wants.v * back, wants.v);
  const double side = sides_[index];
  if (any(man.open) && side != 0) {
    const Wide inward = larger(0.0, -side * wants.u - inward_share * man.kick_speed);
    wants.u = blend(man.open & (inward > 0), wants.u + side * inward, wants.u);
    const WideMask rides = man.rides & man.open & works;
    if (any(rides)) {
      // The inside of him is towards the line's other side than the protector's own side of the field.
      const WidePoint for_hip = rusher.middle + (side * hip) * quarter_turn(line) - man.middle;
      WidePoint runs = rusher.velocity + for_hip / a.close_in;
      const Wide speed = runs.norm();
      runs = blend(speed > limit, runs * (limit / speed), runs);
      wants = blend(rides, runs, wants);
    }
  }
  return blend(reacts, wants, WidePoint{});
}

}  // namespace shortedge
