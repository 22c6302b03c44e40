#pragma once
/// Velocity from positions: the derivative of a least-squares quadratic over a window of a man's own samples, on their
/// true times (Savitzky and Golay 1964, for uneven times fitted anew in each window).
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

/// yd/s (or the points' unit per second) at every sample. `times` strictly increasing, s; as many points. A stretch is a
/// run without a gap over 0.5 s; windows are centred and shifted inwards at its ends; NaN in one of under 5 samples.
std::vector<Point> fit_velocity(std::span<const double> times, std::span<const Point> points);

}  // namespace shortedge
