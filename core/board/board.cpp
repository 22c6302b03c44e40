#include "board/board.hpp"

#include <algorithm>
#include <cmath>
#include <span>

#include "base/columns.hpp"
#include "base/error.hpp"
#include "geometry/taut_path.hpp"
#include "measure/edges.hpp"
#include "measure/picture.hpp"
#include "rush/corner.hpp"
#include "study/break_even.hpp"
#include "study/simulated.hpp"

namespace shortedge {

namespace {

// ------------------------------------------------------------------------------------------------------ columns

#define SHORTEDGE_PLACE(name) name,
struct OfMen {
  enum : std::size_t { SHORTEDGE_BOARD_MEN(SHORTEDGE_PLACE) columns };
};
struct OfFrame {
  enum : std::size_t { SHORTEDGE_BOARD_FRAME(SHORTEDGE_PLACE) columns };
};
struct OfDrop {
  enum : std::size_t { SHORTEDGE_BOARD_DROP(SHORTEDGE_PLACE) columns };
};
struct OfPlan {
  enum : std::size_t { SHORTEDGE_BOARD_PLAN(SHORTEDGE_PLACE) columns };
};
struct OfPaths {
  enum : std::size_t { SHORTEDGE_BOARD_PATHS(SHORTEDGE_PLACE) columns };
};
#undef SHORTEDGE_PLACE

using Words = std::span<const std::string_view>;

struct Described {
  std::string_view name;
  std::string_view kind = "number";
  Words words{};
  std::string_view unit{};
  double value = nan;
};
struct DescribedTable {
  std::string_view name;
  std::vector<Described> columns;
};

std::string_view kind_of(Kind kind) {
  switch (kind) {
    case Kind::player: return "man";
    case Kind::number: return "number";
    case Kind::flag: return "flag";
    case Kind::play:
    case Kind::label:
    case Kind::count: return "count";
    default: return "word";
  }
}

template <class Table>
DescribedTable columns_of() {
  DescribedTable table{Table::title, {}};
  for (const ColumnInfo& info : Table::columns)
    table.columns.push_back({info.name, kind_of(info.kind), words(info.kind), info.unit});
  return table;
}

template <class Settings>
DescribedTable settings(std::string_view name) {
  DescribedTable table{name, {}};
  const Settings defaults;
  Settings::for_each(defaults, [&](std::string_view called, double value, std::string_view unit, std::string_view) {
    table.columns.push_back({called, "number", {}, unit, value});
  });
  return table;
}

DescribedTable named(std::string_view name, std::vector<Described> columns) { return {name, std::move(columns)}; }

/// The words of a column of the input, and what its numbers are.
Described input_column(std::string_view name) {
  if (name == "unit") return {name, "word", unit_words};
  if (name == "role") return {name, "word", role_words};
  if (name == "slot") return {name, "word", slot_words};
  if (name == "running") return {name, "word", running_words};
  if (name == "job") return {name, "word", job_words};
  if (name == "order") return {name, "word", order_words};
  if (name == "rush") return {name, "word", rush_words};
  if (name == "takes") return {name, "word", takes_words};
  for (const std::string_view man : {"man", "passed_man", "chips", "center", "guard_left", "guard_right", "rusher"}) {
    if (name == man) return {name, "man"};
  }
  for (const std::string_view flag : {"passed_outside", "inside"}) {
    if (name == flag) return {name, "flag"};
  }
  return {name};
}

#define SHORTEDGE_COLUMN(name) input_column(#name),
std::vector<DescribedTable> input_tables() {
  return {named("men", {SHORTEDGE_BOARD_MEN(SHORTEDGE_COLUMN)}),
          named("frame", {SHORTEDGE_BOARD_FRAME(SHORTEDGE_COLUMN)}),
          settings<Rules>("rules"),
          named("drop", {SHORTEDGE_BOARD_DROP(SHORTEDGE_COLUMN)}),
          named("plan", {SHORTEDGE_BOARD_PLAN(SHORTEDGE_COLUMN)}),
          settings<Assumptions>("assumptions"),
          named("paths", {SHORTEDGE_BOARD_PATHS(SHORTEDGE_COLUMN)})};
}
#undef SHORTEDGE_COLUMN

constexpr double shares[] = {0.1, 0.5, 0.9};

std::vector<DescribedTable> output_tables() {
  return {
      columns_of<FramesTable>(),
      columns_of<EdgesTable>(),
      columns_of<RushersTable>(),
      named("stands",
            {{"rusher", "man"}, {"man", "man"}, {"side"}, {"past", "flag"}, {"outside", "flag"}, {"between", "man"}}),
      named("lines", {{"stroke", "word", stroke_words},
                      {"side", "word", side_words},
                      {"of", "man"},
                      {"first", "count"},
                      {"points", "count"}}),
      named("points", {{"u"}, {"v"}}),
      named("break_even", {{"rusher", "man"}, {"man", "man"}, {"side"}, {"depth"}}),
      named("sweep", {{"depth"},
                      {"status", "word", status_words},
                      {"exposure_left"},
                      {"exposure_right"},
                      {"exposure_inside"},
                      {"short_left"},
                      {"short_right"}}),
      named("outcomes", {{"man", "man"},
                         {"draws", "count"},
                         {"arrived", "count"},
                         {"pressure", "count"},
                         {"hurried", "count"},
                         {"hips", "count"},
                         {"hips_early", "count"},
                         {"hips_time_10"},
                         {"hips_time_50"},
                         {"hips_time_90"},
                         {"arrival_time_10"},
                         {"arrival_time_50"},
                         {"arrival_time_90"},
                         {"cutoff_10"},
                         {"cutoff_50"},
                         {"cutoff_90"},
                         {"exposure_10"},
                         {"exposure_50"},
                         {"exposure_90"}})};
}

/// JSON, piece by piece; all texts of ours are plain.
class Json {
 public:
  void end(const char* brackets) { text_.append(brackets); }
  void field(const char* name, std::string_view text) {
    key(name);
    quote(text);
  }
  void field(const char* name, double value) {
    key(name);
    text_.append(shown(value));
  }
  void key(const char* name) {
    comma();
    quote(name);
    text_.push_back(':');
  }
  void item(std::string_view text) {
    comma();
    quote(text);
  }
  void begin(char bracket) {
    if (bracket == '{') comma();
    text_.push_back(bracket);
  }
  const std::string& text() const { return text_; }

