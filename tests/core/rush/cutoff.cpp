#include "rush/cutoff.hpp"

#include <doctest/doctest.h>

#include <boost/math/tools/minima.hpp>
#include <cmath>

#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;

namespace {

/// The least of |B - X| / |R - X| over the points X of the line, by search.
double by_search(const Point& rusher, const Point& blocker, const Point& passer) {
  const auto ratio = [&](double share) {
    const Point at = rusher + share * (passer - rusher);
    return distance(blocker, at) / distance(rusher, at);
  };
  constexpr int steps = 400;
  int best = 1;
  for (int k = 2; k <= steps; ++k) {
    if (ratio(k / double{steps}) < ratio(best / double{steps})) best = k;
  }
  const double low = (best - 1 + 1e-9) / steps, high = std::min(1.0, (best + 1) / double{steps});
  return std::min(ratio(1), boost::math::tools::brent_find_minima(ratio, low, high, 50).second);
}

}  // namespace

TEST_CASE("the tangent to Apollonius' circle") {
  // Points both reach together at speed ratio g lie on a circle; the lines that touch it make asin(g) with the line of
  // the two men (formula: a public wiki, read; figures computed): g 1/2, 10 apart: 30 degrees, centre 13.3333,
  // radius 6.6667.
  const Point rusher(0, 0), blocker(10, 0);
  const auto toward = [](double angle, double length) -> Point {
    return length * Point(std::cos(angle), std::sin(angle));
  };
  CHECK(cutoff_ratio(rusher, blocker, toward(pi / 6, 30)) == Approx(0.5).epsilon(1e-14));
  const double touch = std::sqrt(13.333333333333333 * 13.333333333333333 - 6.666666666666667 * 6.666666666666667);
  CHECK(cutoff_ratio(rusher, blocker, toward(pi / 6, touch)) == Approx(0.5).epsilon(1e-12));
  CHECK(cutoff_ratio(rusher, blocker, toward(pi / 6, touch - 0.5)) > 0.5);  // he is there before the circle
  CHECK(cutoff_ratio(rusher, {5, 0}, toward(std::asin(0.8), 30)) == Approx(0.8).epsilon(1e-14));
}

TEST_CASE("the lead law's meeting points") {
  // sin(lead) = g sin(psi): 8 against 5, 10 apart, crossing at 90 degrees: they meet at (10, 8.0064077); 8 against 4,
  // 6 apart, at 60 degrees: at (8.3027756, 3.9885244) (computed). A passer there makes the speeds' ratio the cut-off.
  CHECK(cutoff_ratio({10, 0}, {0, 0}, {10, 8.0064077}) == Approx(8.0 / 5).epsilon(1e-7));
  CHECK(cutoff_ratio({6, 0}, {0, 0}, {8.3027756, 3.9885244}) == Approx(8.0 / 4).epsilon(1e-7));
}

TEST_CASE("it is the least ratio along the line") {
  scenes::Random random(62);
  for (int i = 0, n = scenes::cases(3000, 300000); i < n; ++i) {
    const Point rusher = random.point(8), blocker = random.point(8), passer = random.point(8);
    CAPTURE(i);
    CHECK(cutoff_ratio(rusher, blocker, passer) == Approx(by_search(rusher, blocker, passer)).epsilon(1e-7));
  }
}

TEST_CASE("at or above 1 exactly when the rusher is no farther from the passer than the blocker") {
  scenes::Random random(63);
  int above = 0;
  for (int i = 0; i < 20000; ++i) {
    const Point rusher = random.point(8), blocker = random.point(8), passer = random.point(8);
    const bool past = distance(rusher, passer) <= distance(blocker, passer);
    CHECK((cutoff_ratio(rusher, blocker, passer) >= 1) == past);
    above += past;
  }
  CHECK(above > 5000);
  CHECK(cutoff_ratio({3, 4}, {-3, 4}, {0, 0}) == 1);  // as far
}

TEST_CASE("moved, mirrored and in another unit it is the same") {
  scenes::Random random(64);
  for (int i = 0; i < 2000; ++i) {
    const Point rusher = random.point(8), blocker = random.point(8), passer = random.point(8);
    const double ratio = cutoff_ratio(rusher, blocker, passer);
    const scenes::Move move{random.number(-pi, pi), random.point(30)};
    CHECK(cutoff_ratio(move(rusher), move(blocker), move(passer)) == Approx(ratio).epsilon(1e-9));
    CHECK(cutoff_ratio(scenes::mirrored(rusher), scenes::mirrored(blocker), scenes::mirrored(passer)) == ratio);
    CHECK(cutoff_ratio(0.9144 * rusher, 0.9144 * blocker, 0.9144 * passer) == Approx(ratio).epsilon(1e-12));
  }
}

TEST_CASE("degenerate places") {
  CHECK(cutoff_ratio({1, 2}, {1, 2}, {4, 6}) == 1);  // on the blocker
  CHECK(std::isinf(cutoff_ratio({4, 6}, {1, 2}, {4, 6})));
  CHECK(std::isinf(cutoff_ratio({4, 6}, {4, 6}, {4, 6})));
  CHECK(cutoff_ratio({0, 0}, {4, 6}, {4, 6}) == 0);  // the blocker on the passer
  CHECK(cutoff_ratio({0, 0}, {2, 3}, {4, 6}) == 0);  // the blocker in the way
  CHECK(std::isnan(cutoff_ratio(absent(), {1, 2}, {4, 6})));
  CHECK(std::isnan(cutoff_ratio({1, 2}, absent(), {4, 6})));
  CHECK(std::isnan(cutoff_ratio({1, 2}, {3, 4}, absent())));
}

TEST_CASE("a wider rusher and a deeper passer ask more of the same tackle") {
  // The trade's judgement (common practice, no source): a wide alignment is harder on the man who must reach it, and a
  // ten-yard drop is hard on tackles left alone.
  const Point tackle(3.2, 0.7);
  double before = 0;
  for (const double wide : {1.0, 2.0, 3.0, 4.0}) {
    const double ratio = cutoff_ratio(tackle + Point(wide, -1.6), tackle, {0, 7});
    CHECK(ratio > before);
    before = ratio;
  }
  const auto at_depth = [&](double depth) { return cutoff_ratio({6.2, -0.9}, tackle, {0, depth}); };
  CHECK(at_depth(9) > at_depth(7));
  CHECK(at_depth(10) > at_depth(9));
}
