#pragma once
/// The rusher of a simulated rep: what he sees, plans and wants. For rep.cpp alone.
///
/// Aim: the passer's present place carried on `looks_ahead` s; before the drop tops at least `guessed_depth` deep, or
/// as deep as the drop. Nobody but the protection knows the spot. Plan: drawn, or given (formation.hpp). Outside and
/// inside are sides of the man who has him: of a lineman's, away from the centre and towards it; of a man without a
/// side (the centre), the rusher's own side of him. Moves: `move_at` from his man he begins the first: round him
/// outside, through him, or, who sold outside until then, inside. After it, while his man touches him, one follows
/// another `move_seconds` later (lognormal), round either side or through. A move round a side lasts `move_seconds`: he
/// runs along the tangent to his man's disc on that side, at the speed its arc allows, until his straight line to the
/// aim is clear of it. Else he runs straight at his aim. Hands: a move round a side wins them or not, when they meet
/// (within 0.35 yd of the rim); an end who lines up with little room outside his man wins fewer, with much more more. A
/// man from the slot (another outside rusher lines up a yard or more inside of him) is a back and has not an end's
/// hands: he wins as seldom as an inside rusher (assumption): who reaches him stops him.
/// Won: for `won_seconds` his man is beaten (rep_protector.hpp) and has little grip; lost: full grip. Who has nobody
/// before him (free, or past his man) takes the shortest way round the others (geometry/taut_path.hpp, renewed every
/// 0.1 s), straight through where it is over 0.4 yd longer than the straight line. A stunt's places come first; its
/// second man waits, at up to 1 yd/s, before he loops.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "simulate/rep_lanes.hpp"

namespace shortedge {

inline constexpr double look_ahead_time = 0.06;  // s
inline constexpr double place_reached = 0.4;     // yd, of a stunt
inline constexpr double hands_meet = 0.35;       // yd from the rim
inline constexpr double waiting_speed = 1.0;     // yd/s

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
        return formation_.rushers[index].wait == 0 && distance(at, place) < rim &&
               distance(at, middle) < rim + grip_zone;
      });
    };
    while (course.through < path.size() &&
           (distance(middle, path[course.through]) < place_reached || covered(path[course.through]))) {
      ++course.through;
    }
    rusher.stunts[lane] = course.through < path.size() ? -1 : 0;
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

/// His next move, as drawn.
inline void RepSimulator::Reps::begin_move(std::size_t lane, Rushing& rusher, std::size_t index, double time) {
  const Assumptions& a = assumptions_;
  const bool is_inside = formation_.rushers[index].inside;
  Moves& moves = rusher.moves[lane];
  const MoveDraw& drawn = moves.drawn[std::min(moves.begun, most_moves - 1)];
  const auto had_by = static_cast<std::size_t>(rusher.had_by[lane]);
  const bool to_right = rusher.middle.u[lane] >= protectors_[had_by].middle.u[lane];
  const int outside = sides_[had_by] != 0 ? sides_[had_by] : to_right ? 1 : -1;
  int side = 0;
  if (moves.begun == 0) {
    side = moves.plan == RushPlan::outside ? outside : moves.plan == RushPlan::inside ? -outside : 0;
  } else {
    const double out = is_inside ? a.later_inside_outside : a.later_end_outside;
    const double in = is_inside ? a.later_inside_inside : a.later_end_inside;
    side = drawn.way < out ? outside : drawn.way < out + in ? -outside : 0;
  }
  const double wins = hands_[index] * (moves.begun == 0 ? a.hands_first : 1);
  rusher.winning[lane] = side != 0 && drawn.hands < wins ? -1 : 0;
  rusher.began[lane] = time;
  rusher.move_ends[lane] = time + a.move_seconds;
  rusher.next_move[lane] = time + a.move_seconds * std::exp(a.move_spread * drawn.next_off);
  ++moves.begun;
  rusher.unmoved[lane] = 0;
  rusher.side[lane] = side;
  rusher.moving[lane] = side != 0 ? -1 : 0;
}

/// s, at most a step: how long he has been within `most` of his man, as they close at an even speed.
inline double RepSimulator::Reps::within(std::size_t lane, const Rushing& rusher, double range, double most) const {
  const Blocking& his = protectors_[static_cast<std::size_t>(rusher.had_by[lane])];
  const Point between = his.middle.lane(lane) - rusher.middle.lane(lane);
  const Point closes = rusher.velocity.lane(lane) - his.velocity.lane(lane) - his.push.lane(lane);
  const double speed = range > 0 ? closes.dot(between) / range : 0;
  return speed * step_ > most - range ? std::max(0.0, (most - range) / speed) : step_;
}

