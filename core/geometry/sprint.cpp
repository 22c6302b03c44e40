#include "geometry/sprint.hpp"

#include <algorithm>
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <limits>
#include <utility>

namespace shortedge {

double ramp(double s) {
  if (s > 0.1) return s + std::expm1(-s);
  double term = s * s / 2, sum = 0;  // s^2/2! - s^3/3! + ...
  for (int k = 3; k < 16 && sum + term != sum; ++k) {
    sum += term;
    term *= -s / k;
  }
  return sum;
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
  // First guess from ramp(s) ~ s^2 / (2 + 2s/3), which is within a tenth over the distances of a rush; Newton does the rest.
  const double a = 2 * start / 3 + room, half_b = start - length / 3;
  const double guess = (std::sqrt(half_b * half_b + 2 * a * length) - half_b) / a;
  const double most = std::min((length + room) / vmax, start > 0 ? length / start : std::numeric_limits<double>::max());
  const double s = boost::math::tools::newton_raphson_iterate(
      [&](double x) { return std::pair(start * x + room * ramp(x) - length, start - room * std::expm1(-x)); },
      std::clamp(guess, 0.0, most), 0.0, most * (1 + 1e-12), std::numeric_limits<double>::digits - 6);
  return tau * s;
}

double Sprint::time_to_speed(double end, double start) const {
  if (end <= start) return 0;
  return end < vmax ? tau * std::log1p((end - start) / (vmax - end)) : std::numeric_limits<double>::infinity();
}

}  // namespace shortedge
