#pragma once
/// What men of a simulated rep want: the way and the speed each makes for in this step. For rep.cpp alone.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "rush/cutoff.hpp"
#include "simulate/rep_lanes.hpp"

namespace shortedge {

inline constexpr double look_ahead_time = 0.06;  // s
inline constexpr double help_offset = 0.3;       // yd to his own side of the line
inline constexpr double place_reached = 0.4;     // yd, of a stunt
inline constexpr double follow_share = 0.5;      // of the speed across of the place he makes for

/// Where a rusher makes for now, and how fast he may go.
inline void RepSimulator::Reps::guide(std::size_t lane, Rushing& rusher, std::size_t index, WidePoint& toward,
                                      Wide& allowed) {
  const std::vector<Point>& path = formation_.rushers[index].path;
  Course& course = rusher.courses[lane];
  if (course.through < path.size()) {
    const Point middle = rusher.seen.middle.lane(lane);
    // A place is behind him when he is there, or at the rim of a man whose disc covers it.
    const auto covered = [&](const Point& place) {
      return std::any_of(protectors_.begin(), protectors_.end(), [&](const Blocking& man) {
        const double rim = radius(lane, man, static_cast<std::int64_t>(index));
        const Point at = man.middle.lane(lane);
        return distance(at, place) < rim && distance(at, middle) < rim + grip_zone;
      });
    };
    while (course.through < path.size() &&
           (distance(middle, path[course.through]) < place_reached || covered(path[course.through]))) {
      ++course.through;
    }
    if (course.through < path.size()) {
      toward.set(lane, path[course.through]);
      return;
    }
  }
  if (!rusher.on_route[lane]) return;
  const double speed = rusher.seen.speed[lane], here = rusher.run_on[lane] + speed * step_ / 2;
  toward.set(lane, course.route.point(here + look_ahead + look_ahead_time * speed).at);
  double least2 = infinity;
  for (const Bend& bend : course.bends) {
    if (bend.ends <= here) continue;
    const double to_it = std::max(0.0, bend.begins - here);
    least2 = std::min(least2, bend.cap2 + 2 * assumptions_.a_brake * to_it);
  }
  allowed[lane] = std::min(allowed[lane], std::sqrt(least2));
}

/// The rusher each lane's protector faces; where he faces none, any.
inline RepSimulator::Reps::Faced RepSimulator::Reps::faced_by_lane(const WideMask& rusher) const {
  Faced result;
  for (std::size_t l = 0; l < lanes; ++l) {
    const Faced& from = rushers_[static_cast<std::size_t>(std::max<std::int64_t>(0, rusher[l]))].seen;
    const auto take = [&](WidePoint Faced::* point) {
      (result.*point).u[l] = (from.*point).u[l];
      (result.*point).v[l] = (from.*point).v[l];
    };
    take(&Faced::middle), take(&Faced::velocity), take(&Faced::to_aim), take(&Faced::line);
    result.speed[l] = from.speed[l];
    result.goal[l] = from.goal[l];
  }
  return result;
}

SHORTEDGE_INLINED WidePoint RepSimulator::Reps::wanted(Rushing& rusher, std::size_t index, double time) {
  const WideMask idle = (rusher.reaction > time + step_ / 2) | (rusher.held_until > time);
  WidePoint toward = splat(aim_.at);
  Wide allowed = rusher.legs.vmax;
  const WideMask guided = live_ & rusher.guided & ~idle;
  for (std::size_t lane = 0; lane < lanes && any(guided); ++lane) {
    if (guided[lane]) guide(lane, rusher, index, toward, allowed);
  }
  const WidePoint ahead = toward - rusher.middle;
  const Wide range = ahead.norm();
  return blend(~idle & (range > 0), ahead * (allowed / range), WidePoint{});
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

SHORTEDGE_INLINED WidePoint RepSimulator::Reps::wanted(Blocking& man, std::size_t index, double time) const {
  if (formation_.protectors[index].job == Job::chip) return wanted_by_chip(man, index, time);
  Faced by_lane;
  if (!man.faces) by_lane = faced_by_lane(man.target);
  const Faced& rusher = man.faces ? *man.faces : by_lane;
  const WideMask works = (man.reaction <= time + step_ / 2) & (man.target != no_man) & (rusher.goal != 0);
  if (!any(works)) return {};
  const WidePoint &line = rusher.line, to_man = man.middle - rusher.middle;
  const Wide off_line = cross(line, to_man);
  const CutOffOf<Wide> cut = cut_off(to_man, rusher.to_aim, rusher.goal);

  const WideMask was_open = man.open & works;
  const WideMask opens = ~man.open & works & (cut.ratio * rusher.speed > assumptions_.opens_at * man.kick_speed);
  const WideMask in_front = (cut.ratio < 1) & (size_of(off_line) < assumptions_.reach_open);
  man.in_front = blend(opens | (was_open & ~in_front), nan, man.in_front);
  man.in_front = blend(was_open & in_front & unknown(man.in_front), time, man.in_front);
  man.hips = blend(opens & unknown(man.hips) & (man.man != no_man), time, man.hips);
  man.open = (man.open | opens) & ~(was_open & (time - man.in_front >= assumptions_.settle));

  const Wide from_rusher = smaller(cut.from_rusher, rusher.goal - assumptions_.keep_off);
  WidePoint place = rusher.middle + from_rusher * line;
  const WideMask helps = man.target != man.man;
  if (any(helps)) place = blend(helps, place + signed_as(help_offset, off_line) * quarter_turn(line), place);
  const Wide share = bounded(from_rusher / rusher.goal, 0.0, 1.0);
  const Wide across = (1 - share) * cross(line, rusher.velocity) + share * cross(line, splat(aim_.velocity));
  const Wide limit = blend(man.open, man.legs.vmax, smaller(man.kick_speed, man.legs.vmax));
  const WidePoint gap = place - man.middle;
  const Wide far = gap.norm();
  WidePoint wants = follow_share * across * quarter_turn(line);
  wants = blend(far > 0, wants + gap * (smaller(limit, far / assumptions_.close_in) / far), wants);
  const Wide size = wants.norm();
  wants = blend(size > limit, wants * (limit / size), wants);
  return blend(works, wants, WidePoint{});
}

}  // namespace shortedge
