#pragma once
/// Work on a whole game without the GIL, and its tables as numpy columns.

#include <pybind11/pybind11.h>

#include <string>
#include <utility>

#include "arrays.hpp"
#include "base/columns.hpp"
#include "measure/over_plays.hpp"

namespace shortedge::python {

/// Runs work(ask) without the GIL; `ask` lets Ctrl-C through and calls progress(done, all) when that is not None.
template <class Tables, class Work>
Tables at_work(const py::object& progress, Work&& work) {
  const Progress ask = [&](std::size_t done, std::size_t all) {
    const py::gil_scoped_acquire held;
    if (PyErr_CheckSignals() != 0) return false;
    if (!progress.is_none()) progress(done, all);
    return true;
  };
  Tables tables;
  {
    const py::gil_scoped_release released;
    tables = work(ask);
  }
  if (PyErr_Occurred()) throw py::error_already_set();
  return tables;
}

/// A table as column -> array, without copies; the table is used up.
template <class Table>
py::dict columns_of(Table& table) {
  py::dict columns;
  table.for_each(table, [&](const ColumnInfo& info, auto& values) {
    columns[py::str(info.name.data(), info.name.size())] = to_array(std::move(values));
  });
  return columns;
}

/// A set of tables as title -> column -> array, without copies.
template <class Tables>
py::dict tables_of(Tables&& tables) {
  py::dict out;
  Tables::for_each(tables,
                   [&](auto& table) { out[py::str(table.title.data(), table.title.size())] = columns_of(table); });
  return out;
}

}  // namespace shortedge::python
