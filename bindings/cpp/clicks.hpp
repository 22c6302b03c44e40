#pragma once
/// A man's clicks as numpy columns.

#include <array>
#include <vector>

#include "arrays.hpp"
#include "trace/click.hpp"

namespace shortedge::python {

/// Clicks of columns: covariance (n, 3) as xx, xy, yy.
inline std::vector<Click> clicks_of(const py::array& time, const py::array& place, const py::array& covariance) {
  const auto times = column<double>(time, "time");
  const Points places = points(place, "place");
  if (!covariance.dtype().is(py::dtype::of<double>()) || covariance.ndim() != 2 || covariance.shape(1) != 3 ||
      !(covariance.flags() & py::array::c_style)) {
    throw py::type_error("covariance: a contiguous float64 array of shape (n, 3) is wanted");
  }
  if (places.rows() != time.shape(0) || covariance.shape(0) != time.shape(0))
    throw py::value_error("arrays of unequal length");
  const auto* values = static_cast<const double*>(covariance.data());
  std::vector<Click> clicks;
  for (std::size_t i = 0; i < times.size(); ++i, values += 3) {
    Eigen::Matrix2d one;
    one << values[0], values[1], values[1], values[2];
    clicks.push_back({times[i], row(places, static_cast<Eigen::Index>(i)), one});
  }
  return clicks;
}

/// How a man moves, as four numbers: jerk, start_jerk, start, tail (trace/smoother.hpp).
using MotionNumbers = std::array<double, 4>;
inline SmootherOptions motion_of(const MotionNumbers& motion) {
  return {.jerk = motion[0], .start_jerk = motion[1], .start = motion[2], .tail = motion[3]};
}
inline MotionNumbers numbers_of(const SmootherOptions& options) {
  return {options.jerk, options.start_jerk, options.start, options.tail};
}

}  // namespace shortedge::python
