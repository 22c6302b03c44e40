#include <pybind11/pybind11.h>
void bind_file(pybind11::module_&) {}
