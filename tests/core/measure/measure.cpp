#include "measure/measure.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <cstring>
#include <map>

#include "geometry/taut_path.hpp"
#include "geometry/way_round.hpp"
#include "rush/ways.hpp"
#include "scenes.hpp"

using namespace shortedge;
using namespace shortedge::scenes;
using doctest::Approx;

namespace {

/// A dropback of five rushers, drawn at random: some are held, some get through, some men come and go.
Script random_script(Random& random, int play) {
  Script script = five_and_passer(std::to_string(play));
  script.rate = random.whole(0, 4) ? 10 : 25;
  script.ball = {random.number(20, 100), random.number(18, 34)};
  script.direction = random.whole(0, 1) ? 1 : -1;
  script.throw_time = random.whole(0, 3) ? random.number(1.5, 2.8) : scenes::nan;
  const double depth = random.number(5, 10), drift = random.number(-4, 4);
  script.men[0].path = along({{0, {0, 1}}, {depth / 4, {0, depth}}, {3, {drift, depth}}});
  for (std::size_t man = 1; man <= 5; ++man) {
    const Point from = script.men[man].path(0);
    const Point set(from.x() * random.number(0.8, 2), from.y() + random.number(0.5, 2.5));
    script.men[man].path = along({{0, from}, {0.8, set}, {3, set + Point(random.number(-1, 1), random.number(0, 3))}});
  }
  for (const double u : {-5.5, -1.0, 1.2, 5.0, 9.0}) {
    const double start = random.number(0, 0.4);
    Actor rusher =
        defense("rusher " + std::to_string(u), along({{start, {u, -1}},
                                                      {start + 1, {u * 0.8, random.number(0.5, 3)}},
                                                      {3, {random.number(-2, 2), depth - random.number(-1, 4)}}}));
    if (random.whole(0, 9) == 0) rusher.to = random.number(1, 2);
    script.men.push_back(rusher);
  }
  return script;
}

Game random_game(int plays, std::uint64_t seed) {
  Random random(seed);
  std::vector<Script> scripts;
  for (int play = 0; play < plays; ++play) scripts.push_back(random_script(random, play));
  return Input(scripts).game();
}

/// Every bit of the tables, one column after the other.
std::string bits(const Tables& tables) {
  std::string all;
  const auto add = [&](const auto& table) {
    std::decay_t<decltype(table)>::for_each(table, [&](const ColumnInfo&, const auto& values) {
      all.append(reinterpret_cast<const char*>(values.data()), values.size() * sizeof values[0]);
    });
  };
  add(tables.frames);
  add(tables.edges);
  add(tables.rushers);
  return all;
}

bool is(std::int8_t code, Status status) { return code == static_cast<std::int8_t>(status); }

}  // namespace

TEST_CASE("a frame is measured alike however many come after it, with passers missing among them") {
  Random random(81);
  for (int i = 0; i < 20; ++i) {
    const std::size_t frames = static_cast<std::size_t>(random.whole(17, 40));
    const auto moving = [&](const Point& from) {
      std::vector<Point> places;
      for (std::size_t frame = 0; frame < frames; ++frame) places.push_back(from + random.point(0.3));
      return places;
    };
    Stage stage;
    stage.passer(moving({0, 6}));
    for (Point& at : stage.places[0]) at = random.whole(0, 5) ? at : absent();
    for (const auto& [slot, at] : five_linemen()) stage.protector(slot, moving(at));
    for (int k = random.whole(0, 6); k > 0; --k) {
      stage.rusher(moving({random.number(-6, 6), random.number(-1, 5)}));
      for (Point& at : stage.places.back()) at = random.whole(0, 9) ? at : absent();
    }
    const Tables whole = stage.measured();
    for (std::size_t count = 1; count <= frames; ++count) {
      Stage cut = stage;
      for (std::vector<Point>& places : cut.places) places.resize(count);
      const Tables some = cut.measured();
      CHECK(some.frames.rows() == count);
      const auto begins = [&](const auto& all, const auto& part) {
        std::vector<const void*> columns;
        using Table = std::decay_t<decltype(all)>;
        Table::for_each(all, [&](const ColumnInfo&, const auto& values) { columns.push_back(values.data()); });
        auto column = columns.begin();
        bool alike = true;
        Table::for_each(part, [&](const ColumnInfo&, const auto& values) {
          alike =
              alike && (values.empty() || std::memcmp(values.data(), *column, values.size() * sizeof values[0]) == 0);
          ++column;
        });
        return alike;
      };
      CAPTURE(i);
      CAPTURE(count);
      CHECK(begins(whole.frames, some.frames));
      CHECK(begins(whole.edges, some.edges));
      CHECK(begins(whole.rushers, some.rushers));
    }
  }
}