 private:
  /// Between two of a list, or two fields.
  void comma() {
    if (!text_.empty() && text_.back() != '[' && text_.back() != '{' && text_.back() != ':') text_.push_back(',');
  }
  void quote(std::string_view text) {
    text_.push_back('"');
    text_.append(text);
    text_.push_back('"');
  }

  std::string text_;
};

void write(const std::vector<DescribedTable>& tables, Json& json) {
  json.begin('[');
  for (const DescribedTable& table : tables) {
    json.begin('{');
    json.field("name", table.name);
    json.key("columns");
    json.begin('[');
    for (const Described& column : table.columns) {
      json.begin('{');
      json.field("name", column.name);
      json.field("kind", column.kind);
      if (!column.unit.empty()) json.field("unit", column.unit);
      if (!std::isnan(column.value)) json.field("value", column.value);
      if (!column.words.empty()) {
        json.key("words");
        json.begin('[');
        for (const std::string_view word : column.words) json.item(word);
        json.end("]");
      }
      json.end("}");
    }
    json.end("]}");
  }
  json.end("]");
}

std::size_t width(Board::In table) {
  static const std::vector<DescribedTable> tables = input_tables();
  return tables[table].columns.size();
}
std::size_t width(Board::Out table) {
  static const std::vector<DescribedTable> tables = output_tables();
  return tables[table].columns.size();
}

// ------------------------------------------------------------------------------------------------------- inputs

template <class Settings>
Settings settings_of(const std::vector<double>& row) {
  Settings settings;
  std::size_t at = 0;
  Settings::for_each(settings, [&](std::string_view, double& value, std::string_view, std::string_view) {
    if (at < row.size()) value = row[at];
    ++at;
  });
  settings.validate();
  return settings;
}

[[noreturn]] void refuse(const std::string& what, double found) { throw InputError(what + " is " + shown(found)); }

/// A whole number from least to below end.
std::int32_t whole(const char* what, double value, std::int32_t least, std::size_t end) {
  if (!(value >= least && value < static_cast<double>(end)) || value != std::floor(value)) {
    refuse(std::string(what) + " of a man on the board", value);
  }
  return static_cast<std::int32_t>(value);
}

/// An enumerator whose words begin at `first`.
template <class Code>
Code coded(const char* what, double value, int least, std::size_t end) {
  return static_cast<Code>(whole(what, value, least, end));
}

/// Row after row of a table of numbers.
class Rows {
 public:
  Rows(const std::vector<double>& values, std::size_t columns) : values_(values), columns_(columns) {}
  std::size_t size() const { return values_.size() / columns_; }
  double at(std::size_t row, std::size_t column) const { return values_[row * columns_ + column]; }

