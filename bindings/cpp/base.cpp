#include "base/rules.hpp"
#include "base/units.hpp"
#include "play/play.hpp"
#include "reps/bands.hpp"
#include "rush/corner.hpp"
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

/// `table`: whose columns they are, for the schema version each exists since.
template <class Columns>
py::list list_columns(const Columns& columns, std::string_view table) {
  py::list list;
  for (const ColumnInfo& info : columns) {
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
    column["since"] = since_version(table, info.name);
    py::list vocabulary;
    for (const std::string_view word : words(info.kind)) vocabulary.append(word);
    column["words"] = py::tuple(vocabulary);
    list.append(column);
  }
  return list;
}

/// The keys a band table shares with its table, then its own columns.
template <class Table>
void add_band_columns(py::dict& tables) {
  std::vector<ColumnInfo> columns;
  for (const ColumnInfo& info : Table::columns) {
    const auto& keys = BandKeys<Table>::columns;
    if (std::find(keys.begin(), keys.end(), info.name) != keys.end()) columns.push_back(info);
  }
  const auto& bands = BandTable<Table>::columns();
  columns.insert(columns.end(), bands.begin(), bands.end());
  tables[py::str(Table::title.data(), Table::title.size())] = list_columns(columns, Table::title);
}

}  // namespace

void bind_base(py::module_& module) {
  module.attr("METRES_PER_YARD") = metres_per_yard;
  module.attr("FIELD_LENGTH") = field_length;
  module.attr("FIELD_WIDTH") = field_width;
  module.attr("SHOWN_EXPOSURE") = shown_exposure;
  module.attr("TOLD_SHORT") = told_short;
  module.attr("DEFINITION") = definition;
  module.def(
      "columns",
      [] {
        py::dict tables;
        tables["frames"] = list_columns(FramesTable::columns, FramesTable::title);
        tables["edges"] = list_columns(EdgesTable::columns, EdgesTable::title);
        tables["rushers"] = list_columns(RushersTable::columns, RushersTable::title);
        tables["reps"] = list_columns(RepsTable::columns, RepsTable::title);
        tables["dropbacks"] = list_columns(DropbacksTable::columns, DropbacksTable::title);
        tables["exchanges"] = list_columns(ExchangesTable::columns, ExchangesTable::title);
        tables["searches"] = list_columns(SearchesTable::columns, SearchesTable::title);
        tables["looks"] = list_columns(LooksTable::columns, LooksTable::title);
        tables["drops"] = list_columns(DropsTable::columns, DropsTable::title);
        tables["speeds"] = list_columns(SpeedsTable::columns, SpeedsTable::title);
        return tables;
      },
      "Every output table's columns, without the first, game: name, kind, names, unit, missing, says, since, words.");
  module.def(
      "band_columns",
      [] {
        py::dict tables;
        add_band_columns<FramesTable>(tables);
        add_band_columns<EdgesTable>(tables);
        add_band_columns<RushersTable>(tables);
        add_band_columns<RepsTable>(tables);
        return tables;
      },
      "The columns of each table's bands, keys first, by the table's name.");

  module.def(
      "vocabulary",
      [] {
        py::dict kinds;
        const auto add = [&](const char* kind, const auto& words) {
          py::list list;
          for (const std::string_view word : words) list.append(word);
          kinds[kind] = py::tuple(list);
        };
        add("unit", unit_words);
        add("role", role_words);
        add("position", position_words);
        add("slot", slot_words);
        add("status", status_words);
        add("side", side_words);
        add("lane", lane_words);
        add("technique", technique_words);
        add("set", set_words);
        add("outcome", outcome_words);
        add("beat_side", beat_side_words);
        add("alignment", alignment_words);
        add("snap", snap_words);
        add("stood", stood_words);
        add("duty", duty_words);
        add("exchange", exchange_words);
        add("looking", looking_words);
        add("found", found_words);
        add("spot", spot_words);
        add("field_side", field_side_words);
        add("pickup", pickup_words);
        return kinds;
      },
      "The words of each kind, in the order of their codes; a position or slot of none has no word.");

  bind_settings<Rules>(module, "Rules", "rule",
                       "The rules of measurement that may be changed. Any of them by name; the rest keep their\n"
                       "defaults. Raises InputError for an unknown name or a value that makes no sense.");
}