TEST_CASE("a rusher on a straight run by hand") {
  // The passer stands at (0, 7); the end comes from (5, -5) straight at him, 13 yd, at 6.5 yd/s.
  Script script = five_and_passer();
  script.men[0].path = stands(0, 7);
  const Point from(5, -5), goal(0, 7);
  script.men.push_back(defense("end", [=](double time) { return Point(from + time / 2 * (goal - from)); }));
  script.men.back().to = 1.8;
  const Tables tables = measure_game(Input(script).game(), Rules());
  const RushersTable& rows = tables.rushers;
  REQUIRE(rows.rows() > 5);
  for (std::size_t k = 0; k < rows.rows(); ++k) {
    const double left = 13 - 6.5 * rows.time[k];
    CHECK(rows.distance[k] == Approx(left).epsilon(1e-9));
    CHECK(rows.bearing[k] == Approx(degrees(std::atan2(5, 12))).epsilon(1e-9));
    CHECK(rows.closing[k] == Approx(6.5).epsilon(1e-7));
    CHECK(rows.approach_angle[k] < 1e-5);
    CHECK(rows.closest[k] < 1e-6);
    CHECK(rows.closest_in[k] == Approx(left / 6.5).epsilon(1e-7));
    CHECK(rows.slack[k] == Approx(rows.path_length[k] - rows.distance[k]));
  }
  CHECK(tables.frames.passer_depth[0] == Approx(7));
  CHECK(tables.frames.rows() == 31);
}

TEST_CASE("the closest point is of the motion relative to the passer") {
  // Passer and end go back at 2 yd/s; the end is 6 yd to the right and comes across at 4.
  Script script = five_and_passer();
  const Path passer = [](double time) { return Point(0, 3 + 2 * time); };
  script.men[0].path = passer;
  script.men.push_back(defense("end", [=](double time) { return Point(passer(time) + Point(6 - 4 * time, 0)); }));
  script.men.back().to = 1.2;
  const Tables tables = measure_game(Input(script).game(), Rules());
  REQUIRE(tables.rushers.rows() == 13);
  for (std::size_t k = 0; k < tables.rushers.rows(); ++k) {
    CHECK(tables.rushers.closest[k] < 1e-9);
    CHECK(tables.rushers.closest_in[k] == Approx(1.5 - tables.rushers.time[k]).epsilon(1e-9));
    CHECK(tables.rushers.closing[k] == Approx(4).epsilon(1e-9));  // his own speed toward where the passer is
    CHECK(tables.rushers.approach_angle[k] == Approx(degrees(std::atan2(2, 4))).epsilon(1e-9));
  }
}

