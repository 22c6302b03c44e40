#pragma once
/// Running in a straight line: dv/dt = (vmax - v) / tau (Furusawa, Hill and Parkinson 1927), in closed form.
/// With s = t / tau and w = vmax - v0: v = v0 + w (1 - e^-s), x = tau (v0 s + w ramp(s)), ramp(s) = s - 1 + e^-s.

namespace shortedge {

struct Sprint {
  double vmax;  ///< yd/s, > 0
  double tau;   ///< s, > 0

  /// yd/s after `time` s from speed `start` (0 to vmax).
  double speed_after(double time, double start) const;
  /// yd run in `time` s from speed `start`.
  double distance_after(double time, double start) const;
  /// s to run `distance` yd (>= 0) from speed `start`; relative error under 1e-13.
  double time_over(double distance, double start) const;
  /// s from speed `start` to speed `end` (start <= end < vmax); infinite when end >= vmax > start.
  double time_to_speed(double end, double start) const;
  /// yd run in that time, which is given: distance_after(time_to_speed(end, start), start) without another exponential.
  double distance_to_speed(double end, double start, double time) const;
};

/// s - 1 + e^-s without cancellation for small s >= 0; the second form when e^-s - 1 is at hand.
double ramp(double s);
double ramp(double s, double exp_minus_1);

}  // namespace shortedge
