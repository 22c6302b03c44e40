#include "rush/cutoff.hpp"

namespace shortedge {

double cutoff_ratio(const Point& rusher, const Point& blocker, const Point& passer) {
  const Point to_blocker = blocker - rusher, to_passer = passer - rusher;
  const double range = to_blocker.norm(), goal = to_passer.norm();
  if (goal == 0) return infinity + range;  // NaN stays NaN
  const double along = to_blocker.dot(to_passer);  // range * goal * cos(phi)
  // |RB| / cos(phi) <= |RQ|, without dividing by a cosine that may be 0.
  if (range > 0 && along > 0 && range * range <= along) return std::abs(cross(to_blocker, to_passer)) / (range * goal);
  return distance(blocker, passer) / goal;
}

}  // namespace shortedge
