#include "rush/ways.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/tolerances.hpp"
#include "geometry/speed_profile.hpp"
#include "rush/corner.hpp"

namespace shortedge {

double arc_speed(double radius, double turn, const Rules& rules) {
  if (turn < pi) radius += rules.bow / (1 / std::cos(turn / 2) - 1);
  return std::sqrt(rules.a_lat * radius);
}

BothWays both_ways_past(const Point& rusher, const Point& blocker, const Point& passer, double reach) {
  const double radius = std::min(reach, distance(blocker, passer));
  if (is_past(rusher, blocker, passer) || radius <= tolerance::same_point) {
    const WayRound straight = straight_way(rusher, passer);
    return {straight, straight};
  }
  if (distance(rusher, blocker) <= tolerance::same_point) {
    const WayRound none{infinity, nan, 0, 0, rusher, absent(), absent(), Point(0, 0)};
    return {none, none};
  }
  return both_ways_round(rusher, passer, {blocker, radius});
}

WayRound way_past(const Point& rusher, const Point& blocker, const Point& passer, int side, double reach) {
  return both_ways_past(rusher, blocker, passer, reach).turning(side);
}

double time_of(const WayRound& way, const Point& velocity, const Rules& rules) {
  if (std::isinf(way.entry)) return infinity;
  const bool turns = way.turn > 0;
  double arm = rules.arm;
  const auto cut = [&](double length) {
    const double left = std::max(0.0, length - arm);
    arm -= length - left;
    return left;
  };
  const double exit = cut(way.exit), arc = cut(turns ? way.radius * way.turn : 0.0), entry = cut(way.entry);
  const std::array<Piece, 3> pieces{Piece{entry, rules.vmax}, Piece{arc, turns ? arc_speed(way.radius, way.turn, rules) : rules.vmax},
                                    Piece{exit, rules.vmax}};
  const double start = velocity.dot(way.direction);
  return least_time(pieces, std::isnan(start) ? 0.0 : start, {{rules.vmax, rules.tau}, rules.a_brake}).time;
}

double exposure(double time, const Rules& rules) { return std::isnan(time) ? nan : std::max(0.0, 1 - time / rules.horizon); }

double outside_time(const Point& rusher, const Point& velocity, const Point& blocker, const Point& passer, int side,
                    const Rules& rules) {
  return time_of(way_past(rusher, blocker, passer, side, rules.reach), velocity, rules);
}

Ways ways_round(const Point& rusher, const Point& velocity, const Point& blocker, const Point& passer, int side,
                const Rules& rules) {
  const BothWays ways = both_ways_past(rusher, blocker, passer, rules.reach);
  const auto time = [&](const WayRound& way) { return time_of(way, velocity, rules); };
  if (side == 0) return {nan, nan, std::min(time(ways.clockwise), time(ways.counter_clockwise))};
  const WayRound& outside = ways.turning(side);
  return {time(outside), degrees(outside.turn), time(ways.turning(-side))};
}

}  // namespace shortedge