/// Which side he makes for, and whether he wins the hands.
SHORTEDGE_INLINED void RepSimulator::Reps::move(Rushing& rusher, std::size_t index, double time) {
  const WideMask active = live_ & (rusher.reaction <= time);
  const WideMask over = active & ~rusher.unmoved & (rusher.move_ends <= time);
  const WideMask works = active & (rusher.had_by != no_man) & ~rusher.stunts;
  const WideMask straight = over | (active & ~works);
  rusher.side = blend(straight, Wide{}, rusher.side);
  rusher.moving = rusher.moving & ~straight;
  rusher.winning = rusher.winning & ~over;
  if (!any(works)) return;
  const auto had_by = [&](std::size_t lane) {
    return static_cast<std::size_t>(std::max<std::int64_t>(0, rusher.had_by[lane]));
  };
  const Blocking& first = protectors_[had_by(0)];
  rusher.his_middle = first.middle, rusher.his_rim = first.rim,
  rusher.his_side = static_cast<double>(sides_[had_by(0)]);
  if (any(rusher.had_by != whole(rusher.had_by[0]))) {
    for (std::size_t lane = 1; lane < lanes; ++lane) {
      const Blocking& man = protectors_[had_by(lane)];
      rusher.his_middle.u[lane] = man.middle.u[lane], rusher.his_middle.v[lane] = man.middle.v[lane];
      rusher.his_rim[lane] = man.rim[lane];
      rusher.his_side[lane] = static_cast<double>(sides_[had_by(lane)]);
    }
  }
  const Wide range2 = (rusher.his_middle - rusher.middle).squaredNorm();
  const WideMask due = blend(rusher.unmoved, range2 <= assumptions_.move_at * assumptions_.move_at,
                             (rusher.next_move <= time) & rusher.held);
  const WideMask begins = works & due, sells = works & rusher.unmoved & rusher.sells & ~due;
  const Wide own_side = blend(rusher.middle.u >= rusher.his_middle.u, 1.0, -1.0);
  rusher.side = blend(sells, blend(rusher.his_side != 0, rusher.his_side, own_side), rusher.side);
  for (std::size_t lane = 0; lane < lanes && any(begins); ++lane) {
    if (!begins[lane]) continue;
    double began = time - step_ / 2;
    if (rusher.unmoved[lane]) {
      began = time - within(lane, rusher, std::sqrt(range2[lane]), assumptions_.move_at);
    } else if (rusher.next_move[lane] > time - step_) {
      began = rusher.next_move[lane];
    }
    begin_move(lane, rusher, index, began);
  }
  const Wide meets = rusher.his_rim + hands_meet;
  const WideMask wins = works & rusher.winning & (range2 <= meets * meets);
  if (!any(wins)) return;
  rusher.winning = rusher.winning & ~wins;
  for (std::size_t lane = 0; lane < lanes; ++lane) {
    if (!wins[lane]) continue;
    const double met = time - within(lane, rusher, std::sqrt(range2[lane]), meets[lane]);
    rusher.won_until[lane] = std::max(rusher.began[lane], met) + assumptions_.won_seconds;
    protectors_[had_by(lane)].beaten_until[lane] = rusher.won_until[lane];
    rusher.his_rim[lane] = assumptions_.reach_open;
  }
}

SHORTEDGE_INLINED WidePoint RepSimulator::Reps::wanted(Rushing& rusher, std::size_t index, double time) {
  const WideMask idle = (rusher.reaction > time + step_ / 2) | (rusher.held_until > time);
  WidePoint toward = rush_aim_;
  Wide allowed = rusher.legs.vmax;
  const WideMask guided = live_ & rusher.guided & ~idle;
  for (std::size_t lane = 0; lane < lanes && any(guided); ++lane) {
    if (guided[lane]) guide(lane, rusher, index, toward, allowed);
  }
  allowed = blend(rusher.waits_until > time, smaller(allowed, waiting_speed), allowed);
  WidePoint ahead = rusher.seen.line;
  if (any(guided)) {
    const WidePoint way = toward - rusher.middle;
    const Wide far = way.norm();
    ahead = blend(guided, blend(far > 0, way * (1.0 / far), WidePoint{}), ahead);
  }
  const WideMask rounds = (rusher.side != 0) & ~guided & ~idle;
  if (any(rounds)) {
    const WidePoint to_man = rusher.his_middle - rusher.middle;
    const Wide range = to_man.norm(), rim = rusher.his_rim;
    const WidePoint &line = rusher.seen.line, e = to_man * (1.0 / range);
    const WideMask turns = rounds & (range > 0) & (line.dot(to_man) > 0) & (rusher.side * cross(line, to_man) < rim);
    if (any(turns)) {
      const Wide sine = smaller(1.0, rim * (1.0 / range)), cosine = root(1.0 - sine * sine);
      const WidePoint tangent = cosine * e - rusher.side * sine * quarter_turn(e);
      const Wide to_arc = range * cosine;
      const WidePoint then = rusher.seen.to_aim - to_arc * tangent;
      const Wide left = then.norm();
      const Wide half = root(larger(0.0, (1.0 + bounded(tangent.dot(then) / larger(1e-9, left), -1.0, 1.0)) / 2.0));
      // rho = r + bow / (sec(theta / 2) - 1) = r + bow cos / (1 - cos), as of the ways of measurement
      const Wide rho = rim + blend(half > 0, assumptions_.bow * half / larger(1e-9, 1.0 - half), Wide{});
      const Wide most = root(assumptions_.a_lat * rho + 2 * assumptions_.a_brake * larger(0.0, to_arc));
      ahead = blend(turns, tangent, ahead);
      allowed = blend(turns, smaller(allowed, most), allowed);
    }
  }
  return blend(idle, WidePoint{}, ahead * allowed);
}

}  // namespace shortedge
