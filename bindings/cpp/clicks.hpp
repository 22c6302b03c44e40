#pragma once
/// A man's clicks as numpy columns.

#include <vector>

#include "arrays.hpp"
#include "trace/smoother.hpp"

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

}  // namespace shortedge::python
