#pragma once
/// Velocity from positions: the derivative of a least-squares quadratic over a window of a man's own samples, on their
/// true times (Savitzky and Golay 1964, for uneven times with weights of each window's own).
///
/// At 10 Hz a central difference multiplies white position noise by 7 per second; the quadratic over half a second
/// multiplies it by 3.2 (their published weights over 5 samples: sqrt(1/10) per step).

#include <cstddef>
#include <span>
#include <vector>

#include "geometry/point.hpp"

namespace shortedge {

/// How many samples a window takes in a stretch of `held` samples whose median step is `step` s: the odd number nearest
/// 0.5 s / step (ties up), at least 5, at most what the stretch holds. 0 when it holds fewer than 5.
std::size_t window_size(double step, std::size_t held);

/// The derivative as a weighted sum of the positions in each sample's window. The weights depend on the times alone, so
/// men stamped alike share one fit. A stretch is a run without a gap over 0.5 s; windows are centred and shifted
/// inwards at its ends.
class VelocityFit {
 public:
  /// `times` strictly increasing, s.
  explicit VelocityFit(std::span<const double> times);

  /// yd/s (or the points' unit per second) at every sample, in place of what `velocities` held; NaN in a stretch of
  /// under 5 samples. As many points as there were times.
  void apply(std::span<const Point> points, std::vector<Point>& velocities) const;

 private:
  struct Window {
    std::size_t first, size = 0;  // samples; none in a short stretch
  };
  std::vector<Window> windows_;  // one a sample
  std::vector<double> weights_;  // of each window in turn
};

/// The same for one man.
std::vector<Point> fit_velocity(std::span<const double> times, std::span<const Point> points);

}  // namespace shortedge
