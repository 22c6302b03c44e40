#include "tracking/velocity.hpp"

#include <Eigen/Cholesky>
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

/// The derivative at `at` of the quadratic fitted to the window. Times are counted from `at` in units of the window's
/// length, so that the normal equations are well conditioned whatever the rate.
Point slope(std::span<const double> times, std::span<const Point> points, double at, const Point& origin) {
  const double scale = times.back() - times.front();
  Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
  Eigen::Matrix<double, 3, 2> right = Eigen::Matrix<double, 3, 2>::Zero();
  for (std::size_t i = 0; i < times.size(); ++i) {
    const double t = (times[i] - at) / scale;
    const Eigen::Vector3d powers(1, t, t * t);
    normal.noalias() += powers * powers.transpose();
    right.noalias() += powers * (points[i] - origin).transpose();
  }
  return normal.ldlt().solve(right).row(1).transpose() / scale;
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

std::vector<Point> fit_velocity(std::span<const double> times, std::span<const Point> points) {
  std::vector<Point> velocities(points.size(), absent());
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
    const std::size_t window = window_size(median(steps), held);
    for (std::size_t i = begin; i < end; ++i) {
      const std::size_t centred = i < begin + window / 2 ? begin : i - window / 2;
      const std::size_t first = std::min(centred, end - window);
      velocities[i] = slope(times.subspan(first, window), points.subspan(first, window), times[i], points[i]);
    }
  }
  return velocities;
}

}  // namespace shortedge
