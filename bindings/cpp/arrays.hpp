#pragma once
/// The one gate for arrays: type, dimensions and layout are checked here, once, and nowhere else.

#include <pybind11/eigen.h>
#include <pybind11/numpy.h>
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include <Eigen/Core>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/error.hpp"
#include "geometry/point.hpp"

namespace shortedge::python {

namespace py = pybind11;

/// Whether an array is of exactly this type. An array that was pickled has a dtype object of its own, which equals.
template <class T>
bool is_of(const py::array& array) {
  const py::dtype type = array.dtype(), wanted = py::dtype::of<T>();
  return type.is(wanted) || type.equal(wanted);
}

/// The array's values without a copy. TypeError unless it is one-dimensional, contiguous and of exactly this type.
template <class T>
std::span<const T> column(const py::handle& value, const std::string& name) {
  if (!py::isinstance<py::array>(value)) throw py::type_error(name + ": an array is wanted");
  const auto array = py::reinterpret_borrow<py::array>(value);
  if (!is_of<T>(array) || array.ndim() != 1 || !(array.flags() & py::array::c_style)) {
    throw py::type_error(name + ": a contiguous one-dimensional array of " + std::string(py::str(py::dtype::of<T>())) +
                         " is wanted, not " + std::string(py::str(array.dtype())) + " of " +
                         std::to_string(array.ndim()) + " dimensions");
  }
  return {static_cast<const T*>(array.data()), static_cast<std::size_t>(array.size())};
}

/// The same of a column that may be missing: empty then.
template <class T>
std::span<const T> column_if(const py::dict& table, const char* name) {
  return table.contains(name) ? column<T>(table[name], name) : std::span<const T>();
}

/// Points of an array of shape (n, 2), float64, contiguous, mapped without a copy.
using Points = Eigen::Map<const Eigen::Matrix<double, Eigen::Dynamic, 2, Eigen::RowMajor>>;
inline Points points(const py::array& array, const char* name) {
  if (!is_of<double>(array) || array.ndim() != 2 || array.shape(1) != 2 || !(array.flags() & py::array::c_style)) {
    throw py::type_error(std::string(name) + ": a contiguous float64 array of shape (n, 2) is wanted");
  }
  return {static_cast<const double*>(array.data()), array.shape(0), 2};
}

/// Hands a vector to numpy without a copy; the array owns it.
template <class T>
py::array_t<T> to_array(std::vector<T>&& values) {
  auto owned = std::make_unique<std::vector<T>>(std::move(values));
  const py::capsule owner(owned.get(), [](void* vector) { delete static_cast<std::vector<T>*>(vector); });
  std::vector<T>* vector = owned.release();
  return py::array_t<T>(static_cast<py::ssize_t>(vector->size()), vector->data(), owner);
}
template <class T>
py::array_t<T> to_array(const std::vector<T>& values) {
  return to_array(std::vector<T>(values));
}

/// Points as an array of shape (n, 2).
inline py::array_t<double> to_array(std::span<const Point> values) {
  py::array_t<double> array({static_cast<py::ssize_t>(values.size()), py::ssize_t{2}});
  for (std::size_t i = 0; i < values.size(); ++i) {
    array.mutable_at(static_cast<py::ssize_t>(i), 0) = values[i].x();
    array.mutable_at(static_cast<py::ssize_t>(i), 1) = values[i].y();
  }
  return array;
}

/// The value a word stands for. InputError, with the accepted words, for another.
template <class Value>
Value chosen(const std::string& word, const char* argument,
             std::initializer_list<std::pair<std::string_view, Value>> choices) {
  std::string accepted;
  for (const auto& [name, value] : choices) {
    if (word == name) return value;
    accepted.append(accepted.empty() ? "" : ", ").append(name);
  }
  throw InputError(std::string(argument) + " is \"" + word + "\"; accepted: " + accepted);
}

/// The i-th point.
inline Point row(const Points& rows, Eigen::Index i) { return rows.row(i).transpose(); }

/// One value a row of arrays that must be of one length.
template <class Value>
py::array_t<double> each_row(const py::array& first, std::initializer_list<const py::array*> others, Value&& value) {
  for (const py::array* other : others) {
    if (other->shape(0) != first.shape(0)) throw py::value_error("arrays of unequal length");
  }
  std::vector<double> values(static_cast<std::size_t>(first.shape(0)));
  for (std::size_t i = 0; i < values.size(); ++i) values[i] = value(static_cast<Eigen::Index>(i));
  return to_array(std::move(values));
}

}  // namespace shortedge::python
