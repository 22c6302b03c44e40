#include "base/columns.hpp"

#include <doctest/doctest.h>

#include <set>
#include <string>
#include <type_traits>

using namespace shortedge;

namespace {

template <class Table>
std::string names() {
  std::string all;
  for (const ColumnInfo& column : Table::columns) all.append(all.empty() ? "" : " ").append(column.name);
  return all;
}

template <class Table>
void check_columns() {
  const std::set<std::string_view> ratios{"exposure",         "exposure_left",   "exposure_inside", "exposure_right",
                                          "outside_exposure", "inside_exposure", "cutoff_ratio",    "peak_cutoff_ratio",
                                          "peak_outside",     "peak_inside"};
  std::set<std::string_view> seen;
  for (const ColumnInfo& column : Table::columns) {
    CAPTURE(column.name);
    CHECK(seen.insert(column.name).second);
    CHECK(column.unit.empty() == (column.kind != Kind::number || ratios.contains(column.name)));
    CHECK_FALSE(column.missing.empty());
    CHECK_FALSE(column.says.empty());
    if (column.kind == Kind::flag || column.kind == Kind::count) CHECK(column.missing == "never");
  }
  // The visitor goes through the very vectors, in the list's order.
  Table table;
  std::size_t at = 0;
  Table::for_each(table, [&](const ColumnInfo& column, auto& values) {
    CHECK(column.name == Table::columns[at++].name);
    values.resize(3);
    const bool number = std::is_same_v<std::decay_t<decltype(values[0])>, double>;
    CHECK(number == (column.kind == Kind::number));
  });
  CHECK(at == Table::columns.size());
  CHECK(table.rows() == 3);
}

}  // namespace

TEST_CASE("the tables have the promised columns in the promised order") {
  CHECK(names<FramesTable>() ==
        "play time status passer_depth pocket_width wall_left wall_right pocket_depth pocket_area passer_room "
        "nearest_rusher "
        "exposure_left exposure_inside exposure_right");
  CHECK(
      names<EdgesTable>() ==
      "play time side edge_man rusher edge_width edge_given drift corner_held short_edge outside_time exposure engaged "
      "helpers");
  CHECK(names<RushersTable>() ==
        "play time rusher distance bearing closing approach_angle closest closest_in blocker blocker_range engaged "
        "helpers "
        "cutoff_ratio corner_held short_edge outside_time outside_bend outside_exposure inside_time inside_exposure "
        "path_length slack lane lane_side");
  CHECK(names<RepsTable>() ==
        "play protector rusher start end technique technique_side leverage set_type set_depth set_angle contact_time "
        "hips_time helped island_seconds outcome beat_side beat_time run_by pressure pressure_time ball_out "
        "peak_cutoff_ratio peak_cutoff_time foot_speed peak_outside peak_outside_time peak_inside peak_inside_time "
        "short_edge_seconds ground_given nearest_rusher_min peak_film_time contact_film_time beat_film_time lane "
        "lane_side came dropped help_side exchanged corrected");
  CHECK(
      names<DropbacksTable>() ==
      "play label passer alignment drop_depth top_time hitch throw_time rushers pressure pressure_time push push_time "
      "push_man ball_across wide_side snap line");
  CHECK(
      names<ExchangesTable>() ==
      "play time kind rusher from_man to_man crossed_with cross_time contact_time cutoff_ratio late outcome from_slot "
      "to_slot film_time");
  CHECK(names<SearchesTable>() == "play man slot why start end found rusher helped until side distance film_time");
  CHECK(names<LooksTable>() ==
        "play defender spot side across depth over deep_over deep_man field_side rushed came dropped taken_by pickup "
        "next_rusher next_taken_by");
  CHECK(names<SpeedsTable>() ==
        "player duty runs top_speed top_speed_low top_speed_high top_speed_fitted tau tau_low tau_high tau_fitted "
        "kick_speed kick_speed_low kick_speed_high kick_speed_fitted");
}

TEST_CASE("every number has a unit unless it is a ratio, every column a meaning") {
  SUBCASE("frames") { check_columns<FramesTable>(); }
  SUBCASE("edges") { check_columns<EdgesTable>(); }
  SUBCASE("rushers") { check_columns<RushersTable>(); }
  SUBCASE("reps") { check_columns<RepsTable>(); }
  SUBCASE("dropbacks") { check_columns<DropbacksTable>(); }
  SUBCASE("exchanges") { check_columns<ExchangesTable>(); }
  SUBCASE("searches") { check_columns<SearchesTable>(); }
  SUBCASE("looks") { check_columns<LooksTable>(); }
  SUBCASE("drops") { check_columns<DropsTable>(); }
  SUBCASE("speeds") { check_columns<SpeedsTable>(); }
}

TEST_CASE("columns that files have only since a later version are columns of the table, and no others") {
  // Schema 3 of results and reps added the rusher's coming and going; 4 of reps the helper's side, the exchanges,
  // searches and looks, a flag of reps, where the ball lay, the snap and the line.
  int newer = 0;
  for (const ColumnInfo& column : RepsTable::columns) {
    const bool came = column.name == "came" || column.name == "dropped";
    const bool fourth = column.name == "exchanged" || column.name == "help_side";
    CHECK(since_version("reps", column.name) == (came ? 3 : fourth ? 4 : 1));
    newer += came || fourth;
  }
  for (const ColumnInfo& column : DropbacksTable::columns) {
    const bool added =
        column.name == "ball_across" || column.name == "wide_side" || column.name == "snap" || column.name == "line";
    CHECK(since_version("dropbacks", column.name) == (added ? 4 : 1));
    newer += added;
  }
  CHECK(newer == static_cast<int>(newer_columns.size()));
  CHECK(since_version("rushers", "came") == 1);
  for (const std::string_view table : {ExchangesTable::title, SearchesTable::title, LooksTable::title}) {
    CHECK(since_version(table) == 4);
    CHECK(since_version(table, "play") == 4);
  }
  CHECK(since_version("reps") == 1);
}

TEST_CASE("codes stand for their words") {
  CHECK(words(Kind::status)[static_cast<std::size_t>(Status::ok)] == "ok");
  CHECK(words(Kind::status)[static_cast<std::size_t>(Status::thin)] == "thin");
  CHECK(words(Kind::status)[static_cast<std::size_t>(Status::collapsed)] == "collapsed");
  CHECK(words(Kind::status)[static_cast<std::size_t>(Status::outside)] == "outside");
  CHECK(words(Kind::status)[static_cast<std::size_t>(Status::missing)] == "missing");
  CHECK(words(Kind::side)[static_cast<std::size_t>(Side::left)] == "left");
  CHECK(words(Kind::side)[static_cast<std::size_t>(Side::right)] == "right");
  CHECK(words(Kind::lane)[static_cast<std::size_t>(Lane::in)] == "in");
  CHECK(words(Kind::lane)[static_cast<std::size_t>(Lane::A)] == "A");
  CHECK(words(Kind::lane)[static_cast<std::size_t>(Lane::D)] == "D");
  CHECK(words(Kind::lane)[static_cast<std::size_t>(Lane::rear)] == "rear");
  CHECK(words(Kind::number).empty());
  CHECK(sign(Side::left) == -1);
  CHECK(sign(Side::right) == 1);
  CHECK(sign(Side::none) == 0);
}
