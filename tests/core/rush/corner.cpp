#include "rush/corner.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;

namespace {
constexpr double reach = 1.04;
const Point rusher(0, 0), passer(0, 10);  // his straight line goes straight back; right of it is outside on the right
double held(const Point& blocker, int side) { return corner_held(rusher, blocker, passer, side, reach); }
}  // namespace

TEST_CASE("the corner by hand") {
  CHECK(held({0, 5}, 1) == Approx(reach));
  CHECK(held({0.6, 5}, 1) == Approx(reach + 0.6));
  CHECK(held({-0.5, 5}, 1) == Approx(reach - 0.5));
  CHECK(held({0.5, 5}, -1) == Approx(reach - 0.5));  // on the left, outside is left
  CHECK(held({3, 5}, 1) == 2 * reach);
  CHECK(held({-3, 5}, 1) == 0);
}

TEST_CASE("not abreast of him, an inside blocker holds nothing and an outside one what he stands outside") {
  CHECK(held({-0.3, 11}, 1) == 0);  // beyond the passer
  CHECK(held({0.3, 11}, 1) == Approx(reach + 0.3));
  CHECK(held({-0.3, -0.1}, 1) == 0);  // upfield of the rusher: past, outside
}

TEST_CASE("past outside the corner is gone; past inside it is not what he lost") {
  // The blocker stands 0.5 inside of his line, or 0.5 or 3 outside.
  CHECK(corner_held({0, 8}, {-0.5, 5}, passer, 1, reach) == 0);
  CHECK(corner_held({0, 8}, {0.5, 5}, passer, -1, reach) == 0);
  CHECK(corner_held({0, 6}, {0, 14}, passer, -1, reach) == 0);  // as far is past, on the line is outside
  CHECK(corner_held({0, 8}, {0.5, 5}, passer, 1, reach) == Approx(reach + 0.5));
  CHECK(corner_held({0, 8}, {-0.5, 5}, passer, -1, reach) == Approx(reach + 0.5));
  CHECK(corner_held({0, 8}, {3, 5}, passer, 1, reach) == 2 * reach);
  // As it was when he got past: inside, though his line is outside of the man by now, and the other way about.
  const auto kept = [](double u, bool outside) {
    return corner_held({0, 8}, {u, 5}, passer, Placed{1, true, outside}, reach);
  };
  CHECK(kept(-0.5, false) == reach);
  CHECK(kept(-5, false) == reach);
  CHECK(kept(0.2, false) == Approx(reach + 0.2));
  CHECK(kept(0.5, true) == 0);
  CHECK(kept(-0.5, true) == 0);
  for (const double u : {-5.0, -0.5, 0.0, 0.5, 5.0}) CHECK(short_edge(kept(u, false), reach) == 0);
  CHECK(short_edge(kept(0.5, true), reach) == reach);
}

TEST_CASE("no corner without a side, nor without one of the three") {
  CHECK(std::isnan(held({0, 5}, 0)));
  CHECK(std::isnan(corner_held({0, 8}, {0.5, 5}, passer, 0, reach)));  // past
  CHECK(std::isnan(corner_held({0, 8}, {0.5, 5}, passer, Placed{0, true, false}, reach)));
  CHECK(std::isnan(held(absent(), 1)));
  CHECK(std::isnan(corner_held(absent(), {0, 5}, passer, 1, reach)));
  CHECK(std::isnan(corner_held(rusher, {0, 5}, absent(), 1, reach)));
}

TEST_CASE("on the passer the rusher is past, and his line is nobody's inside") {
  CHECK(outside_by(passer, {3, 4}, passer, 1) == 0);
  CHECK(corner_held(passer, {3, 4}, passer, 1, reach) == 0);
  CHECK(corner_held(passer, {3, 4}, passer, Placed{1, true, false}, reach) == reach);
}

TEST_CASE("the short edge rises as the straight line passes outside the blocker") {
  const auto edge = [](double blocker_u) { return short_edge(held({blocker_u, 5}, 1), reach); };
  CHECK(edge(0.7) == 0);
  CHECK(edge(0) == Approx(0));
  CHECK(edge(-0.4) == Approx(0.4));
  CHECK(edge(-1.04) == Approx(reach));
  CHECK(edge(-4) == reach);
  CHECK(std::isnan(short_edge(scenes::nan, reach)));
}

TEST_CASE("it moves no faster than the blocker, keeps to its range, and mirrors") {
  scenes::Random random(65);
  int between = 0;
  for (int i = 0; i < 20000; ++i) {
    const Point from = random.point(8), blocker = random.point(8), goal = random.point(8);
    const int side = random.whole(0, 1) ? 1 : -1;
    const double value = corner_held(from, blocker, goal, side, reach);
    CHECK(value >= 0);
    CHECK(value <= 2 * reach);
    CHECK(corner_held(scenes::mirrored(from), scenes::mirrored(blocker), scenes::mirrored(goal), -side, reach) ==
          value);
    const double along = (blocker - from).dot(goal - from) / (goal - from).squaredNorm();
    const Point step = random.point(1e-3);
    if (along < 0.1 || along > 0.9 || is_past(from, blocker, goal) || is_past(from, blocker + step, goal)) continue;
    ++between;
    CHECK(std::abs(corner_held(from, blocker + step, goal, side, reach) - value) <= step.norm() + 1e-12);
  }
  CHECK(between > 1000);
}

TEST_CASE("rusher and tackle held, a deeper drop makes the edge shorter") {
  // The trade's judgement (common practice, no source): a deep drop gives a straighter way round the tackle.
  double before = 0;
  for (const double depth : {7.0, 8.0, 9.0, 10.0}) {
    const double edge = short_edge(corner_held({4.2, 2.5}, {3.2, 3.5}, {0, depth}, 1, reach), reach);
    CHECK(edge > before);
    before = edge;
  }
}