 private:
  const std::vector<double>& values_;
  std::size_t columns_;
};

// ------------------------------------------------------------------------------------------------------ outputs

template <class Table>
void flatten(const Table& table, std::vector<double>& out) {
  const std::size_t rows = table.rows(), columns = Table::columns.size();
  out.assign(rows * columns, nan);
  std::size_t column = 0;
  Table::for_each(table, [&](const ColumnInfo&, const auto& values) {
    for (std::size_t row = 0; row < rows; ++row) out[row * columns + column] = static_cast<double>(values[row]);
    ++column;
  });
}

/// An arc in chords of at most three degrees, from `on` round `centre`.
void add_arc(const Point& on, const Point& centre, double turn, std::vector<Point>& points) {
  const int chords = std::max(1, static_cast<int>(std::ceil(std::abs(turn) / radians(3))));
  const Point out = on - centre;
  for (int k = 0; k <= chords; ++k) {
    const double angle = turn * k / chords;
    points.push_back(centre + std::cos(angle) * out + std::sin(angle) * quarter_turn(out));
  }
}

class Drawing {
 public:
  Drawing(std::vector<double>& lines, std::vector<double>& points) : lines_(lines), points_(points) {
    lines_.clear();
    points_.clear();
  }

  void add(Stroke stroke, int side, std::int32_t of, std::span<const Point> points) {
    if (points.empty()) return;
    const double first = static_cast<double>(points_.size() / 2);
    for (const Point& point : points) {
      points_.push_back(point.x());
      points_.push_back(point.y());
    }
    lines_.insert(lines_.end(), {static_cast<double>(stroke),
                                 side == 0  ? -1.0
                                 : side < 0 ? 0.0
                                            : 1.0,
                                 static_cast<double>(of), first, static_cast<double>(points.size())});
  }
  void add(Stroke stroke, int side, std::int32_t of, std::initializer_list<Point> points) {
    add(stroke, side, of, std::span(points.begin(), points.size()));
  }
  void add(Stroke stroke, int side, std::int32_t of, const std::optional<DrawnWay>& drawn, const Point& goal) {
    if (!drawn) return;
    const WayRound& way = drawn->way;
    std::vector<Point> points{way.start};
    if (way.turn > 0) add_arc(way.on, drawn->around, drawn->turn * way.turn, points);
    points.push_back(goal);
    add(stroke, side, of, points);
  }

