#pragma once
/// A struct of named numbers (Rules, Assumptions) as a Python class made by keyword.

#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include <string>
#include <string_view>

#include "base/error.hpp"

namespace shortedge::python {

namespace py = pybind11;

/// `kind` is what one of them is called in errors. Settings: for_each(settings, visit) and validate().
template <class Settings>
Settings make_settings(const std::string& kind, const py::kwargs& given) {
  Settings settings;
  py::dict left(given);
  Settings::for_each(settings, [&](std::string_view name, double& value, std::string_view unit, std::string_view) {
    const py::str key(name.data(), name.size());
    if (!left.contains(key)) return;
    try {
      value = py::cast<double>(left[key]);
    } catch (const py::cast_error&) {
      throw InputError(kind + " " + std::string(name) + " is " + std::string(py::repr(left[key])) + "; a number" +
                       (unit.empty() ? "" : " in " + std::string(unit)) + " is wanted");
    }
    left.attr("pop")(key);
  });
  if (!left.empty()) {
    std::string accepted;
    Settings::for_each(settings, [&](std::string_view name, double, std::string_view, std::string_view) {
      accepted.append(accepted.empty() ? "" : ", ").append(name);
    });
    throw InputError("no " + kind + " is called " + std::string(py::str(*left.begin()->first)) +
                     "; accepted: " + accepted);
  }
  settings.validate();
  return settings;
}

template <class Settings>
py::dict to_dict(const Settings& settings) {
  py::dict dict;
  Settings::for_each(settings, [&](std::string_view name, double value, std::string_view, std::string_view) {
    dict[py::str(name.data(), name.size())] = value;
  });
  return dict;
}

template <class Settings>
void bind_settings(py::module_& module, const char* called, const std::string& kind, const char* doc) {
  py::class_<Settings> bound(module, called, doc);
  bound.def(py::init([kind](const py::kwargs& given) { return make_settings<Settings>(kind, given); }));
  const Settings defaults;
  Settings::for_each(defaults, [&](std::string_view name, double, std::string_view unit, std::string_view says) {
    const std::string key(name), text = std::string(says) + (unit.empty() ? "" : " (" + std::string(unit) + ")");
    bound.def_property_readonly(
        key.c_str(), [key](const Settings& self) { return py::cast<double>(to_dict(self)[key.c_str()]); },
        text.c_str());
  });
  bound.def(py::pickle([](const Settings& self) { return to_dict(self); },
                       [kind](const py::dict& state) { return make_settings<Settings>(kind, py::kwargs(state)); }));
  bound.def("as_dict", &to_dict<Settings>, "Name to value, in order.");
  bound.def("__eq__", [](const Settings& a, const Settings& b) { return to_dict(a).equal(to_dict(b)); });
  bound.def("__repr__", [called](const Settings& self) {
    std::string text = std::string(called) + "(";
    Settings::for_each(self, [&](std::string_view name, double value, std::string_view, std::string_view) {
      text.append(text.back() == '(' ? "" : ", ").append(name).append("=").append(shown(value));
    });
    return text + ")";
  });
}

}  // namespace shortedge::python
