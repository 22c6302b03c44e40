#include "study/speeds.hpp"

#include <doctest/doctest.h>

#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;
using scenes::offense, scenes::defense, scenes::stands;

namespace {

/// Where a man is who sprints from `from` along `way` (a unit vector) after a start at 0.2 s.
scenes::Path sprints(const Point& from, const Point& way, const Sprint& man) {
  return [=](double time) -> Point { return from + man.distance_after(std::max(0.0, time - 0.2), 0) * way; };
}

/// A game of so many plays: an end who runs free for 2.6 s, an inside man met at once, a right tackle who kicks back as
/// a sprint of the driving law's tau, a left tackle who stays.
Game game_of(int plays, const Sprint& end, double kick, bool backwards = false) {
  std::vector<scenes::Script> scripts;
  for (int k = 0; k < plays; ++k) {
    scenes::Script script = scenes::five_and_passer(std::to_string(k));
    script.rate = 25;
    script.men[0] = offense("QB", stands(0, 9));
    script.men[5] = offense("RT", sprints({3.2, 0.8}, Point(0.6, 0.8), {kick, 0.15}));
    // Wide of everybody, each play from another place, so that the runs differ.
    script.men.push_back(defense("LE", sprints({-9 - 0.1 * k, -1}, Point(0.1, 0.995).normalized(), end)));
    script.men.push_back(defense("LDT", scenes::along({{0.2, {-1.6, -0.8}}, {0.6, {-1.6, -0.3}}, {2, {-1.5, 1}}})));
    script.throw_time = 2.8;
    scripts.push_back(script);
  }
  if (backwards) std::reverse(scripts.begin(), scripts.end());
  return scenes::Input(scripts).game(Orientation::trust);
}

SpeedsTable::Row of(const Game& game, const SpeedsTable& table, std::string_view name, Duty duty) {
  SpeedsTable::Row row;
  int found = 0;
  for (std::size_t k = 0; k < table.rows(); ++k) {
    if (game.players[static_cast<std::size_t>(table.player[k])] != name ||
        table.duty[k] != static_cast<std::int8_t>(duty))
      continue;
    ++found;
    row.runs = table.runs[k];
    row.top_speed = table.top_speed[k];
    row.top_speed_low = table.top_speed_low[k];
    row.top_speed_high = table.top_speed_high[k];
    row.top_speed_fitted = table.top_speed_fitted[k];
    row.tau = table.tau[k];
    row.tau_low = table.tau_low[k];
    row.tau_high = table.tau_high[k];
    row.tau_fitted = table.tau_fitted[k];
    row.kick_speed = table.kick_speed[k];
    row.kick_speed_low = table.kick_speed_low[k];
    row.kick_speed_fitted = table.kick_speed_fitted[k];
  }
  CAPTURE(name);
  REQUIRE(found == 1);
  return row;
}

}  // namespace

TEST_CASE("a game gives each man's speeds back, or says that a default stands") {
  for (const double vmax : {8.8, 10.2}) {
    CAPTURE(vmax);
    const Game game = game_of(12, {vmax, 0.9}, 2.6);
    const SpeedsTable table = fit_speeds(game, {}, 1).speeds;
    CHECK(table.rows() == 7);  // two rushers, five linemen

    const auto end = of(game, table, "LE", Duty::rusher);
    CHECK(end.runs == 12);
    CHECK(end.top_speed_fitted);
    CHECK(end.tau_fitted);
    CHECK(end.top_speed == Approx(vmax).epsilon(0.02));  // fitted velocities blur his start
    CHECK(end.tau == Approx(0.9).epsilon(0.05));
    CHECK(end.top_speed_low <= end.top_speed);
    CHECK(end.top_speed <= end.top_speed_high);
    CHECK(std::isnan(end.kick_speed));

    const auto inside = of(game, table, "LDT", Duty::rusher);
    CHECK(inside.runs == 0);
    CHECK(!inside.top_speed_fitted);
    CHECK(inside.top_speed == default_speeds.inside);
    CHECK(inside.tau == default_speeds.tau);
    CHECK(std::isnan(inside.top_speed_low));
    CHECK(std::isnan(inside.tau_high));

    const auto tackle = of(game, table, "RT", Duty::protector);
    CHECK(tackle.runs == 12);
    CHECK(tackle.kick_speed_fitted);
    CHECK(tackle.kick_speed == Approx(2.6).epsilon(0.02));
    CHECK(tackle.top_speed == default_speeds.protector);
    CHECK(!tackle.top_speed_fitted);

    const auto other = of(game, table, "LT", Duty::protector);
    CHECK(other.runs == 0);
    CHECK(!other.kick_speed_fitted);
    CHECK(other.kick_speed == default_speeds.kick);
    CHECK(std::isnan(other.kick_speed_low));
  }
}

TEST_CASE("four runs are too few, and the defaults stand") {
  const Game game = game_of(4, {9, 0.9}, 2.6);
  const SpeedsTable table = fit_speeds(game, {}, 1).speeds;
  const auto end = of(game, table, "LE", Duty::rusher);
  CHECK(end.runs == 4);
  CHECK(!end.top_speed_fitted);
  CHECK(end.top_speed == default_speeds.end);
  CHECK(!of(game, table, "RT", Duty::protector).kick_speed_fitted);
}

TEST_CASE("threads and the order of plays change nothing") {
  const Game game = game_of(20, {9.4, 0.85}, 2.4);
  const auto one = fit_speeds(game, {}, 1).speeds, many = fit_speeds(game, {}, 4).speeds;
  CHECK(one.player == many.player);
  CHECK(one.top_speed == many.top_speed);
  CHECK(one.tau == many.tau);
  const auto backwards = fit_speeds(game_of(20, {9.4, 0.85}, 2.4, true), {}, 1).speeds;
  CHECK(backwards.player == one.player);
  CHECK(backwards.runs == one.runs);
  for (std::size_t row = 0; row < one.rows(); ++row) {
    CHECK(backwards.top_speed[row] == Approx(one.top_speed[row]).epsilon(1e-9));
    CHECK(backwards.tau[row] == Approx(one.tau[row]).epsilon(1e-9));
    CHECK(backwards.top_speed_fitted[row] == one.top_speed_fitted[row]);
  }
  CHECK(fit_speeds(game, {}, 1, [](std::size_t, std::size_t) { return false; }).speeds.rows() == 0);
  Rules wrong;
  wrong.engage = -1;
  CHECK_THROWS_AS(fit_speeds(game, wrong), InputError);
}

TEST_CASE("a speed no man runs is not fitted, and the others' stand") {
  const Game game = game_of(12, {18.7, 0.9}, 2.6);
  const SpeedsTable table = fit_speeds(game, {}, 1).speeds;
  const auto end = of(game, table, "LE", Duty::rusher);
  CHECK(end.runs == 12);
  CHECK(!end.top_speed_fitted);
  CHECK(!end.tau_fitted);
  CHECK(end.top_speed == default_speeds.end);
  CHECK(std::isnan(end.top_speed_high));
  CHECK(of(game, table, "RT", Duty::protector).kick_speed_fitted);
}
