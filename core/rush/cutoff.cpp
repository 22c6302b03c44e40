#include "rush/cutoff.hpp"

namespace shortedge {

double cutoff_ratio(const Point& rusher, const Point& blocker, const Point& passer) {
  const Point to_passer = passer - rusher;
  const double goal = to_passer.norm();
  if (goal == 0) return infinity + distance(rusher, blocker);  // NaN stays NaN
  return cut_off<Point>(blocker - rusher, to_passer, goal).ratio;
}

}  // namespace shortedge
