#include "rush/cutoff.hpp"

#include <cmath>

namespace shortedge {

double cutoff_ratio(const Point& rusher, const Point& blocker, const Point& passer) {
  const Point to_passer = passer - rusher;
  const double goal = to_passer.norm();
  if (goal == 0) return infinity + distance(rusher, blocker);  // NaN stays NaN
  return cut_off(blocker - rusher, to_passer, goal).ratio;
}

CutOff cut_off(const Point& to_blocker, const Point& to_passer, double goal) {
  const double along = to_blocker.dot(to_passer), range2 = to_blocker.squaredNorm();  // along = |RB| goal cos(phi)
  // |RB| / cos(phi) <= |RQ|, without dividing by a cosine that may be 0.
  if (range2 > 0 && along > 0 && range2 <= along) {
    return {std::abs(cross(to_blocker, to_passer)) / (std::sqrt(range2) * goal), range2 * goal / along};
  }
  return {distance(to_blocker, to_passer) / goal, goal};
}

}  // namespace shortedge
