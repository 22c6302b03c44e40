#include "geometry/sprint.hpp"

#include <cmath>

namespace shortedge {

double ramp(double s) { return s > 0.1 ? s + std::expm1(-s) : ramp<double>(s, 1.0); }

double Sprint::speed_after(double time, double start) const { return start - (vmax - start) * std::expm1(-time / tau); }

double Sprint::distance_after(double time, double start) const {
  const double s = time / tau;
  return tau * (start * s + (vmax - start) * ramp(s));
}

double Sprint::time_over(double distance, double start) const { return time_over<double>(distance, start, true); }

double Sprint::time_to_speed(double end, double start) const {
  if (end <= start) return 0;
  return end < vmax ? tau * std::log1p((end - start) / (vmax - end)) : infinity;
}

}  // namespace shortedge
