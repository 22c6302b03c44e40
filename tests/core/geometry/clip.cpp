#include "geometry/clip.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "geometry/ring.hpp"
#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;
using scenes::Random;

namespace {

/// Star-shaped about the origin, counter-clockwise.
Ring random_star(Random& random) {
  std::vector<double> angles;
  const int corners = random.whole(5, 12);
  for (int k = 0; k < corners; ++k) angles.push_back((k + random.number(0, 0.8)) * 2 * pi / corners);
  Ring ring;
  for (const double angle : angles) ring.push_back(random.number(0.5, 5) * Point(std::cos(angle), std::sin(angle)));
  return ring;
}

Ring clipped(Ring ring, const HalfPlane& half_plane) {
  Ring spare;
  clip(ring, half_plane, spare);
  return ring;
}

double height(const HalfPlane& half_plane, const Point& at) {
  return (at - half_plane.on).dot(half_plane.outward) / half_plane.outward.norm();
}

}  // namespace

TEST_CASE("a square cut by hand") {
  const Ring square{{0, 0}, {1, 0}, {1, 1}, {0, 1}};
  CHECK(area(clipped(square, {{0.25, 0}, {1, 0}})) == Approx(0.25).epsilon(1e-15));
  CHECK(area(clipped(square, {{0.25, 0}, {-7, 0}})) == Approx(0.75).epsilon(1e-15));
  CHECK(area(clipped(square, {{0.5, 0}, {1, 1}})) == Approx(0.125).epsilon(1e-15));  // the corner below u + v = 1/2
  CHECK(clipped(square, {{2, 0}, {1, 0}}) == square);
  CHECK(clipped(square, {{1, 0}, {1, 0}}) == square);                             // an edge on the line
  CHECK(area(clipped(square, {{0, 0}, {1, -1}})) == Approx(0.5).epsilon(1e-15));  // two corners on it
  CHECK(clipped(square, {{-1, 0}, {1, 0}}).empty());
  CHECK(clipped({}, {{0, 0}, {1, 0}}).empty());
}

TEST_CASE("both parts of a star sum to the whole and keep to their sides") {
  Random random(51);
  int cut = 0;
  for (int i = 0, n = scenes::cases(20000, 2000000); i < n; ++i) {
    const Ring star = random_star(random);
    const HalfPlane here{random.point(3), random.point(1)}, there{here.on, -here.outward};
    const Ring one = clipped(star, here), other = clipped(star, there);
    CAPTURE(i);
    CHECK(std::abs(area(one) + area(other) - area(star)) < 1e-12 * area(star));
    CHECK(area(one) >= 0);
    for (const Point& at : one) CHECK(height(here, at) <= 1e-12);
    for (const Point& at : other) CHECK(height(there, at) <= 1e-12);
    cut += !one.empty() && !other.empty();
  }
  CHECK(cut > 1000);
}

TEST_CASE("cut by half-planes about a point inside, a star stays a star") {
  Random random(52);
  for (int i = 0; i < 2000; ++i) {
    Ring ring = random_star(random), spare;
    const double whole = area(ring);
    std::vector<HalfPlane> planes;
    for (int k = random.whole(1, 6); k > 0; --k) {
      const HalfPlane plane = nearer_to({0, 0}, random.point(5));
      planes.push_back(plane);
      const double before = area(ring);
      clip(ring, plane, spare);
      CHECK(area(ring) <= before + 1e-12);
    }
    CAPTURE(i);
    REQUIRE(ring.size() >= 3);
    double turned = 0;
    for (std::size_t k = 0; k < ring.size(); ++k) {
      const Point &a = ring[k], &b = ring[(k + 1) % ring.size()];
      CHECK(cross(a, b) >= -1e-9);
      turned += std::atan2(cross(a, b), a.dot(b));
    }
    CHECK(turned == Approx(2 * pi).epsilon(1e-9));
    CHECK(area(ring) > 0);
    CHECK(area(ring) <= whole + 1e-12);
  }
}

TEST_CASE("the half-plane nearer to a") {
  Random random(53);
  for (int i = 0; i < 2000; ++i) {
    const Point a = random.point(5), b = random.point(5), at = random.point(5);
    const double out = height(nearer_to(a, b), at), farther = distance(at, a) - distance(at, b);
    if (std::abs(out) > 1e-12) CHECK((out > 0) == (farther > 0));
  }
}
