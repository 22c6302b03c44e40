#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include "base/columns.hpp"
#include "base/error.hpp"
#include "base/rules.hpp"
#include "base/units.hpp"

namespace py = pybind11;
using namespace shortedge;

namespace {

std::string_view kind_name(Kind kind) {
  switch (kind) {
    case Kind::play:
    case Kind::player:
    case Kind::label: return "name";
    case Kind::number: return "number";
    case Kind::count: return "count";
    case Kind::flag: return "flag";
    default: return "word";
  }
}

template <class Table>
py::list list_columns() {
  py::list list;
  for (const ColumnInfo& info : Table::columns) {
    py::dict column;
    column["name"] = info.name;
    column["kind"] = kind_name(info.kind);
    column["names"] = info.kind == Kind::play     ? "plays"
                      : info.kind == Kind::player ? "players"
                      : info.kind == Kind::label  ? "labels"
                                                  : "";
    column["unit"] = info.unit;
    column["missing"] = info.missing;
    column["says"] = info.says;
    py::list vocabulary;
    for (const std::string_view word : words(info.kind)) vocabulary.append(word);
    column["words"] = py::tuple(vocabulary);
    list.append(column);
  }
  return list;
}

Rules make_rules(const py::kwargs& given) {
  Rules rules;
  py::dict left(given);
  for_each_rule(rules, [&](std::string_view name, double& value, std::string_view unit, std::string_view) {
    const py::str key(name.data(), name.size());
    if (!left.contains(key)) return;
    try {
      value = py::cast<double>(left[key]);
    } catch (const py::cast_error&) {
      throw InputError("rule " + std::string(name) + " is " + std::string(py::repr(left[key])) + "; a number" +
                       (unit.empty() ? "" : " in " + std::string(unit)) + " is wanted");
    }
    left.attr("pop")(key);
  });
  if (!left.empty()) {
    std::string accepted;
    for_each_rule(rules, [&](std::string_view name, double, std::string_view, std::string_view) {
      accepted += (accepted.empty() ? "" : ", ") + std::string(name);
    });
    throw InputError("no rule is called " + std::string(py::str(*left.begin()->first)) + "; accepted: " + accepted);
  }
  rules.validate();
  return rules;
}

py::dict to_dict(const Rules& rules) {
  py::dict dict;
  for_each_rule(rules, [&](std::string_view name, double value, std::string_view, std::string_view) {
    dict[py::str(name.data(), name.size())] = value;
  });
  return dict;
}

}  // namespace

void bind_base(py::module_& module) {
  module.attr("METRES_PER_YARD") = metres_per_yard;
  module.attr("FIELD_LENGTH") = field_length;
  module.attr("FIELD_WIDTH") = field_width;
  module.def(
      "columns",
      [] {
        py::dict tables;
        tables["frames"] = list_columns<FramesTable>();
        tables["edges"] = list_columns<EdgesTable>();
        tables["rushers"] = list_columns<RushersTable>();
        tables["reps"] = list_columns<RepsTable>();
        tables["dropbacks"] = list_columns<DropbacksTable>();
        tables["speeds"] = list_columns<SpeedsTable>();
        return tables;
      },
      "Every output table's columns, without the first, game: name, kind, names, unit, missing, says, words.");

  py::class_<Rules> rules(module, "Rules",
                          "The rules of measurement that may be changed. Any of them by name; the rest keep their\n"
                          "defaults. Raises InputError for an unknown name or a value that makes no sense.");
  rules.def(py::init(&make_rules));
  for_each_rule(*std::make_unique<Rules>(), [&](std::string_view name, double, std::string_view unit, std::string_view says) {
    const std::string key(name), doc = std::string(says) + (unit.empty() ? "" : " (" + std::string(unit) + ")");
    rules.def_property_readonly(
        key.c_str(), [key](const Rules& self) { return py::cast<double>(to_dict(self)[key.c_str()]); }, doc.c_str());
  });
  rules.def("as_dict", &to_dict, "Name to value, in order.");
  rules.def("__eq__", [](const Rules& a, const Rules& b) { return to_dict(a).equal(to_dict(b)); });
  rules.def("__repr__", [](const Rules& self) {
    std::string text = "Rules(";
    for_each_rule(self, [&](std::string_view name, double value, std::string_view, std::string_view) {
      text += (text.back() == '(' ? "" : ", ") + std::string(name) + "=" + shown(value);
    });
    return text + ")";
  });
}
