#include "geometry/way_round.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "geometry/taut_path.hpp"
#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;
using scenes::Random;

namespace {

struct Case {
  Point start, goal;
  Disc disc;
};

/// Start and goal outside the disc.
Case random_case(Random& random) {
  Case one{random.point(6), random.point(6), {random.point(4), 0}};
  const double most = std::min(distance(one.start, one.disc.center), distance(one.goal, one.disc.center));
  one.disc.radius = most * (random.whole(0, 9) ? random.number(0, 1) : 1);  // now and then on the rim
  return one;
}

}  // namespace

TEST_CASE("the shorter way round one disc is the taut path") {
  Random random(41);
  int bent = 0;
  for (int i = 0, n = scenes::cases(20000, 3000000); i < n; ++i) {
    const auto [start, goal, disc] = random_case(random);
    const double left = way_round(start, goal, disc, -1).length(), right = way_round(start, goal, disc, 1).length();
    const double taut = taut_path(start, goal, std::vector{disc}).length;
    CAPTURE(i);
    CHECK(std::abs(std::min(left, right) - taut) < 1e-9);
    bent += taut > distance(start, goal) + 1e-9;
  }
  CHECK(bent > 1000);
}

TEST_CASE("a way is a tangent, an arc on the rim and a tangent") {
  Random random(42);
  int turned = 0;
  for (int i = 0; i < 3000; ++i) {
    const auto [start, goal, disc] = random_case(random);
    const Turn side = random.whole(0, 1) ? 1 : -1;
    const WayRound way = way_round(start, goal, disc, side);
    CHECK(distance(way.start, start) < 1e-12);
    CHECK(way.length() >= distance(start, goal) - 1e-12);
    if (way.turn == 0) {
      CHECK(way.length() == distance(start, goal));
      continue;
    }
    ++turned;
    CHECK(distance(way.on, disc.center) == Approx(disc.radius).epsilon(1e-9));
    CHECK(distance(way.off, disc.center) == Approx(disc.radius).epsilon(1e-9));
    CHECK(std::abs(distance(start, way.on) - way.entry) < 1e-7);
    CHECK(std::abs(distance(way.off, goal) - way.exit) < 1e-7);
    CHECK(std::abs((way.on - start).dot(way.on - disc.center)) < 1e-9);
    CHECK(std::abs((goal - way.off).dot(way.off - disc.center)) < 1e-9);
    const double arc = swept(way.on - disc.center, way.off - disc.center, side);
    CHECK(std::abs(std::remainder(arc - way.turn, 2 * pi)) < 1e-7);
    CHECK(way.direction.norm() == Approx(1).epsilon(1e-12));
    if (way.entry > 1e-3) CHECK(distance(start + way.entry * way.direction, way.on) < 1e-7);
    // The disc's centre lies on the left of one who turns counter-clockwise.
    CHECK(cross(way.direction, disc.center - start) * side == Approx(disc.radius).epsilon(1e-6));
  }
  CHECK(turned > 500);
}

TEST_CASE("mirrored and reversed, a way turns the other way and is as long") {
  Random random(43);
  for (int i = 0; i < 3000; ++i) {
    const auto [start, goal, disc] = random_case(random);
    const Turn side = random.whole(0, 1) ? 1 : -1;
    const WayRound way = way_round(start, goal, disc, side);
    const WayRound mirror =
        way_round(scenes::mirrored(start), scenes::mirrored(goal), {scenes::mirrored(disc.center), disc.radius}, -side);
    const WayRound back = way_round(goal, start, disc, -side);
    CHECK(std::abs(mirror.length() - way.length()) < 1e-9);
    CHECK(std::abs(mirror.turn - way.turn) < 1e-9);
    CHECK(std::abs(back.length() - way.length()) < 1e-9);
    CHECK(std::abs(back.turn - way.turn) < 1e-9);
  }
}

TEST_CASE("a start inside begins on the rim at its bearing") {
  const Disc disc{{0, 0}, 1};
  const WayRound way = way_round({-0.25, 0}, {2, 0}, disc, 1);
  CHECK(distance(way.start, {-1, 0}) < 1e-15);
  CHECK(way.entry == 0);
  CHECK(way.turn == Approx(pi - std::acos(0.5)).epsilon(1e-14));
  CHECK(way.exit == Approx(std::sqrt(3.0)).epsilon(1e-14));
  CHECK(distance(way.direction, {0, -1}) < 1e-14);  // counter-clockwise from the left is down
}

TEST_CASE("the straight line as a way") {
  const WayRound way = straight_way({1, 1}, {4, 5});
  CHECK(way.length() == 5);
  CHECK(way.turn == 0);
  CHECK(way.exit == 0);
  CHECK(distance(way.direction, {0.6, 0.8}) < 1e-15);
  CHECK(straight_way({1, 1}, {1, 1}).direction == Point(0, 0));
}
