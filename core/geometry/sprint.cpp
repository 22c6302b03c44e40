#include "geometry/sprint.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "geometry/root.hpp"

namespace shortedge {

double ramp(double s) { return ramp(s, std::expm1(-s)); }

double ramp(double s, double exp_minus_1) {
  if (s > 0.1) return s + exp_minus_1;
  // s^2/2! - s^3/3! + ... - s^11/11!
  constexpr double weights[] = {-1.0 / 39916800, 1.0 / 3628800, -1.0 / 362880, 1.0 / 40320, -1.0 / 5040,
                                1.0 / 720,       -1.0 / 120,    1.0 / 24,      -1.0 / 6,    1.0 / 2};
  double sum = 0;
  for (const double weight : weights) sum = sum * s + weight;
  return sum * s * s;
}

double Sprint::speed_after(double time, double start) const { return start - (vmax - start) * std::expm1(-time / tau); }

double Sprint::distance_after(double time, double start) const {
  const double s = time / tau;
  return tau * (start * s + (vmax - start) * ramp(s));
}

double Sprint::time_over(double distance, double start) const {
  if (distance <= 0) return 0;
  const double room = vmax - start, length = distance / tau;
  if (room <= 0) return distance / vmax;
  // First guess from ramp(s) ~ s^2 / (2 + 2s/3), which is within a tenth over the distances of a rush.
  const double a = 2 * start / 3 + room, half_b = start - length / 3;
  const double root = std::sqrt(half_b * half_b + 2 * a * length);
  const double guess = half_b > 0 ? 2 * length / (root + half_b) : (root - half_b) / a;
  const double most = std::min((length + room) / vmax, start > 0 ? length / start : std::numeric_limits<double>::max());
  const auto run = [&](double s) -> Slopes {
    const double e = std::expm1(-s);
    return {start * s + room * ramp(s, e) - length, start - room * e, room * (1 + e)};
  };
  return tau * increasing_root(run, guess, 0, most * (1 + 1e-12));
}

double Sprint::time_to_speed(double end, double start) const {
  if (end <= start) return 0;
  return end < vmax ? tau * std::log1p((end - start) / (vmax - end)) : std::numeric_limits<double>::infinity();
}

double Sprint::distance_to_speed(double end, double start, double time) const {
  if (end <= start) return 0;
  if (end >= vmax) return std::numeric_limits<double>::infinity();
  const double s = time / tau, room = vmax - start;
  return tau * (start * s + room * ramp(s, -(end - start) / room));
}

}  // namespace shortedge