 private:
  std::vector<double>&lines_, &points_;
};

/// Across the rusher's straight line, from the centre of who has him outward: the short edge, then what is held of the
/// corner. Nothing once he is past him, or no longer before him, as his corner is then nowhere on that line.
void draw_corner(const Point& rusher, const Point& man, const Point& passer, const Placed& placed, const Rules& rules,
                 bool tells, std::int32_t of, Drawing& drawing) {
  const double held = corner_held(rusher, man, passer, placed, rules.reach);
  const double range = distance(rusher, passer);
  if (placed.side == 0 || std::isnan(held) || !(range > 0)) return;
  const Point toward = (passer - rusher) / range;
  const Point out = placed.side * Point(toward.y(), -toward.x());
  const double passes = rules.reach - held;
  if (std::abs(std::clamp(out.dot(rusher - man), -rules.reach, rules.reach) - passes) > 0.02) return;
  const auto along = [&](double offset) -> Point { return man + offset * out; };
  if (held > 0) drawing.add(Stroke::corner_held, placed.side, of, {along(passes), along(rules.reach)});
  if (tells && passes > 0) drawing.add(Stroke::short_edge, placed.side, of, {along(0), along(passes)});
}

}  // namespace

std::string Board::describe() {
  Json json;
  json.begin('{');
  json.key("in");
  write(input_tables(), json);
  json.key("out");
  write(output_tables(), json);
  json.field("shown_exposure", shown_exposure);
  json.field("told_short", told_short);
  json.field("definition", static_cast<double>(definition));
  json.end("}");
  return json.text();
}

std::vector<double>& Board::input(In table, std::size_t rows) {
  in_[table].assign(rows * width(table), nan);
  return in_[table];
}

std::size_t Board::rows(Out table) const { return out_[table].size() / width(table); }

void Board::take(const Still& still, const Rules& rules_given) {
  const Play& play = still.play;
  std::vector<double>& of_men = input(men, play.men.size());
  for (std::size_t man = 0; man < play.men.size(); ++man) {
    double* const row = &of_men[man * OfMen::columns];
    const Man& his = play.men[man];
    row[OfMen::u] = still.motion.at(0, man).x();
    row[OfMen::v] = still.motion.at(0, man).y();
    row[OfMen::vu] = still.motion.speed(0, man).x();
    row[OfMen::vv] = still.motion.speed(0, man).y();
    row[OfMen::unit] = static_cast<double>(his.unit);
    row[OfMen::role] = static_cast<double>(his.role);
    row[OfMen::slot] = static_cast<double>(his.slot) - 1;
    row[OfMen::line_side] = his.line_side;
    row[OfMen::running] = static_cast<double>(Running::kept);
    row[OfMen::man] = row[OfMen::chips] = row[OfMen::passed_man] = -1;
    row[OfMen::passed_outside] = row[OfMen::passed_side] = row[OfMen::inside] = 0;
    row[OfMen::job] = static_cast<double>(Job::block);
    row[OfMen::order] = static_cast<double>(SetOrder::drop);
    row[OfMen::rush] = static_cast<double>(RushPlan::drawn);
    row[OfMen::wait] = 0;
  }
  for (std::size_t index = 0; index < play.rushers.size(); ++index) {
    double* const row = &of_men[play.rushers[index] * OfMen::columns];
    row[OfMen::man] = still.match.man[index][0];
    row[OfMen::passed_man] = still.passed[index].man;
    row[OfMen::passed_outside] = still.passed[index].outside;
    row[OfMen::passed_side] = still.passed[index].side;
  }
  std::vector<double>& of_frame = input(frame, 1);
  of_frame[OfFrame::time] = play.time[0];
  of_frame[OfFrame::center] = play.center;
  of_frame[OfFrame::guard_left] = play.guards[0];
  of_frame[OfFrame::guard_right] = play.guards[1];
  of_frame[OfFrame::first_u] = still.before.first_u;
  of_frame[OfFrame::stood_left] = still.before.line_stood[0];
  of_frame[OfFrame::stood_right] = still.before.line_stood[1];
  std::vector<double>& of_rules = input(rules, 1);
  std::size_t at = 0;
  Rules::for_each(rules_given,
                  [&](std::string_view, double value, std::string_view, std::string_view) { of_rules[at++] = value; });
}

Rules Board::given_rules() const { return settings_of<Rules>(in_[rules]); }

Still Board::still() const {
  const Rows of_men(in_[men], OfMen::columns);
  const std::vector<double>& of_frame = in_[frame];
  const std::size_t count = of_men.size();
  if (count == 0 || of_frame.size() != OfFrame::columns) throw InputError("the board has no men, or no frame");
  Still still;
  Play& play = still.play;
  play.play = 0;
  play.time = {of_frame[OfFrame::time]};
  play.center = whole("center", of_frame[OfFrame::center], -1, count);
  play.guards = {whole("guard_left", of_frame[OfFrame::guard_left], -1, count),
                 whole("guard_right", of_frame[OfFrame::guard_right], -1, count)};
  still.before.first_u = of_frame[OfFrame::first_u];
  still.before.line_stood = {of_frame[OfFrame::stood_left], of_frame[OfFrame::stood_right]};
  still.motion.men = count;
  std::size_t passers = 0;
  for (std::size_t man = 0; man < count; ++man) {
    Man his{static_cast<std::int32_t>(man), coded<Unit>("unit", of_men.at(man, OfMen::unit), 0, unit_words.size()),
            Position::other};
    his.role = coded<Role>("role", of_men.at(man, OfMen::role), 0, role_words.size());
    his.slot = coded<Slot>("slot", of_men.at(man, OfMen::slot) + 1, 0, slot_words.size() + 1);
    his.line_side = whole("line_side", of_men.at(man, OfMen::line_side), -1, 2);
    play.men.push_back(his);
    const double u = of_men.at(man, OfMen::u), v = of_men.at(man, OfMen::v);
    if (!(std::abs(u) < 1000 && std::abs(v) < 1000) && !(std::isnan(u) && std::isnan(v)))
      refuse("the place of a man on the board", u);
    still.motion.place.push_back({u, v});
    still.motion.velocity.push_back({of_men.at(man, OfMen::vu), of_men.at(man, OfMen::vv)});
    if (his.role == Role::passer) {
      play.passer = man;
      ++passers;
    } else if (his.role == Role::protector) {
      play.protectors.push_back(man);
    } else if (his.role == Role::rusher) {
      play.rushers.push_back(man);
      const std::int32_t has = whole("man", of_men.at(man, OfMen::man), -1, count);
      still.match.man.push_back({has < 0 ? nobody : has});
      const std::int32_t passed = whole("passed_man", of_men.at(man, OfMen::passed_man), -1, count);
      still.passed.push_back({passed, of_men.at(man, OfMen::passed_outside) > 0,
                              whole("passed_side", of_men.at(man, OfMen::passed_side), -1, 2)});
      still.before.sides.push_back(side_of(still.passed.back()));
    }
    if (his.unit == Unit::offense && his.role != Role::passer) play.offense.push_back(man);
  }
  if (passers != 1) refuse("passers on the board: their number", static_cast<double>(passers));
  const Point passer = still.motion.at(0, play.passer);
  for (std::size_t man = 0; man < count; ++man) {
    Point& velocity = still.motion.velocity[man];
    switch (coded<Running>("running", of_men.at(man, OfMen::running), 0, running_words.size())) {
      case Running::kept: break;
      case Running::standing: velocity = {0, 0}; break;
      case Running::straight: {
        const Point to_passer = passer - still.motion.at(0, man);
        const double speed = velocity.norm(), range = to_passer.norm();
        if (speed > 0 && range > 0) velocity = speed / range * to_passer;
      }
    }
  }
  return still;
}

void Board::measure() {
  const Rules given = given_rules();
  const Still here = still();
  Tables tables;
  shortedge::measure(here.play, here.motion, here.match, here.before, given, tables);
  flatten(tables.frames, out_[frames]);
  flatten(tables.edges, out_[edges]);
  flatten(tables.rushers, out_[rushers]);

  const Picture picture = picture_of(here.play, here.motion, here.match, here.before, given);
  const Point passer = here.motion.at(0, here.play.passer);
  const PicturedFrame& seen = picture.frames[0];
  const auto at = [&](std::size_t man) { return here.motion.at(0, man); };
  Drawing drawing(out_[lines], out_[points]);
  if (!seen.wall.empty()) {
    drawing.add(Stroke::ring, 0, -1, seen.pocket.ring);
    std::vector<Point> wall;
    for (const std::size_t man : seen.wall) wall.push_back(at(man));
    drawing.add(Stroke::wall, 0, -1, wall);
    double rear = passer.y();
    for (const Point& corner : seen.pocket.ring) rear = std::max(rear, corner.y());
    drawing.add(Stroke::width, 0, -1, {{at(seen.wall_left).x(), rear}, {at(seen.wall_right).x(), rear}});
    drawing.add(Stroke::depth, 0, -1, {passer, {passer.x(), passer.y() - tables.frames.pocket_depth[0]}});
    for (std::size_t row = 0; row < tables.edges.rows(); ++row) {
      const int side = sign(static_cast<Side>(tables.edges.side[row]));
      drawing.add(Stroke::edge, side, tables.edges.edge_man[row],
                  {passer, {passer.x() + side * tables.edges.edge_width[row], passer.y()}});
    }
  }
  std::vector<double>& how = out_[stands];
  std::vector<double>& even = out_[break_even];
  how.clear();
  even.clear();
  std::vector<Disc> discs;
  for (std::size_t row = 0; row < picture.rushers.size(); ++row) {
    const PicturedRusher& one = picture.rushers[row];
    const auto who = static_cast<std::int32_t>(one.rusher);
    const Point rusher = at(one.rusher);
    const bool has = one.man >= 0 && present(at(static_cast<std::size_t>(one.man)));
    std::int32_t between = -1;
    if (one.placed.past && one.ways.outside && one.ways.outside->way.turn > 0) {
      for (const std::size_t man : here.play.protectors) {
        if (at(man) == one.ways.outside->around) between = static_cast<std::int32_t>(man);
      }
    }
    how.insert(how.end(), {static_cast<double>(who), static_cast<double>(one.man), static_cast<double>(one.placed.side),
                           static_cast<double>(one.placed.past), static_cast<double>(one.placed.outside),
                           static_cast<double>(between)});
    drawing.add(Stroke::straight, one.placed.side, who, {rusher, passer});
    drawing.add(Stroke::outside, one.placed.side, who, one.ways.outside, passer);
    drawing.add(Stroke::inside, one.placed.side, who, one.ways.inside, passer);
    discs.clear();
    for (const std::size_t man : here.play.protectors) {
      if (!present(at(man))) continue;
      discs.push_back({at(man), has && static_cast<std::int32_t>(man) == one.man ? given.reach : given.body});
    }
    drawing.add(Stroke::taut, one.placed.side, who, taut_path(rusher, passer, discs).points);
    if (!has) continue;
    const Point& man = at(static_cast<std::size_t>(one.man));
    draw_corner(rusher, man, passer, one.placed, given, tables.rushers.outside_exposure[row] >= shown_exposure, who,
                drawing);
    if (in_[drop].empty()) continue;
    even.insert(even.end(),
                {static_cast<double>(who), static_cast<double>(one.man), static_cast<double>(one.placed.side),
                 break_even_depth(rusher, man, {passer.x(), in_[drop][OfDrop::from]}, in_[drop][OfDrop::speed_ratio])});
  }
}

void Board::sweep_depth() {
  const Rules given = given_rules();
  if (in_[drop].empty()) throw InputError("no drop to sweep");
  const double least = in_[drop][OfDrop::least], most = in_[drop][OfDrop::most], step = in_[drop][OfDrop::step];
  if (!(step >= 0.01 && most >= least && most - least <= 1000 * step)) refuse("the step of the sweep", step);
  Still here = still();
  std::vector<double>& out = out_[sweep];
  out.clear();
  const auto steps = static_cast<std::size_t>(std::llround((most - least) / step));
  for (std::size_t k = 0; k <= steps; ++k) {
    const double depth = least + step * static_cast<double>(k);
    here.motion.place[here.play.passer].y() = depth;
    Tables tables;
    shortedge::measure(here.play, here.motion, here.match, here.before, given, tables);
    const FramesTable& frame_table = tables.frames;
    std::array<double, 2> is_short{nan, nan};
    for (std::size_t row = 0; row < tables.edges.rows(); ++row) {
      is_short[static_cast<std::size_t>(tables.edges.side[row])] = tables.edges.short_edge[row];
    }
    out.insert(out.end(), {depth, static_cast<double>(frame_table.status[0]), frame_table.exposure_left[0],
                           frame_table.exposure_right[0], frame_table.exposure_inside[0], is_short[0], is_short[1]});
  }
}

bool Board::simulate(const Progress& progress) {
  const Rows of_men(in_[men], OfMen::columns), of_paths(in_[paths], OfPaths::columns);
  const std::vector<double>& of_plan = in_[plan];
  if (of_plan.size() != OfPlan::columns) throw InputError("no plan to simulate");
  const Still here = still();
  Formation formation;
  formation.takes = coded<TakesSnap>("takes", of_plan[OfPlan::takes], 0, takes_words.size());
  formation.passer = {of_plan[OfPlan::passer_u], of_plan[OfPlan::passer_v]};
  formation.roll = of_plan[OfPlan::roll];
  formation.fake = of_plan[OfPlan::fake];
  formation.slide = whole("slide", of_plan[OfPlan::slide], -1, 2);
  std::vector<std::int32_t> place_of(here.play.men.size(), no_man);  // of a rusher among the rushers
  for (const std::size_t man : here.play.rushers) {
    if (!present(here.motion.at(0, man))) continue;
    place_of[man] = static_cast<std::int32_t>(formation.rushers.size());
    Rusher rusher;
    rusher.at = here.motion.at(0, man);
    rusher.inside = of_men.at(man, OfMen::inside) > 0;
    rusher.top_speed = of_men.at(man, OfMen::top_speed);
    rusher.tau = of_men.at(man, OfMen::tau);
    rusher.plan = coded<RushPlan>("rush", of_men.at(man, OfMen::rush), 0, rush_words.size());
    rusher.wait = of_men.at(man, OfMen::wait);
    for (std::size_t row = 0; row < of_paths.size(); ++row) {
      if (of_paths.at(row, OfPaths::rusher) == static_cast<double>(man)) {
        rusher.path.push_back({of_paths.at(row, OfPaths::u), of_paths.at(row, OfPaths::v)});
      }
    }
    formation.rushers.push_back(std::move(rusher));
  }
  std::vector<double> who{-1};
  for (const std::size_t man : here.play.protectors) {
    if (!present(here.motion.at(0, man))) continue;
    Protector protector;
    protector.at = here.motion.at(0, man);
    protector.slot = here.play.men[man].slot;
    protector.job = coded<Job>("job", of_men.at(man, OfMen::job), 0, job_words.size());
    protector.kick_speed = of_men.at(man, OfMen::kick_speed);
    protector.run_speed = of_men.at(man, OfMen::run_speed);
    protector.tau = of_men.at(man, OfMen::tau);
    protector.order = coded<SetOrder>("order", of_men.at(man, OfMen::order), 0, order_words.size());
    if (protector.job == Job::chip) {
      const std::int32_t chips = whole("chips", of_men.at(man, OfMen::chips), 0, place_of.size());
      protector.man = place_of[static_cast<std::size_t>(chips)];
    } else {
      for (std::size_t index = here.play.rushers.size(); index-- > 0;) {  // of two the first
        if (here.match.man[index][0] == static_cast<std::int32_t>(man))
          protector.man = place_of[here.play.rushers[index]];
      }
    }
    who.push_back(static_cast<double>(man));
    formation.protectors.push_back(protector);
  }
  const Assumptions assumed = settings_of<Assumptions>(in_[assumptions]);
  const Case of{
      formation, assumed,
      ThrowPlan::by_time(of_plan[OfPlan::throw_time], of_plan[OfPlan::throw_sd], of_plan[OfPlan::throw_per_yard]),
      of_plan[OfPlan::depth]};
  const double draws = of_plan[OfPlan::draws], seed = of_plan[OfPlan::seed];
  if (!(draws >= 1 && draws <= 1e6)) refuse("the number of draws", draws);
  if (!(seed >= 0 && seed <= 9e15)) refuse("the seed", seed);
  std::vector<double>& out = out_[outcomes];
  out.clear();
  const auto result = study_depth(
      of, {static_cast<std::uint64_t>(seed), static_cast<std::uint64_t>(draws), of_plan[OfPlan::step]}, 1, progress);
  if (!result) return false;
  const auto add = [&](double man, const Outcomes& found) {
    out.insert(out.end(), {man, static_cast<double>(result->draws), static_cast<double>(found.arrived),
                           static_cast<double>(found.pressure), static_cast<double>(found.hurried),
                           static_cast<double>(found.hips), static_cast<double>(found.hips_early)});
    for (const Counts* counts : {&found.hips_time, &found.arrival_time, &found.cutoff, &found.exposure}) {
      for (const double share : shares) out.push_back(counts->quantile(share));
    }
  };
  add(who[0], result->play);
  for (std::size_t i = 0; i < result->protectors.size(); ++i) add(who[1 + i], result->protectors[i]);
  return true;
}

}  // namespace shortedge
