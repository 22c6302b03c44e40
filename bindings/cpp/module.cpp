// What the module holds; one file a layer.

#include <pybind11/pybind11.h>

#include "base/error.hpp"

namespace py = pybind11;

void bind_base(py::module_& module);
void bind_geometry(py::module_& module);
void bind_camera(py::module_& module);
void bind_trace(py::module_& module);
void bind_game(py::module_& module);
void bind_measure(py::module_& module);
void bind_reps(py::module_& module);
void bind_simulate(py::module_& module);
void bind_board(py::module_& module);
void bind_study(py::module_& module);
void bind_summaries(py::module_& module);
void bind_fit(py::module_& module);
void bind_file(py::module_& module);

PYBIND11_MODULE(_core, module) {
  module.doc() = "The compiled side of shortedge.";
  module.attr("__version__") = SHORTEDGE_VERSION;
  py::register_exception<shortedge::InputError>(module, "InputError", PyExc_ValueError);
  py::register_exception<shortedge::FileError>(module, "FileError", PyExc_OSError);
  bind_base(module);
  bind_geometry(module);
  bind_camera(module);
  bind_trace(module);
  bind_game(module);
  bind_measure(module);
  bind_reps(module);
  bind_simulate(module);
  bind_study(module);
  bind_summaries(module);
  bind_board(module);
  bind_fit(module);
  bind_file(module);
}
