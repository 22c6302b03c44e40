#include "board/board.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "rush/corner.hpp"
#include "rush/cutoff.hpp"
#include "scenes.hpp"

using namespace shortedge;
using namespace shortedge::scenes;
using doctest::Approx;

namespace {

/// A play in which a tackle is passed inside, the rusher runs on behind him, and the passer drifts.
Game passed_inside() {
  Script script = five_and_passer("one");
  script.men[0].path = along({{0, {0, 1}}, {1.5, {0, 7}}, {3, {-1.5, 6}}});
  script.men[1].path = along({{0, {-3, 0.8}}, {1.2, {-4, 4}}});
  script.men.push_back(defense("end", along({{0.2, {-6, -1}}, {1.2, {-3.5, 3.6}}, {1.8, {-3, 6}}, {2.6, {-5, 8}}})));
  script.men.push_back(defense("tackle", along({{0.2, {1, -1}}, {2, {1.2, 3}}})));
  script.men.push_back(defense("blitzer", along({{0.2, {6, -1}}, {2.2, {3.5, 6}}})));
  return Input({script}).game();
}

template <class Table>
std::vector<double> row_of(const Table& table, std::size_t row) {
  std::vector<double> values;
  Table::for_each(table, [&](const ColumnInfo& info, const auto& column) {
    if (info.kind != Kind::player && info.name != "play") values.push_back(static_cast<double>(column[row]));
  });
  return values;
}

bool same(const std::vector<double>& a, const std::vector<double>& b) {
  if (a.size() != b.size()) return false;
  for (std::size_t k = 0; k < a.size(); ++k) {
    if (!(a[k] == b[k] || (std::isnan(a[k]) && std::isnan(b[k])))) return false;
  }
  return true;
}

/// The place of a table's column, as `describe` lists it.
std::size_t column(const char* table, const char* name) {
  const std::string json = Board::describe();
  const std::size_t from = json.find(std::string("{\"name\":\"") + table + "\",\"columns\"");
  const std::size_t to = json.find(std::string("{\"name\":\"") + name + "\",\"kind\"", from);
  REQUIRE(from != json.npos);
  REQUIRE(to != json.npos);
  std::size_t place = 0;
  for (std::size_t at = json.find("\"kind\"", from); at < to; at = json.find("\"kind\"", at + 1)) ++place;
  return place;
}

Board front(double tackle_depth = 0.7) {
  Formation formation;
  const double u[] = {-3.2, -1.6, 0, 1.6, 3.2}, v[] = {tackle_depth, 0.5, 0.3, 0.5, 0.7};
  for (std::size_t k = 0; k < 5; ++k) {
    Protector& protector = formation.protectors.emplace_back();
    protector.at = {u[k], v[k]};
    protector.slot = static_cast<Slot>(k + 1);
  }
  for (const double at : {-5.8, 0.4, 5.8}) {
    Rusher& rusher = formation.rushers.emplace_back();
    rusher.at = {at, -0.9};
    rusher.inside = at == 0.4;
  }
  formation.protectors[0].man = 0;
  formation.protectors[2].man = 1;
  Board board;
  board.take(still_of(formation, 7, {}), {});
  board.input(Board::drop, 1) = {2, 10, 0.5, 3, 0.45};
  return board;
}

}  // namespace

TEST_CASE("board: every frame by itself is as in the whole play, to the bit") {
  const Game game = passed_inside();
  const Roster roster(game.people, game.players.size());
  const ReadyPlay ready = prepare(game, roster, game.snaps[0]);
  const Rules rules;
  const Match match = match_play(ready.play, ready.motion, rules);
  Tables whole;
  measure(ready.play, ready.motion, match, rules, whole);
  std::size_t edges = 0, rushers = 0, kept = 0;
  for (std::size_t frame = 0; frame < ready.play.frames(); ++frame) {
    const Still still = still_of(ready.play, ready.motion, match, rules, frame);
    for (const Passed& passed : still.passed) kept += passed.man != nobody && !passed.outside;
    Board board;
    board.take(still, rules);
    board.measure();
    Tables alone;
    measure(still.play, still.motion, still.match, still.before, rules, alone);
    CHECK(same(row_of(whole.frames, frame), row_of(alone.frames, 0)));
    for (std::size_t row = 0; row < alone.edges.rows(); ++row) {
      CHECK(same(row_of(whole.edges, edges), row_of(alone.edges, row)));
      CHECK(whole.edges.edge_man[edges++] ==
            ready.play.men[static_cast<std::size_t>(alone.edges.edge_man[row])].player);
    }
    CHECK(board.rows(Board::edges) == alone.edges.rows());
    CHECK(board.rows(Board::rushers) == alone.rushers.rows());
    for (std::size_t row = 0; row < alone.rushers.rows(); ++row) {
      CHECK(same(row_of(whole.rushers, rushers++), row_of(alone.rushers, row)));
      const std::size_t wide = RushersTable::columns.size();
      CHECK(board.output(Board::rushers)[row * wide + column("rushers", "distance")] == alone.rushers.distance[row]);
    }
  }
  CHECK(edges == whole.edges.rows());
  CHECK(rushers == whole.rushers.rows());
  CHECK(kept > 3);  // frames in which what came before counts
}