TEST_CASE("the tables' columns are as long as each other, and their rows agree") {
  const Game game = random_game(20, 101);
  const Tables tables = measure_game(game, Rules());
  const auto even = [](const auto& table) {
    std::decay_t<decltype(table)>::for_each(table, [&](const ColumnInfo& column, const auto& values) {
      CAPTURE(column.name);
      CHECK(values.size() == table.rows());
    });
  };
  even(tables.frames);
  even(tables.edges);
  even(tables.rushers);

  const FramesTable& frames = tables.frames;
  const EdgesTable& edges = tables.edges;
  const RushersTable& rushers = tables.rushers;
  std::size_t edge = 0, rusher = 0, ok_frames = 0, past = 0, past_inside = 0, free = 0;
  for (std::size_t k = 0; k < frames.rows(); ++k) {
    const bool ok = is(frames.status[k], Status::ok), seen = !is(frames.status[k], Status::missing);
    CAPTURE(k);
    double nearest = infinity, inside = 0;
    for (; rusher < rushers.rows() && rushers.play[rusher] == frames.play[k] && rushers.time[rusher] == frames.time[k];
         ++rusher) {
      nearest = std::min(nearest, rushers.distance[rusher]);
      if (rushers.inside_exposure[rusher] > inside) inside = rushers.inside_exposure[rusher];
      CHECK((rushers.lane[rusher] == -1) == !ok);
      CHECK((rushers.lane_side[rusher] == -1) == !ok);
      const double outside_time = rushers.outside_time[rusher], inside_time = rushers.inside_time[rusher];
      const double corner = rushers.corner_held[rusher];
      if (rushers.cutoff_ratio[rusher] >= 1 && std::isnan(outside_time)) {  // past a man without a side
        CHECK(std::isfinite(inside_time));
        CHECK(std::isnan(rushers.outside_bend[rusher]));
        CHECK(std::isnan(corner));
      } else if (rushers.cutoff_ratio[rusher] >= 1) {  // past: one way is gone
        CHECK(std::isinf(outside_time) != std::isinf(inside_time));
        CHECK(std::isnan(rushers.outside_bend[rusher]) == std::isinf(outside_time));
        CHECK((std::isinf(outside_time) ? rushers.outside_exposure[rusher] : rushers.inside_exposure[rusher]) == 0);
        CHECK((std::isinf(outside_time) ? corner >= Rules().reach : corner == 0));
        past += std::isfinite(outside_time);
        past_inside += std::isinf(outside_time);
      }
      if (rushers.blocker[rusher] == no_code) {  // free
        for (const double figure :
             {rushers.blocker_range[rusher], rushers.cutoff_ratio[rusher], corner, rushers.short_edge[rusher]}) {
          CHECK(std::isnan(figure));
        }
        CHECK(std::isinf(outside_time) != std::isinf(inside_time));
        ++free;
      }
      CHECK(rushers.path_length[rusher] >= rushers.distance[rusher] - 1e-9);
      CHECK(rushers.engaged[rusher] == (rushers.blocker_range[rusher] <= Rules().meet));
      CHECK(std::isnan(rushers.outside_time[rusher]) == std::isnan(rushers.outside_exposure[rusher]));
    }
    if (!seen) continue;
    CHECK(frames.nearest_rusher[k] == nearest);
    if (!ok) {
      CHECK(std::isnan(frames.pocket_width[k]));
      CHECK(std::isnan(frames.pocket_depth[k]));
      CHECK(std::isnan(frames.pocket_area[k]));
      CHECK(std::isnan(frames.passer_room[k]));
      CHECK(std::isnan(frames.exposure_left[k]));
      CHECK(std::isnan(frames.exposure_inside[k]));
      CHECK(std::isnan(frames.exposure_right[k]));
      CHECK(frames.wall_left[k] == no_code);
      CHECK(frames.wall_right[k] == no_code);
      continue;
    }
    ++ok_frames;
    REQUIRE(edge + 1 < edges.rows());
    CHECK(edges.side[edge] == static_cast<std::int8_t>(Side::left));
    CHECK(edges.side[edge + 1] == static_cast<std::int8_t>(Side::right));
    CHECK(edges.time[edge] == frames.time[k]);
    CHECK(frames.exposure_left[k] == edges.exposure[edge]);
    CHECK(frames.exposure_right[k] == edges.exposure[edge + 1]);
    CHECK(frames.exposure_inside[k] == inside);
    CHECK(frames.passer_room[k] <= frames.pocket_area[k] + 1e-9);
    CHECK(frames.pocket_width[k] > 0);
    edge += 2;
  }
  CHECK(edge == edges.rows());
  CHECK(rusher == rushers.rows());
  CHECK(past > 100);
  CHECK(past_inside > 100);
  CHECK(free > 100);
  CHECK(ok_frames > 200);
  CHECK(ok_frames < frames.rows());
}

TEST_CASE("the result is the same for 1, 2 and 8 threads, bit for bit") {
  const Game game = random_game(40, 102);
  const std::string one = bits(measure_game(game, Rules(), 1));
  CHECK(one.size() > 100000);
  CHECK(bits(measure_game(game, Rules(), 2)) == one);
  CHECK(bits(measure_game(game, Rules(), 8)) == one);
}

