#pragma once
/// Columns of the user's own that the library does not read.

#include <string>
#include <utility>
#include <vector>

#include "arrays.hpp"
#include "tracking/tables.hpp"

namespace shortedge::python {

/// A kept column is (name, values): an array of float64 or int64, or a list of texts, "" for none.
inline std::vector<KeptColumn> kept_columns(const py::list& list) {
  std::vector<KeptColumn> columns;
  for (const py::handle& item : list) {
    const auto [name, values] = py::cast<std::pair<std::string, py::object>>(item);
    KeptColumn kept;
    kept.name = name;
    if (py::isinstance<py::list>(values)) {
      kept.texts = py::cast<std::vector<std::string>>(values);
    } else if (py::isinstance<py::array_t<std::int64_t>>(values)) {
      const auto integers = column<std::int64_t>(values, name);
      kept.integers.assign(integers.begin(), integers.end());
    } else {
      const auto numbers = column<double>(values, name);
      kept.numbers.assign(numbers.begin(), numbers.end());
    }
    columns.push_back(std::move(kept));
  }
  return columns;
}

inline py::list to_list(const std::vector<KeptColumn>& columns) {
  py::list list;
  for (const KeptColumn& kept : columns) {
    py::object values = !kept.texts.empty()      ? py::object(py::cast(kept.texts))
                        : !kept.integers.empty() ? py::object(to_array(kept.integers))
                                                 : py::object(to_array(kept.numbers));
    list.append(py::make_tuple(kept.name, values));
  }
  return list;
}

}  // namespace shortedge::python