TEST_CASE("board: the lines it draws are as long as the figures say") {
  Board board = front(4);
  board.measure();
  const std::size_t wide = 5, lines = board.rows(Board::lines);
  const auto line = [&](std::size_t row, const char* name) {
    return board.output(Board::lines)[row * wide + column("lines", name)];
  };
  const auto length = [&](std::size_t row) {
    double sum = 0;
    const auto first = static_cast<std::size_t>(line(row, "first")),
               count = static_cast<std::size_t>(line(row, "points"));
    const std::vector<double>& points = board.output(Board::points);
    for (std::size_t k = first + 1; k < first + count; ++k) {
      sum += std::hypot(points[2 * k] - points[2 * k - 2], points[2 * k + 1] - points[2 * k - 1]);
    }
    return sum;
  };
  const auto of_rusher = [&](double who, const char* name) {
    const std::size_t columns = RushersTable::columns.size();
    for (std::size_t row = 0; row < board.rows(Board::rushers); ++row) {
      if (board.output(Board::rushers)[row * columns + column("rushers", "rusher")] == who) {
        return board.output(Board::rushers)[row * columns + column("rushers", name)];
      }
    }
    return scenes::nan;
  };
  const auto of_frame = [&](const char* name) { return board.output(Board::frames)[column("frames", name)]; };
  std::size_t seen = 0;
  for (std::size_t row = 0; row < lines; ++row) {
    const double of = line(row, "of");
    switch (static_cast<Stroke>(line(row, "stroke"))) {
      case Stroke::width: CHECK(length(row) == Approx(of_frame("pocket_width"))); break;
      case Stroke::depth: CHECK(length(row) == Approx(of_frame("pocket_depth"))); break;
      case Stroke::straight: CHECK(length(row) == Approx(of_rusher(of, "distance"))); break;
      case Stroke::corner_held: CHECK(length(row) == Approx(of_rusher(of, "corner_held"))); break;
      case Stroke::short_edge: CHECK(length(row) == Approx(of_rusher(of, "short_edge"))); break;
      case Stroke::taut: CHECK(length(row) == Approx(of_rusher(of, "path_length")).epsilon(2e-3)); break;  // chords
      default: continue;
    }
    ++seen;
  }
  CHECK(seen >= 9);
}

TEST_CASE("board: the break-even depth asks for just that share, and a swept depth is the passer moved there") {
  Board board = front();
  board.measure();
  REQUIRE(board.rows(Board::break_even) == 2);
  const double depth = board.output(Board::break_even)[column("break_even", "depth")];
  CHECK(cutoff_ratio({-5.8, -0.9}, {-3.2, 0.7}, {0, depth}) == Approx(0.45));

  board.sweep_depth();
  CHECK(board.rows(Board::sweep) == 17);
  const std::size_t wide = board.output(Board::sweep).size() / 17;
  for (std::size_t row = 0; row < 17; ++row) {
    Board moved = front();
    const double deep = 2 + 0.5 * static_cast<double>(row);
    std::vector<double> men = board.input(Board::men);
    men[column("men", "v")] = deep;  // the passer is the first
    moved.input(Board::men, 9) = men;
    moved.measure();
    CHECK(board.output(Board::sweep)[row * wide + column("sweep", "depth")] == Approx(deep));
    for (const char* name : {"exposure_left", "exposure_right", "status"}) {
      CHECK(same({board.output(Board::sweep)[row * wide + column("sweep", name)]},
                 {moved.output(Board::frames)[column("frames", name)]}));
    }
  }
}

TEST_CASE("board: how a moved man runs") {
  Board board = front();
  std::vector<double> men = board.input(Board::men);
  const std::size_t wide = men.size() / 9, end = 6 * wide;  // the passer, five, then the left end
  men[end + column("men", "vu")] = 3;
  men[end + column("men", "vv")] = 4;
  const auto closing = [&](Running running) {
    men[end + column("men", "running")] = static_cast<double>(running);
    board.input(Board::men, 9) = men;
    board.measure();
    return board.output(Board::rushers)[column("rushers", "closing")];
  };
  CHECK(closing(Running::straight) == Approx(5));
  CHECK(closing(Running::standing) == 0);
  const Point to_passer = Point(0, 7) - Point(-5.8, -0.9);
  CHECK(closing(Running::kept) == Approx(Point(3, 4).dot(to_passer) / to_passer.norm()));
}

TEST_CASE("board: it simulates what a study does") {
  Board board = front();
  board.input(Board::plan, 1) = {0, 0, 1, 0, 0, 0, 7, 2.7, 0.3, 0.12, 128, 1, 0.005};
  board.input(Board::assumptions, 1);
  std::vector<double>& assumed = board.input(Board::assumptions, 1);
  std::size_t at = 0;
  const Assumptions defaults;
  Assumptions::for_each(
      defaults, [&](std::string_view, double value, std::string_view, std::string_view) { assumed[at++] = value; });
  std::size_t told = 0;
  CHECK(board.simulate([&](std::size_t done, std::size_t all) {
    told = std::max(told, done);
    return all == 128;
  }));
  CHECK(board.rows(Board::outcomes) == 6);  // the play, five protectors
  CHECK(board.output(Board::outcomes)[column("outcomes", "draws")] == 128);
  CHECK(!board.simulate([](std::size_t, std::size_t) { return false; }));
}

TEST_CASE("board: what it refuses") {
  Board board;
  CHECK(contains(refusal([&] { board.measure(); }), "no men"));
  board = front();
  std::vector<double> men = board.input(Board::men);
  const auto with = [&](std::size_t man, const char* name, double value) {
    std::vector<double> changed = men;
    changed[man * (men.size() / 9) + column("men", name)] = value;
    board.input(Board::men, 9) = changed;
    return refusal([&] { board.measure(); });
  };
  CHECK(contains(with(6, "man", 9), "man"));
  CHECK(contains(with(6, "man", 0.5), "man"));
  CHECK(contains(with(6, "role", scenes::nan), "role"));
  CHECK(contains(with(0, "role", 1), "passers"));
  CHECK(contains(with(3, "u", 1e9), "place"));
  CHECK(contains(with(3, "slot", 7), "slot"));
  CHECK(with(3, "u", 0.1).empty());
}
