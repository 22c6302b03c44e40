#include "tracking/game.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <tuple>
#include <vector>

#include "scenes.hpp"

using namespace shortedge;
using namespace shortedge::scenes;
using doctest::Approx;

namespace {

/// A rush worth measuring, so that a change shows.
Script rush(std::string play = "1") {
  Script script = five_and_passer(std::move(play));
  script.men[0].path = along({{0, {0, 1}}, {1.8, {0.4, 7}}});
  script.men.push_back(defense("LE", along({{0.1, {-5, -1}}, {2.5, {-1, 6}}})));
  script.men.push_back(defense("RE", along({{0.2, {4.5, -1}}, {2.6, {2, 6.5}}})));
  return script;
}

/// The largest difference of two runs' tables; infinite when their shapes, codes or missing values differ.
double difference(const Tables& a, const Tables& b) {
  double most = 0;
  const auto compare = [&](const auto& one, const auto& other) {
    std::vector<const void*> columns;
    using Table = std::decay_t<decltype(one)>;
    Table::for_each(other, [&](const ColumnInfo&, const auto& values) { columns.push_back(&values); });
    std::size_t at = 0;
    Table::for_each(one, [&](const ColumnInfo&, const auto& values) {
      const auto& others = *static_cast<const std::decay_t<decltype(values)>*>(columns[at++]);
      if (values.size() != others.size()) {
        most = infinity;
        return;
      }
      for (std::size_t k = 0; k < values.size(); ++k) {
        const auto x = static_cast<double>(values[k]), y = static_cast<double>(others[k]);
        if (x == y || (std::isnan(x) && std::isnan(y))) continue;
        most = std::max(most, std::isfinite(x - y) ? std::abs(x - y) : infinity);
      }
    });
  };
  compare(a.frames, b.frames);
  compare(a.edges, b.edges);
  compare(a.rushers, b.rushers);
  return most;
}

Tables tables(const Input& input) { return measure_game(input.game(), Rules()); }

}  // namespace

TEST_CASE("units, origin and y are converted at the door") {
  const Input plain(rush());
  const Tables expected = tables(plain);
  REQUIRE(expected.edges.rows() > 20);
  const auto with = [&](Placement placement, double scale, double x0, double y0, double y_sign) {
    Input other = plain;
    other.placement = placement;
    for (auto* column : {&other.x, &other.ball_x}) {
      for (double& x : *column) x = (x - x0) * scale;
    }
    for (auto* column : {&other.y, &other.ball_y}) {
      for (double& y : *column) y = y_sign * (y - y0) * scale;
    }
    CHECK(difference(tables(other), expected) < 1e-7);
    const Game game = other.game();
    CHECK(game.tracks.x[0] == Approx(plain.game().tracks.x[0]));
    CHECK(game.tracks.y[0] == Approx(plain.game().tracks.y[0]));
  };
  using P = Placement;
  with({P::Length::metre, P::Origin::corner, P::Y::up}, 0.9144, 0, 0, 1);
  with({P::Length::foot, P::Origin::corner, P::Y::up}, 3, 0, 0, 1);
  with({P::Length::yard, P::Origin::center, P::Y::up}, 1, 60, 80.0 / 3, 1);
  with({P::Length::yard, P::Origin::corner, P::Y::down}, 1, 0, 160.0 / 3, -1);  // from the far sideline
  with({P::Length::metre, P::Origin::center, P::Y::down}, 0.9144, 60, 80.0 / 3, -1);
}

TEST_CASE("recorded velocities are turned and scaled as positions are") {
  Input input(rush());
  input.vx.assign(input.x.size(), 3);
  input.vy.assign(input.x.size(), -6);
  input.placement = {Placement::Length::foot, Placement::Origin::corner, Placement::Y::down};
  for (auto* column : {&input.x, &input.y, &input.ball_x, &input.ball_y}) {
    for (double& value : *column) value *= 3;
  }
  for (double& y : input.y) y = 160 - y;
  for (double& y : input.ball_y) y = 160 - y;
  const ReadyPlay play = ready(input.game());
  // 1 yd/s toward +x is 1 upfield; -2 yd/s downward is 2 up, and up is to the left of an offence that attacks +x.
  CHECK(distance(play.motion.speed(3, play.play.passer), {-2, -1}) < 1e-12);
}

