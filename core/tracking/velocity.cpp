#include "tracking/velocity.hpp"

#include <algorithm>
#include <cmath>

#include "base/tolerances.hpp"

namespace shortedge {

namespace {

constexpr double window_seconds = 0.5;
constexpr std::size_t fewest = 5;

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2) return *middle;
  return (*std::max_element(values.begin(), middle) + *middle) / 2;
}

/// Adds the weights of the derivative at `at` of the quadratic fitted to points at these times. In polynomials that are
/// orthogonal over the times, 1, t and q = t^2 - skew t - spread (t counted from their mean), each coefficient is one
/// quotient: the slope is sum(t y) / sum(t^2) + sum(q y) / sum(q^2) (2 t - skew). Times are in units of the window's
/// length.
void add_weights(std::span<const double> times, double at, std::vector<double>& weights) {
  const double count = static_cast<double>(times.size()), scale = times.back() - times.front();
  double mean = 0;
  for (const double time : times) mean += (time - times.front()) / scale;
  mean /= count;
  const auto centred = [&](double time) { return (time - times.front()) / scale - mean; };
  double squares = 0, cubes = 0;
  for (const double time : times) {
    const double t = centred(time);
    squares += t * t;
    cubes += t * t * t;
  }
  const double skew = cubes / squares, spread = squares / count;
  const auto quadratic = [&](double t) { return t * (t - skew) - spread; };
  double quadratic_squares = 0;
  for (const double time : times) {
    const double q = quadratic(centred(time));
    quadratic_squares += q * q;
  }
  const double bend = (2 * centred(at) - skew) / quadratic_squares;
  for (const double time : times) {
    const double t = centred(time);
    weights.push_back((t / squares + bend * quadratic(t)) / scale);
  }
}

}  // namespace

std::size_t window_size(double step, std::size_t held) {
  if (held < fewest) return 0;
  const double half = std::floor((window_seconds / step + tolerance::window_tie) / 2);
  const std::size_t most = held - (held % 2 == 0);
  // `half` may be huge where the step is tiny; the stretch bounds it.
  const double wanted = std::max(2 * half + 1, static_cast<double>(fewest));
  return wanted < static_cast<double>(most) ? static_cast<std::size_t>(wanted) : most;
}

VelocityFit::VelocityFit(std::span<const double> times) : windows_(times.size()) {
  std::vector<double> steps;
  for (std::size_t begin = 0, end; begin < times.size(); begin = end) {
    steps.clear();
    for (end = begin + 1; end < times.size(); ++end) {
      const double step = times[end] - times[end - 1];
      if (step > tolerance::longest_gap + tolerance::time) break;
      steps.push_back(step);
    }
    const std::size_t held = end - begin;
    if (held < fewest) continue;
    const std::size_t size = window_size(median(steps), held);
    for (std::size_t i = begin; i < end; ++i) {
      const std::size_t centred = i < begin + size / 2 ? begin : i - size / 2;
      windows_[i] = {std::min(centred, end - size), size};
      add_weights(times.subspan(windows_[i].first, size), times[i], weights_);
    }
  }
}

void VelocityFit::apply(std::span<const Point> points, std::vector<Point>& velocities) const {
  velocities.assign(points.size(), absent());
  auto weight = weights_.begin();
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Window& window = windows_[i];
    if (window.size == 0) continue;
    Point sum(0, 0);  // counted from the point itself, which the weights cancel: coordinates may be large
    for (const Point& point : points.subspan(window.first, window.size)) sum += *weight++ * (point - points[i]);
    velocities[i] = sum;
  }
}

std::vector<Point> fit_velocity(std::span<const double> times, std::span<const Point> points) {
  std::vector<Point> velocities;
  VelocityFit(times).apply(points, velocities);
  return velocities;
}

}  // namespace shortedge
