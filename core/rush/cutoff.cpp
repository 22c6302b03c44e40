#include "rush/cutoff.hpp"

#include <cmath>

namespace shortedge {

double cutoff_ratio(const Point& rusher, const Point& blocker, const Point& passer) {
  const Point to_passer = passer - rusher;
  const double goal = to_passer.norm();
  if (goal == 0) return infinity + distance(rusher, blocker);  // NaN stays NaN
  return cut_off(blocker - rusher, to_passer / goal, goal).ratio;
}

CutOff cut_off(const Point& to_blocker, const Point& line, double goal) {
  const double along = to_blocker.dot(line), range2 = to_blocker.squaredNorm();
  // |RB| / cos(phi) <= |RQ|, without dividing by a cosine that may be 0.
  if (range2 > 0 && along > 0 && range2 <= along * goal) {
    return {std::abs(cross(to_blocker, line)) / std::sqrt(range2), range2 / along};
  }
  return {(to_blocker - goal * line).norm() / goal, goal};
}

}  // namespace shortedge