TEST_CASE("an offence that attacks the other way is measured alike") {
  Script there = rush();
  there.direction = -1;
  there.ball = {71, 30};
  CHECK(difference(tables(Input(rush())), tables(Input(there))) < 1e-9);
}

TEST_CASE("rows may come in any order, and other clocks and rates beside") {
  Input plain(std::vector{rush("1"), rush("2"), rush("3")});
  for (const std::size_t row : {std::size_t{40}, plain.x.size() / 2}) {  // two samples of one man at one time
    plain.track_play.push_back(plain.track_play[row]);
    plain.track_player.push_back(plain.track_player[row]);
    plain.time.push_back(plain.time[row]);
    plain.x.push_back(plain.x[row] + 0.3);
    plain.y.push_back(plain.y[row] - 0.2);
  }
  const auto in_order = [&](auto&& before) {
    std::vector<std::size_t> order(plain.x.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    before(order);
    Input input = plain;
    for (std::size_t k = 0; k < order.size(); ++k) {
      input.track_play[k] = plain.track_play[order[k]];
      input.track_player[k] = plain.track_player[order[k]];
      input.time[k] = plain.time[order[k]];
      input.x[k] = plain.x[order[k]];
      input.y[k] = plain.y[order[k]];
    }
    return input.game();
  };
  Random random(73);
  using Order = std::vector<std::size_t>;
  const auto by = [&](auto&& key) {
    return [key](Order& order) {
      std::stable_sort(order.begin(), order.end(), [&](auto a, auto b) { return key(a) < key(b); });
    };
  };
  const Game expected = in_order(by([&](std::size_t row) {
    return std::tuple(plain.track_play[row], plain.track_player[row], plain.time[row], plain.x[row], plain.y[row]);
  }));
  const Tables measured = measure_game(expected, Rules());
  for (const Game& game : {
           in_order([&](Order& order) { std::shuffle(order.begin(), order.end(), random.engine); }),
           in_order([](Order& order) { std::reverse(order.begin(), order.end()); }),
           in_order(
               by([&](std::size_t row) { return std::pair(plain.track_play[row], plain.time[row]); })),  // by frames
           in_order(by([&](std::size_t row) {
             return std::tuple(plain.track_play[row], plain.track_player[row], plain.time[row]);
           })),
           in_order(by([&](std::size_t row) { return std::pair(plain.track_player[row], plain.track_play[row]); })),
       }) {
    CHECK(game.tracks.begin == expected.tracks.begin);
    CHECK(game.tracks.player == expected.tracks.player);
    CHECK(game.tracks.time == expected.tracks.time);
    CHECK(game.tracks.x == expected.tracks.x);
    CHECK(game.tracks.y == expected.tracks.y);
    CHECK(difference(measured, measure_game(game, Rules())) == 0);
  }

  Script late = rush();
  late.snap_time = 1'700'000'000;  // seconds of a wall clock
  CHECK(difference(tables(Input(rush())), tables(Input(late))) < 1e-5);
}

TEST_CASE("rows without a player, without people or without a place are left out and counted") {
  Input input(rush());
  const Tables before = tables(input);
  const auto add = [&](std::int32_t player, double x, double y) {
    input.track_play.push_back(0);
    input.track_player.push_back(player);
    input.time.push_back(20.5);
    input.x.push_back(x);
    input.y.push_back(y);
  };
  input.players.push_back("a stranger");
  add(no_code, 40, 20);
  add(no_code, 40, 21);
  add(input.player("a stranger"), 40, 22);
  add(input.player("LE"), scenes::nan, 22);
  add(input.player("LE"), 40, scenes::nan);
  add(input.player("LE"), scenes::nan, scenes::nan);
  const Game game = input.game();
  CHECK(game.dropped.no_player == 2);
  CHECK(game.dropped.not_in_people == 1);
  CHECK(game.dropped.missing == 3);
  CHECK(game.problems.empty());
  CHECK(difference(before, measure_game(game, Rules())) == 0);
}

TEST_CASE("the ball may be tracks: its place is that at the snap") {
  Input input(rush());
  const Tables before = tables(input);
  input.players.push_back("ball");
  input.ball = input.player("ball");
  for (const auto& [since, x] : {std::pair(-0.4, 44.0), {-0.1, 44.5}, {0.1, 45.5}, {1.5, 60.0}}) {
    input.track_play.push_back(0);
    input.track_player.push_back(input.ball);
    input.time.push_back(20 + since);
    input.x.push_back(x);
    input.y.push_back(25);
  }
  input.ball_x.clear();
  input.ball_y.clear();
  const Game game = input.game();
  CHECK(game.snaps[0].ball_x == Approx(45));  // on the line between the samples about the snap
  CHECK(game.snaps[0].ball_y == Approx(25));
  CHECK(difference(before, measure_game(game, Rules())) < 1e-9);
}

TEST_CASE("a person's row for a play goes before the row for every play") {
  Input input({rush("1"), rush("2")});
  GameInput raw = input.input();
  std::vector<std::int32_t> player = input.person_player, play(player.size(), no_code);
  std::vector<Unit> unit = input.unit;
  std::vector<std::string> position = input.position;
  std::vector<Role> role = input.role;
  player.push_back(input.player("RE"));
  play.push_back(1);
  unit.push_back(Unit::defense);
  position.push_back("LB");
  role.push_back(Role::other);
  raw.people = {player, play, unit, position, role};
  const Game game = make_game(raw, Orientation::check);
  const Roster roster(game.people, game.players.size());
  CHECK(roster.find(0, input.player("RE"))->role == Role::unset);
  CHECK(roster.find(1, input.player("RE"))->role == Role::other);
  CHECK(roster.find(1, input.player("LE"))->position == "DL");
  const Tables measured = measure_game(game, Rules());
  const auto rows = [&](std::int32_t of_play) {
    std::size_t count = 0;
    for (std::size_t k = 0; k < measured.rushers.rows(); ++k) {
      count += measured.rushers.play[k] == of_play && measured.rushers.rusher[k] == input.player("RE");
    }
    return count;
  };
  CHECK(rows(0) > 0);
  CHECK(rows(1) == 0);
}

TEST_CASE("a play that cannot be measured is listed with its reason, and the others are measured") {
  const auto reason = [](auto&& spoil) {
    Input input({rush("good"), rush("bad")});
    const auto row = static_cast<std::size_t>(std::find(input.track_play.begin(), input.track_play.end(), 1) -
                                              input.track_play.begin());
    spoil(input, row);
    const Game game = input.game();
    REQUIRE(game.problems.size() == 1);
    CHECK(game.plays[static_cast<std::size_t>(game.problems[0].play)] == "bad");
    REQUIRE(game.measured() == std::vector<std::size_t>{0});
    const Tables measured = measure_game(game, Rules());
    CHECK(std::all_of(measured.frames.play.begin(), measured.frames.play.end(), [](auto play) { return play == 0; }));
    CHECK(measured.frames.rows() == 31);
    return game.problems[0].reason;
  };
  const auto drop_snap = [](Input& input) {
    for (auto* column :
         {&input.ball_x, &input.ball_y, &input.direction, &input.snap_time, &input.throw_time, &input.end_time}) {
      column->pop_back();
    }
    input.snap_play.pop_back();
  };
  SUBCASE("no snap row") {
    CHECK(contains(reason([&](Input& input, std::size_t) { drop_snap(input); }), "no row in snaps"));
  }
  SUBCASE("two snap rows") {
    CHECK(contains(reason([](Input& input, std::size_t) {
                     input.snap_play.push_back(1);
                     for (auto* column : {&input.ball_x, &input.ball_y, &input.direction, &input.snap_time,
                                          &input.throw_time, &input.end_time}) {
                       column->push_back(column->back());
                     }
                   }),
                   "2 rows in snaps"));
  }
  SUBCASE("no snap in range") {
    const std::string text = reason([](Input& input, std::size_t) { input.snap_time[1] = 99; });
    CHECK(contains(text, "no snap in range"));
    CHECK(contains(text, "99"));
    CHECK(contains(text, "23"));  // where the samples end
    CHECK(contains(reason([](Input& input, std::size_t) { input.snap_time[1] = scenes::nan; }), "no snap"));
  }
  SUBCASE("nothing between snap and end") {
    CHECK(contains(reason([](Input& input, std::size_t) {
                     input.snap_time[1] = 20.02;
                     input.end_time[1] = 20.07;
                   }),
                   "no snap in range"));
  }
  SUBCASE("no place of the ball") {
    CHECK(contains(reason([](Input& input, std::size_t) { input.ball_y[1] = scenes::nan; }), "no place of the ball"));
  }
  SUBCASE("infinite and off-field coordinates") {
    CHECK(contains(reason([](Input& input, std::size_t row) { input.x[row] = infinity; }), "infinite"));
    CHECK(contains(reason([](Input& input, std::size_t row) { input.y[row] = -infinity; }), "infinite"));
    const std::string far = reason([](Input& input, std::size_t row) { input.x[row] = 150.01; });
    CHECK(contains(far, "off the field"));
    CHECK(contains(far, "150.01"));
    CHECK(contains(far, "QB"));
    CHECK(contains(reason([](Input& input, std::size_t row) { input.y[row] = -30.01; }), "off the field"));
    CHECK(contains(reason([](Input& input, std::size_t) { input.ball_x[1] = 200; }), "ball"));
  }
  SUBCASE("two rows of one player at one time") {
    const std::string text = reason([](Input& input, std::size_t row) { input.time[row + 1] = input.time[row]; });
    CHECK(contains(text, "two rows"));
    CHECK(contains(text, "QB"));
  }
  SUBCASE("times going nowhere") {
    CHECK(contains(reason([](Input& input, std::size_t) {
                     // One sample a man, all at the snap.
                     std::size_t kept = 0;
                     for (std::size_t row = 0; row < input.time.size(); ++row) {
                       if (input.track_play[row] == 1 && input.time[row] != 20) continue;
                       input.track_play[kept] = input.track_play[row];
                       input.track_player[kept] = input.track_player[row];
                       input.time[kept] = input.time[row];
                       input.x[kept] = input.x[row];
                       input.y[kept++] = input.y[row];
                     }
                     input.track_play.resize(kept);
                     input.track_player.resize(kept);
                     for (auto* column : {&input.time, &input.x, &input.y}) column->resize(kept);
                   }),
                   "times go nowhere"));
    CHECK(contains(reason([](Input& input, std::size_t) { input.throw_time[1] = 19; }), "throw before the snap"));
    CHECK(contains(reason([](Input& input, std::size_t) { input.end_time[1] = 19; }), "end before the snap"));
    CHECK(contains(reason([](Input& input, std::size_t row) {
                     for (; row < input.time.size(); ++row)
                       input.time[row] = 20 + (input.time[row] - 20) * 1000;  // ms as s
                   }),
                   "times go nowhere"));
  }
  SUBCASE("no passer, two passers, too few linemen") {
    const auto leave_out = [](Input& input, std::size_t row, std::vector<std::string> names) {
      for (; row < input.track_player.size(); ++row) {
        for (const std::string& name : names) {
          if (input.track_player[row] == input.player(name)) input.track_player[row] = no_code;
        }
      }
    };
    CHECK(contains(reason([&](Input& input, std::size_t row) { leave_out(input, row, {"QB"}); }), "no passer"));
    CHECK(contains(reason([&](Input& input, std::size_t row) { leave_out(input, row, {"LT", "C", "RT"}); }),
                   "fewer than three linemen: 2"));
    CHECK(contains(reason([](Input& input, std::size_t row) {
                     // The left end turns up in this play as a second quarterback.
                     input.players.push_back("QB 2");
                     input.person_player.push_back(input.player("QB 2"));
                     input.unit.push_back(Unit::offense);
                     input.position.push_back("QB");
                     input.role.push_back(Role::unset);
                     for (; row < input.track_player.size(); ++row) {
                       if (input.track_player[row] == input.player("LE"))
                         input.track_player[row] = input.player("QB 2");
                     }
                   }),
                   "2 passers"));
  }
}

TEST_CASE("what the door takes has bounds: just within is measured, just beyond is a reason") {
  // The bad play's reason; empty when it is measured like the good one.
  const auto reason = [](const Script& bad, auto&& spoil) {
    Input input({rush("good"), bad});
    input.vx.assign(input.x.size(), 0);
    input.vy.assign(input.x.size(), 0);
    const auto row = static_cast<std::size_t>(std::find(input.track_play.begin(), input.track_play.end(), 1) -
                                              input.track_play.begin());
    spoil(input, row);
    const Game game = input.game();
    return game.problems.empty() ? std::string() : game.problems.at(0).reason;
  };
  const auto as_it_is = [](Input&, std::size_t) {};
  const auto velocity = [&](double vx, double vy) {
    return reason(rush("bad"), [=](Input& input, std::size_t row) {
      input.vx[row] = vx;
      input.vy[row] = vy;
    });
  };
  SUBCASE("speed: 15 yd/s, whichever way, or none") {
    CHECK(velocity(9, -12).empty());  // 15, by Pythagoras
    CHECK(contains(velocity(9.01, -12), "accepted: at most 15"));
    CHECK(contains(velocity(0, 15.01), "15.01 yd/s"));
    CHECK(contains(velocity(infinity, 0), "infinite"));
    CHECK(contains(velocity(0, -infinity), "infinite"));
    CHECK(velocity(scenes::nan, scenes::nan).empty());
    CHECK(velocity(scenes::nan, 3).empty());
    CHECK(velocity(1e300, scenes::nan).empty());  // half a velocity is none
    const auto in_metres = [](double vx) {
      Input input({rush("good"), rush("bad")});
      input.placement.length = Placement::Length::metre;
      for (auto* column : {&input.x, &input.y, &input.ball_x, &input.ball_y}) {
        for (double& value : *column) value *= 0.9144;
      }
      input.vx.assign(input.x.size(), 0);
      input.vy.assign(input.x.size(), 0);
      input.vx.back() = vx;
      return input.game().problems.size();
    };
    CHECK(in_metres(13.7) == 0);  // 15 yd are 13.716 m
    CHECK(in_metres(13.73) == 1);
  }
  SUBCASE("half a velocity is none, however great the half") {
    const auto measured = [](double vx, double vy) {
      Input input(rush());
      const std::size_t row = 6 * 36 + 20;  // the left end, 1.5 s after the snap
      input.vx.assign(input.x.size(), scenes::nan);
      input.vy.assign(input.x.size(), scenes::nan);
      input.vx[row] = vx;
      input.vy[row] = vy;
      return tables(input);
    };
    CHECK(difference(measured(1e300, scenes::nan), measured(scenes::nan, scenes::nan)) == 0);
    CHECK(difference(measured(scenes::nan, -1e300), measured(scenes::nan, scenes::nan)) == 0);
    CHECK(difference(measured(0, 9), measured(scenes::nan, scenes::nan)) > 0.1);
  }
  SUBCASE("rate: 100 samples a second and man") {
    Script bad = rush("bad");
    bad.rate = 100;
    CHECK(reason(bad, as_it_is).empty());
    bad.rate = 102;
    CHECK(contains(reason(bad, as_it_is), "accepted: at most 100 a second"));
    bad.rate = 1000;
    CHECK(contains(reason(bad, as_it_is), "accepted: at most 100 a second"));
  }
  SUBCASE("frames: 12,000 samples of one man, and 12,000 times a play when every man has his own clock") {
    Script bad = rush("bad");
    bad.rate = 100;
    bad.men[0].to = 119.49;  // from 0.5 s before the snap
    CHECK(reason(bad, as_it_is).empty());
    bad.men[0].to = 119.5;
    CHECK(contains(reason(bad, as_it_is), "over 12000 samples"));
    const auto own_clocks = [&](double to) {  // two clocks, 6 ms apart: 160 times a second
      Script clocks = rush("bad");
      clocks.rate = 80;
      for (Actor& man : clocks.men) man.to = to;
      return reason(clocks, [&](Input& input, std::size_t row) {
        for (; row < input.time.size(); ++row) input.time[row] += 0.006 * (input.track_player[row] % 2);
      });
    };
    CHECK(own_clocks(74.5).empty());
    CHECK(contains(own_clocks(75.5), "frames; accepted: at most 12000"));
  }
  SUBCASE("men: 64 with tracks") {
    Script bad = rush("bad");
    while (bad.men.size() < 64) {
      Actor man = offense("WR", stands(-20, -1.0 * static_cast<double>(bad.men.size())));
      man.name = "WR " + std::to_string(bad.men.size());
      bad.men.push_back(man);
    }
    CHECK(reason(bad, as_it_is).empty());
    Actor man = offense("WR", stands(20, 3));
    man.name = "one more";
    bad.men.push_back(man);
    CHECK(reason(bad, as_it_is) == "65 men with tracks; accepted: at most 64");
  }
  SUBCASE("degrees of the earth") {
    const auto shrunk = [&](double share) {
      return reason(rush("bad"), [=](Input& input, std::size_t row) {
        for (; row < input.x.size(); ++row) {
          input.x[row] = 47 + share * (input.x[row] - 47);
          input.y[row] = 8 + share * (input.y[row] - 8);
        }
      });
    };
    CHECK(contains(shrunk(1e-5), "degrees of the earth?"));  // a degree is 111 km
    CHECK_FALSE(contains(shrunk(1e-2), "degrees"));
  }
}

TEST_CASE("names have at most 1,024 bytes") {
  const auto text = [](std::size_t bytes, auto&& where) {
    Input input(rush());
    GameInput given = input.input();
    std::vector<std::string> positions = input.position;
    given.people.position = positions;
    where(given, positions) = std::string(bytes, 'n');
    return refusal([&] { make_game(given, Orientation::check); });
  };
  using Names = std::vector<std::string>;
  const auto game = [](GameInput& given, Names&) -> std::string& { return given.name; };
  const auto play = [](GameInput& given, Names&) -> std::string& { return given.plays[0]; };
  const auto man = [](GameInput& given, Names&) -> std::string& { return given.players[6]; };
  const auto position = [](GameInput&, Names& positions) -> std::string& { return positions[6]; };
  for (const auto& [what, says] : {std::pair(text(1025, game), "the game's name"),
                                   {text(1025, play), "column play"},
                                   {text(1025, man), "column player"},
                                   {text(1025, position), "column position"}}) {
    CHECK(contains(what, says));
    CHECK(contains(what, "1025 bytes; accepted: at most 1024"));
  }
  CHECK(text(1024, game).empty());
  CHECK(text(1024, play).empty());
  CHECK(text(1024, man).empty());
  CHECK(text(1024, position).empty());
}

TEST_CASE("with no play left the first reasons are named") {
  Input input({rush("first"), rush("second")});
  input.snap_time[0] = 99;
  input.ball_x[1] = scenes::nan;
  const std::string text = refusal([&] { input.game(); });
  CHECK(contains(text, "no play can be measured"));
  CHECK(contains(text, "first: no snap in range"));
  CHECK(contains(text, "second: no place of the ball"));
}

TEST_CASE("what makes the whole input doubtful is refused by table and column") {
  const auto text = [](auto&& spoil) {
    Input input(rush());
    spoil(input);
    return refusal([&] { input.game(); });
  };
  CHECK(text([](Input&) {}).empty());
  CHECK(contains(text([](Input& input) { input.y.pop_back(); }), "table tracks, column y"));
  CHECK(contains(text([](Input& input) { input.vx = input.x; }), "vx and vy"));
  CHECK(contains(text([](Input& input) { input.snap_time.push_back(1); }), "table snaps, column snap_time"));
  CHECK(contains(text([](Input& input) { input.position.pop_back(); }), "table people, column position"));
  CHECK(contains(text([](Input& input) { input.track_play[7] = 5; }), "table tracks, column play, row 7"));
  CHECK(contains(text([](Input& input) { input.track_play[7] = -1; }), "table tracks, column play, row 7"));
  CHECK(contains(text([](Input& input) { input.track_player[7] = 99; }), "table tracks, column player, row 7"));
  CHECK(contains(text([](Input& input) { input.time[7] = scenes::nan; }), "table tracks, column time, row 7"));
  CHECK(contains(text([](Input& input) { input.direction[0] = 0; }), "table snaps, column direction, play 1: 0"));
  CHECK(contains(text([](Input& input) { input.direction[0] = scenes::nan; }), "accepted: 1"));
  CHECK(contains(text([](Input& input) { input.role[1] = Role::rusher; }), "player LT: role and unit disagree"));
  CHECK(contains(text([](Input& input) {
                   input.person_player.push_back(input.player("LT"));
                   input.unit.push_back(Unit::offense);
                   input.position.push_back("RT");
                   input.role.push_back(Role::unset);
                 }),
                 "player LT stands twice"));
  CHECK(contains(text([](Input& input) {
                   input.track_play.clear();
                   input.track_player.clear();
                   for (auto* column : {&input.time, &input.x, &input.y}) column->clear();
                 }),
                 "table tracks is empty"));
}

TEST_CASE("positions with meaning, and all other text without") {
  CHECK(position_of("LT") == Position::LT);
  CHECK(position_of("HB") == Position::HB);
  CHECK(position_of("QB") == Position::QB);
  CHECK(position_of("lt") == Position::other);
  CHECK(position_of("EDGE") == Position::other);
  CHECK(position_of("") == Position::other);
}

TEST_CASE("plays are found by id") {
  const Game game = Input({rush("a"), rush("b")}).game();
  CHECK(game.find_play("b") == 1);
  CHECK_FALSE(game.find_play("c"));
}
