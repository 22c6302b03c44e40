#include "study/break_even.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/tolerances.hpp"
#include "rush/cutoff.hpp"

namespace shortedge {

namespace {

/// How far behind the rusher his ray of this direction meets the line `across` yards from him; NaN if it does not.
double ray_meets(const Point& direction, double across) {
  const double length = across / direction.x();
  return length > 0 ? length * direction.y() : nan;
}

/// The roots y of (y - back)^2 + out^2 = k^2 (y^2 + across^2): where |PQ| = k |RQ|. NaN or infinite where there are
/// none.
std::array<double, 2> equal_ratio(double back, double out, double across, double k) {
  // a y^2 - 2 back y + c = 0, without subtracting what is nearly equal; a is 0 at k = 1.
  const double a = (1 - k) * (1 + k), c = back * back + (out - k * across) * (out + k * across);
  const double root = std::sqrt(back * back - a * c);
  const double far = back + std::copysign(root, back);
  return {far / a, c / far};
}

}  // namespace

double break_even_depth(const Point& rusher, const Point& blocker, const Point& passer, double speed_ratio) {
  const double k = speed_ratio;
  const auto ratio_at = [&](double depth) { return cutoff_ratio(rusher, blocker, {passer.x(), depth}); };
  if (!(k > 0) || !(ratio_at(passer.y()) < k)) return nan;

  const Point to_blocker = blocker - rusher;
  const double across = passer.x() - rusher.x();
  const auto [far, near] = equal_ratio(to_blocker.y(), blocker.x() - passer.x(), across, k);
  std::array<double, 4> candidates{far, near, nan, nan};  // yd behind the rusher
  if (k < 1) {
    const Point along = std::sqrt((1 - k) * (1 + k)) * to_blocker, aside = k * quarter_turn(to_blocker);
    candidates[2] = ray_meets(along + aside, across);
    candidates[3] = ray_meets(along - aside, across);
  }
  double least = infinity;
  for (const double back : candidates) {
    const double depth = std::max(rusher.y() + back, passer.y());
    if (!std::isfinite(back) || rusher.y() + back < passer.y() - tolerance::same_point) continue;
    if (std::abs(ratio_at(depth) - k) <= tolerance::same_ratio * std::max(1.0, k)) least = std::min(least, depth);
  }
  return least;
}

}  // namespace shortedge