TEST_CASE("mirrored and turned, a game gives mirrored figures") {
  // The whole field mirrored, tackles and guards renamed: left and right change places, all else stays.
  Random random(103);
  std::vector<Script> scripts, mirrors;
  for (int play = 0; play < 10; ++play) {
    Script script = random_script(random, play), mirror = script;
    script.men.resize(11);
    const std::map<std::string, std::string> swapped{{"LT", "RT"}, {"LG", "RG"}, {"RG", "LG"}, {"RT", "LT"}};
    mirror.direction = -script.direction;
    for (Actor& actor : mirror.men) {
      actor.path = [path = actor.path](double time) { return mirrored(path(time)); };
      if (const auto other = swapped.find(actor.position); other != swapped.end()) actor.position = other->second;
    }
    scripts.push_back(script);
    mirrors.push_back(mirror);
  }
  const Tables a = measure_game(Input(scripts).game(), Rules()), b = measure_game(Input(mirrors).game(), Rules());
  REQUIRE(a.frames.rows() == b.frames.rows());
  const auto close = [](double x, double y) {
    return x == y || (std::isnan(x) && std::isnan(y)) || std::abs(x - y) < 1e-6;
  };
  for (std::size_t k = 0; k < a.frames.rows(); ++k) {
    CAPTURE(k);
    CHECK(a.frames.status[k] == b.frames.status[k]);
    CHECK(close(a.frames.exposure_left[k], b.frames.exposure_right[k]));
    CHECK(close(a.frames.exposure_right[k], b.frames.exposure_left[k]));
    CHECK(close(a.frames.exposure_inside[k], b.frames.exposure_inside[k]));
    CHECK(close(a.frames.pocket_width[k], b.frames.pocket_width[k]));
    CHECK(close(a.frames.pocket_depth[k], b.frames.pocket_depth[k]));
    CHECK(close(a.frames.pocket_area[k], b.frames.pocket_area[k]));
    CHECK(close(a.frames.passer_room[k], b.frames.passer_room[k]));
    CHECK(a.frames.wall_left[k] == b.frames.wall_right[k]);
  }
  REQUIRE(a.rushers.rows() == b.rushers.rows());
  for (std::size_t k = 0; k < a.rushers.rows(); ++k) {
    CAPTURE(k);
    CHECK(close(a.rushers.bearing[k], -b.rushers.bearing[k]));
    CHECK(close(a.rushers.corner_held[k], b.rushers.corner_held[k]));
    CHECK(close(a.rushers.outside_time[k], b.rushers.outside_time[k]));
    CHECK(close(a.rushers.inside_time[k], b.rushers.inside_time[k]));
    CHECK(close(a.rushers.path_length[k], b.rushers.path_length[k]));
    CHECK(close(a.rushers.cutoff_ratio[k], b.rushers.cutoff_ratio[k]));
    CHECK(a.rushers.lane[k] == b.rushers.lane[k]);
  }
}

TEST_CASE("missing passer, missing protectors, missing rushers") {
  Stage stage;
  stage.passer({{0, 5}, absent(), {0, 5}});
  for (const auto& [slot, at] : five_linemen()) stage.protector(slot, {at, at, absent()});
  stage.rusher({{3.5, 2}, {3.5, 2}, {3.5, 2}});
  const Tables tables = stage.measured();
  CHECK(is(tables.frames.status[0], Status::ok));
  CHECK(is(tables.frames.status[1], Status::missing));
  CHECK(std::isnan(tables.frames.passer_depth[1]));
  CHECK(std::isnan(tables.frames.nearest_rusher[1]));
  CHECK(is(tables.frames.status[2], Status::thin));
  CHECK(tables.edges.rows() == 2);
  REQUIRE(tables.rushers.rows() == 2);  // none in the missing frame
  CHECK(tables.rushers.time[1] == Approx(0.2));
  CHECK(tables.rushers.blocker[1] == no_code);
  CHECK_FALSE(tables.rushers.engaged[1]);
  const auto unknown = [](const Tables& of) {
    for (const double value : {of.rushers.blocker_range[1], of.rushers.cutoff_ratio[1], of.rushers.corner_held[1],
                               of.rushers.short_edge[1]}) {
      CHECK(std::isnan(value));
    }
  };
  unknown(tables);
  CHECK(tables.rushers.path_length[1] == tables.rushers.distance[1]);  // nobody in the way
  // Nobody has him there: free, and outside with no wall to be inside of.
  CHECK(tables.rushers.outside_bend[1] == 0);
  CHECK(tables.rushers.outside_exposure[1] > 0);
  CHECK(std::isinf(tables.rushers.inside_time[1]));
  CHECK(tables.rushers.inside_exposure[1] == 0);
  // The tackle has him and is away: nothing is known of the way round him.
  stage.has[6] = 5;
  const Tables away = stage.measured();
  CHECK(away.rushers.blocker[0] == 5);
  CHECK(away.rushers.blocker[1] == no_code);
  CHECK_FALSE(away.rushers.engaged[1]);
  unknown(away);
  for (const double value :
       {away.rushers.outside_time[1], away.rushers.outside_bend[1], away.rushers.outside_exposure[1],
        away.rushers.inside_time[1], away.rushers.inside_exposure[1]}) {
    CHECK(std::isnan(value));
  }
  CHECK(away.rushers.path_length[1] == away.rushers.distance[1]);

  Stage nobody;
  nobody.line();
  CHECK(std::isinf(nobody.measured().frames.nearest_rusher[0]));
  CHECK(nobody.measured().frames.exposure_inside[0] == 0);
  CHECK(nobody.measured().rushers.rows() == 0);
}

