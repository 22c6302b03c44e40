#include "geometry/way_round.hpp"

#include <Eigen/Geometry>

namespace shortedge {

WayRound straight_way(const Point& start, const Point& goal) {
  const double length = distance(start, goal);
  return {length, 0, 0, 0, start, goal, goal, length > 0 ? Point((goal - start) / length) : Point(0, 0)};
}

WayRound way_round(const Point& start, const Point& goal, const Disc& disc, Turn way) {
  const Point to_start = start - disc.center, to_goal = goal - disc.center;
  const double start_range = to_start.norm(), goal_range = to_goal.norm(), r = disc.radius;
  const double begin_range = std::max(start_range, r);
  const double at_start = std::acos(r / begin_range);
  const double at_goal = std::acos(std::min(1.0, r / goal_range));
  const double turn = swept(to_start, to_goal, way) - at_start - at_goal;
  const Point begin = start_range < r ? Point(disc.center + (r / start_range) * to_start) : start;
  if (turn <= 0) return straight_way(begin, goal);

  const Point on_rim = Eigen::Rotation2Dd(way * at_start) * (to_start / start_range);
  const Point off_rim = Eigen::Rotation2Dd(-way * at_goal) * (to_goal / goal_range);
  const Point along = way * quarter_turn(on_rim);  // the tangent's direction, and the arc's at its beginning
  return {std::sqrt((begin_range - r) * (begin_range + r)),
          turn,
          r,
          std::sqrt(std::max(0.0, (goal_range - r) * (goal_range + r))),
          begin,
          disc.center + r * on_rim,
          disc.center + r * off_rim,
          along};
}

}  // namespace shortedge
