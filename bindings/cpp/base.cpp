#include "base/columns.hpp"
#include "base/rules.hpp"
#include "base/units.hpp"
#include "settings.hpp"

using namespace shortedge;
using namespace shortedge::python;

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
        tables["drops"] = list_columns<DropsTable>();
        tables["speeds"] = list_columns<SpeedsTable>();
        return tables;
      },
      "Every output table's columns, without the first, game: name, kind, names, unit, missing, says, words.");

  bind_settings<Rules>(module, "Rules", "rule",
                       "The rules of measurement that may be changed. Any of them by name; the rest keep their\n"
                       "defaults. Raises InputError for an unknown name or a value that makes no sense.");
}