TEST_CASE("a rusher on the passer") {
  Stage stage;
  stage.line();
  stage.rusher({{0, 5}});
  const Tables tables = stage.measured();
  CHECK(tables.rushers.distance[0] == 0);
  CHECK(tables.rushers.bearing[0] == 0);
  CHECK(std::isnan(tables.rushers.closing[0]));
  CHECK(std::isnan(tables.rushers.approach_angle[0]));
  CHECK(std::isinf(tables.rushers.cutoff_ratio[0]));
  CHECK(tables.rushers.outside_exposure[0] == 1);  // of the guard who is nearest
  CHECK(tables.rushers.inside_exposure[0] == 0);
  CHECK(tables.rushers.corner_held[0] == 0);
  CHECK(tables.frames.passer_room[0] == 0);
  stage.has[6] = 3;  // the centre, who has no side
  CHECK(std::isnan(stage.measured().rushers.outside_exposure[0]));
  CHECK(stage.measured().rushers.inside_exposure[0] == 1);
}

TEST_CASE("the taut path keeps reach from the blocker and body from the others") {
  Stage stage;
  stage.line();
  const auto rusher = stage.rusher({{0.9, 0.6}});  // the centre's man, before the gap on his right
  const Tables tables = stage.measured();
  std::vector<Disc> discs;
  for (std::size_t man = 1; man <= 5; ++man) discs.push_back({stage.places[man][0], man == 3 ? 1.04 : 0.56});
  REQUIRE(tables.rushers.blocker[0] == 3);
  CHECK(tables.rushers.path_length[0] ==
        Approx(taut_path(stage.places[rusher][0], {0, 5}, discs).length).epsilon(1e-12));

  // Of one whom nobody has, body from all; of one whose man is away, body from those who are there.
  stage.has[rusher] = nobody;
  for (Disc& disc : discs) disc.radius = 0.56;
  const double free = taut_path(stage.places[rusher][0], {0, 5}, discs).length;
  CHECK(free < tables.rushers.path_length[0] - 1e-3);
  CHECK(stage.measured().rushers.path_length[0] == Approx(free).epsilon(1e-12));
  stage.places[3] = {absent()};
  stage.has[rusher] = 3;
  discs.erase(discs.begin() + 2);
  CHECK(stage.measured().rushers.path_length[0] ==
        Approx(taut_path(stage.places[rusher][0], {0, 5}, discs).length).epsilon(1e-12));

  Stage ring;  // twelve men round him, shoulder to shoulder
  ring.passer({{0, 5}});
  for (int k = 0; k < 12; ++k) ring.protector(Slot::none, {1.6 * Point(std::cos(k * pi / 6), std::sin(k * pi / 6))});
  ring.rusher({{0, 0}});
  CHECK(std::isinf(ring.measured().rushers.path_length[0]));
  CHECK(std::isinf(ring.measured().rushers.slack[0]));
}

