#include "geometry/ring.hpp"

#include <doctest/doctest.h>

#include <boost/geometry/algorithms/centroid.hpp>
#include <boost/geometry/algorithms/convex_hull.hpp>
#include <boost/geometry/strategies/strategies.hpp>

#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;

namespace {

void check_ring(const Ring& ring, double size, const Point& middle) {
  CHECK(area(ring) == Approx(size).epsilon(1e-14));
  Point center;
  boost::geometry::centroid(ring, center);
  CHECK(distance(center, middle) < 1e-6);
}

}  // namespace

TEST_CASE("areas and centroids") {
  check_ring({{0, 0}, {4, 0}, {2, 3}}, 6, {2, 1});  // a textbook triangle (read); the others computed
  check_ring({{0, 0}, {4, 0}, {4, 1}, {1, 1}, {1, 3}, {0, 3}}, 6, {1.5, 1});
  check_ring({{0, 0}, {field_length, 0}, {field_length, field_width}, {0, field_width}}, 6400, {60, 26.666667});
  check_ring({{-3, 0}, {3, 0}, {2.5, -4}, {0, -6}, {-2.5, -4}}, -27, {0, -2.444444});  // clockwise: negative
  CHECK(area({{0, 0}, {1, 0}}) == 0);
  CHECK(area({}) == 0);
}

TEST_CASE("inside, on it, outside") {
  const Ring notch{{0, 0}, {4, 0}, {4, 1}, {1, 1}, {1, 3}, {0, 3}};
  CHECK(covers(notch, {0.5, 2}));
  CHECK(covers(notch, {1, 2}));
  CHECK(covers(notch, {4, 1}));
  CHECK_FALSE(covers(notch, {2, 2}));
  CHECK_FALSE(covers(notch, {-1e-9, 1}));
}

TEST_CASE("what makes a ring valid") {
  CHECK(is_valid({{0, 0}, {1, 0}, {0, 1}}));
  CHECK_FALSE(is_valid({{0, 0}, {0, 1}, {1, 0}}));                          // clockwise
  CHECK_FALSE(is_valid({{0, 0}, {1, 1}, {1, 0}, {0, 1}}));                  // crosses itself
  CHECK_FALSE(is_valid({{0, 0}, {2, 0}, {2, 2}, {2, 5}, {2, 2}, {0, 2}}));  // a spike
  CHECK_FALSE(is_valid({{0, 0}, {1, 0}}));
}

TEST_CASE("Boost.Geometry makes rings as well as takes them") {
  const Ring star{{0, 0}, {4, 0}, {1, 1}, {0, 4}};
  Ring hull;
  boost::geometry::convex_hull(star, hull);
  CHECK(area(hull) == Approx(8).epsilon(1e-15));
  CHECK(hull.size() == 3);  // open: no corner repeated
}

TEST_CASE("bearings are the passer's") {
  const Point passer(1, 7);
  CHECK(bearing(passer, {1, 2}) == 0);  // straight upfield
  CHECK(bearing(passer, {4, 7}) == Approx(90));
  CHECK(bearing(passer, {-2, 7}) == Approx(-90));
  CHECK(bearing(passer, {2, 6}) == Approx(45));
  CHECK(bearing(passer, {1, 9}) == 180);  // never -180, whatever the zero's sign
  CHECK(bearing({0.0, 0}, {-0.0, 1}) == 180);
  CHECK(bearing(passer, passer) == 0);
  CHECK(bearing({0, 0}, {-1e-12, 1}) < -179.9);
}

TEST_CASE("within a limit of 0 is only who stands on the same point") {
  CHECK(within({1, 1}, {1, 1}, 0));
  CHECK_FALSE(within({1, 1}, {1, 1 + 1e-12}, 0));
  CHECK(within({0, 0}, {0.9, 1.2}, 1.5));
}

TEST_CASE("ranks of bearings are in their order") {
  const Point passer(1, 7);
  for (const auto& [at, rank] : {std::pair(Point(1, 2), 0.0),
                                 {Point(4, 7), 1.0},
                                 {Point(-2, 7), -1.0},
                                 {Point(2, 6), 0.5},
                                 {Point(3, 9), 1.5},
                                 {Point(-1, 9), -1.5},
                                 {Point(1, 9), 2.0},
                                 {passer, 0.0}}) {
    CHECK(bearing_rank(passer, at) == rank);
  }
  CHECK(bearing_rank({0.0, 0}, {-0.0, 1}) == 2);
  scenes::Random random(51);
  for (int i = 0; i < 20000; ++i) {
    const Point a = random.point(5);
    Point b = random.point(5);
    if (random.whole(0, 3) == 0) b = a + 1e-9 * random.point(1);
    const double apart = bearing(passer, b) - bearing(passer, a),
                 ranks = bearing_rank(passer, b) - bearing_rank(passer, a);
    if (std::abs(apart) > 1e-11) CHECK((apart > 0) == (ranks > 0));
    if (std::abs(std::abs(apart) - 180) > 1e-11) CHECK((std::abs(apart) > 180) == (std::abs(ranks) > 2));
    CHECK(std::abs(bearing_rank(passer, Point(2 * passer - a)) - bearing_rank(passer, a)) ==
          doctest::Approx(2).epsilon(1e-15));
  }
}
