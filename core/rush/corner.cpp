#include "rush/corner.hpp"

#include <algorithm>

namespace shortedge {

double outside_by(const Point& rusher, const Point& blocker, const Point& passer, int side) {
  const Point to_passer = passer - rusher;
  const double goal = to_passer.norm();
  if (goal == 0) return 0 * distance(rusher, blocker);  // NaN stays NaN
  return -side * cross(to_passer, blocker - rusher) / goal;
}

double corner_held(const Point& rusher, const Point& blocker, const Point& passer, const Placed& placed, double reach) {
  if (placed.side == 0) return nan;
  const double outside = outside_by(rusher, blocker, passer, placed.side);
  if (std::isnan(outside)) return nan;
  if (placed.past) return placed.outside ? 0 : std::clamp(reach + outside, reach, 2 * reach);
  const Point to_passer = passer - rusher;
  const double along = to_passer.dot(blocker - rusher);
  const bool abreast = along > 0 && along < to_passer.squaredNorm();
  return abreast || outside > 0 ? std::clamp(reach + outside, 0.0, 2 * reach) : 0;
}

double corner_held(const Point& rusher, const Point& blocker, const Point& passer, int side, double reach) {
  return corner_held(rusher, blocker, passer, placed_now(rusher, blocker, passer, side), reach);
}

double short_edge(double corner_held, double reach) {
  return std::isnan(corner_held) ? nan : std::max(0.0, reach - corner_held);
}

}  // namespace shortedge
