#include "geometry/way_round.hpp"

#include <algorithm>
#include <cmath>

namespace shortedge {

namespace {

/// What the two ways share. Each tangent makes a right triangle with the radius to where it touches and the line from
/// its end to the centre, so no angle is needed to find where it touches.
struct Around {
  Point center, begin, goal;
  double radius, entry, exit;          // yd; lengths of the tangents
  double begin_range, goal_range;      // yd, from the centre
  Point to_begin, to_goal;             // unit vectors from the centre
  double sweep;                        // radians, from begin to goal about the centre, counter-clockwise, (-pi, pi]
  double tangents;                     // radians of it that both tangents take, [0, pi]

  Around(const Point& start, const Point& end, const Disc& disc) : center(disc.center), goal(end), radius(disc.radius) {
    const Point from_center = start - center, goal_from_center = goal - center;
    const double start_range = from_center.norm();
    goal_range = goal_from_center.norm();
    begin_range = std::max(start_range, radius);
    to_begin = from_center / start_range;
    to_goal = goal_from_center / goal_range;
    begin = start_range < radius ? Point(center + radius * to_begin) : start;
    entry = std::sqrt((begin_range - radius) * (begin_range + radius));
    exit = std::sqrt(std::max(0.0, (goal_range - radius) * (goal_range + radius)));
    sweep = std::atan2(cross(from_center, goal_from_center), from_center.dot(goal_from_center));
    tangents = std::atan2(radius * (entry + exit), radius * radius - entry * exit);
  }

  WayRound turning(Turn way) const {
    const double swept = way * sweep < 0 ? way * sweep + 2 * pi : way * sweep, turn = swept - tangents;
    if (turn <= 0) return straight_way(begin, goal);
    const Point on_rim = (radius * to_begin + way * entry * quarter_turn(to_begin)) / begin_range;
    const Point off_rim = (radius * to_goal - way * exit * quarter_turn(to_goal)) / goal_range;
    const Point along = way * quarter_turn(on_rim);  // the tangent's direction, and the arc's at its beginning
    return {entry, turn, radius, exit, begin, center + radius * on_rim, center + radius * off_rim, along};
  }
};

}  // namespace

WayRound straight_way(const Point& start, const Point& goal) {
  const double length = distance(start, goal);
  return {length, 0, 0, 0, start, goal, goal, length > 0 ? Point((goal - start) / length) : Point(0, 0)};
}

WayRound way_round(const Point& start, const Point& goal, const Disc& disc, Turn way) {
  return Around(start, goal, disc).turning(way);
}

BothWays both_ways_round(const Point& start, const Point& goal, const Disc& disc) {
  const Around around(start, goal, disc);
  return {around.turning(-1), around.turning(1)};
}

}  // namespace shortedge
