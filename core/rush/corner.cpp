#include "rush/corner.hpp"

#include <algorithm>

namespace shortedge {

double corner_held(const Point& rusher, const Point& blocker, const Point& passer, int side, double reach) {
  if (is_past(rusher, blocker, passer)) return 0;
  if (side == 0) return nan;
  const Point to_blocker = blocker - rusher, to_passer = passer - rusher;
  const double goal = to_passer.norm();
  const double outside = -side * cross(to_passer, to_blocker) / goal;
  const double along = to_passer.dot(to_blocker) / goal;
  if (std::isnan(outside)) return nan;
  if ((along > 0 && along < goal) || outside > 0) return std::clamp(reach + outside, 0.0, 2 * reach);
  return 0;
}

double short_edge(double corner_held, double reach) {
  return std::isnan(corner_held) ? nan : std::max(0.0, reach - corner_held);
}

}  // namespace shortedge