TEST_CASE("the man who has him counts, not who is nearest; of a free one helpers are counted all the same") {
  Stage stage;
  stage.line();
  const auto end = stage.rusher({{3.4, 2.2}});  // at the tackle's shoulder, and the guard's by the play
  stage.has[end] = 4;
  stage.man(Role::other, Slot::none, {{4.6, 2.2}});  // a chip
  const Tables his = stage.measured();
  CHECK(his.rushers.blocker[0] == 4);
  CHECK(his.rushers.blocker_range[0] == Approx(std::hypot(1.9, 0.2)));
  CHECK_FALSE(his.rushers.engaged[0]);
  CHECK(his.rushers.helpers[0] == 2);  // the tackle and the chip
  stage.has[end] = nobody;
  const Tables free = stage.measured();
  CHECK(free.rushers.blocker[0] == no_code);
  CHECK_FALSE(free.rushers.engaged[0]);
  CHECK(free.rushers.helpers[0] == 2);
  for (const double figure : {free.rushers.blocker_range[0], free.rushers.cutoff_ratio[0], free.rushers.corner_held[0],
                              free.rushers.short_edge[0]}) {
    CHECK(std::isnan(figure));
  }
  // The tackle stands between, on his left: he is free, outside the wall's end or inside of him, and goes round the
  // body.
  CHECK(std::isfinite(free.rushers.outside_time[0]) != std::isfinite(free.rushers.inside_time[0]));
}

TEST_CASE("a free rusher's way is on the side of the wall's end he is on, round the man between") {
  const auto free_at = [](const Point& at) {
    Stage stage;
    stage.line();
    const auto rusher = stage.rusher({at});
    stage.has[rusher] = nobody;
    return stage.measured().rushers;
  };
  const Rules rules;
  const Point passer(0, 5);
  // Outside of the tackles, nobody between.
  for (const double side : {-1.0, 1.0}) {
    const RushersTable wide = free_at({5 * side, 4});
    CHECK(wide.outside_bend[0] == 0);
    CHECK(wide.outside_time[0] == Approx(time_of(straight_way({5 * side, 4}, passer), {0, 0}, rules)).epsilon(1e-12));
    CHECK(std::isinf(wide.inside_time[0]));
    CHECK(wide.inside_exposure[0] == 0);
    // Through the gap of guard and tackle: inside, straight.
    const RushersTable gap = free_at({2.9 * side, 1.2});
    CHECK(std::isinf(gap.outside_time[0]));
    CHECK(std::isnan(gap.outside_bend[0]));
    CHECK(gap.outside_exposure[0] == 0);
    CHECK(gap.inside_time[0] == Approx(time_of(straight_way({2.9 * side, 1.2}, passer), {0, 0}, rules)).epsilon(1e-12));
    // Before the guard: round his body, on the quicker side.
    const Point at(2.1 * side, 0.9);
    const WayRound left = way_round(at, passer, {{1.5 * side, 2}, rules.body}, -1),
                   right = way_round(at, passer, {{1.5 * side, 2}, rules.body}, 1);
    const double quicker = std::min(time_of(left, {0, 0}, rules), time_of(right, {0, 0}, rules));
    const RushersTable before = free_at(at);
    CHECK(before.inside_time[0] == Approx(quicker).epsilon(1e-12));
    CHECK(before.inside_time[0] > time_of(straight_way(at, passer), {0, 0}, rules) + 1e-3);
  }
}

TEST_CASE("progress is told, and can stop the work") {
  const Game game = random_game(30, 104);
  std::size_t all = 0;
  const Tables whole = measure_game(game, Rules(), 2, [&](std::size_t done, std::size_t of) {
    CHECK(done <= of);
    all = of;
    return true;
  });
  CHECK(bits(whole) == bits(measure_game(game, Rules())));
  CHECK(all == 30);
  const Tables none = measure_game(random_game(120, 105), Rules(), 1, [](std::size_t, std::size_t) { return false; });
  CHECK(none.frames.rows() == 0);
}

TEST_CASE("wrong rules are refused before any work") {
  Rules rules;
  rules.horizon = 0;
  CHECK(contains(refusal([&] { measure_game(random_game(1, 106), rules); }), "rule horizon is 0 s"));
}
