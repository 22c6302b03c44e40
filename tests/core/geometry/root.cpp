#include "geometry/root.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "scenes.hpp"

using namespace shortedge;

TEST_CASE("square and cube roots, and where x e^x is y, from any guess") {
  scenes::Random random(14);
  for (int i = 0; i < 2000; ++i) {
    const double y = std::exp(random.number(-10, 10)), high = y + 1, guess = random.number(-1, 2) * high;
    const double square = increasing_root([&](double x) { return Slopes{x * x - y, 2 * x, 2, 0, 0}; }, guess, 0, high);
    CHECK(std::abs(square / std::sqrt(y) - 1) < 1e-14);
    const double cube =
        increasing_root([&](double x) { return Slopes{x * x * x - y, 3 * x * x, 6 * x, 6, 0}; }, guess, 0, high);
    CHECK(std::abs(cube / std::cbrt(y) - 1) < 1e-14);
    const double w = increasing_root(
        [&](double x) {
          const double e = std::exp(x);
          return Slopes{x * e - y, (1 + x) * e, (2 + x) * e, (3 + x) * e, (4 + x) * e};
        },
        std::min(guess, 12.0), 0, std::min(high, 12.0));
    CHECK(std::abs(w * std::exp(w) / y - 1) < 1e-12);
  }
}

TEST_CASE("a guess from which the series stands still is no root") {
  // From these the fourth-order series of the inverse has no step, by its formula (found in review, by bisection).
  const auto square = [](double x) { return Slopes{x * x - 1, 2 * x, 2, 0, 0}; };
  const auto cube = [](double x) { return Slopes{x * x * x - 1, 3 * x * x, 6 * x, 6, 0}; };
  CHECK(increasing_root(square, 0.539218, 0, 10) == doctest::Approx(1).epsilon(1e-14));
  CHECK(increasing_root(cube, 0.687506, 0, 10) == doctest::Approx(1).epsilon(1e-14));
  for (int i = 0; i <= 200000; ++i) {
    const double guess = 1e-5 * i;
    CHECK(std::abs(increasing_root(square, guess, 0, 10) - 1) < 1e-13);
    CHECK(std::abs(increasing_root(cube, guess, 0, 10) - 1) < 1e-13);
  }
  CHECK(increasing_root(square, scenes::nan, 0, 10) == doctest::Approx(1).epsilon(1e-14));
}

TEST_CASE("a root at an end of the bracket") {
  CHECK(increasing_root([](double x) { return Slopes{x, 1, 0, 0, 0}; }, 0.5, 0, 1) == 0);
  CHECK(std::abs(increasing_root([](double x) { return Slopes{x * x - 1, 2 * x, 2, 0, 0}; }, 0.5, 0, 1) - 1) < 1e-15);
}

TEST_CASE("roots side by side are the roots alone, to the bit, and lanes that are not sought hold up none") {
  scenes::Random random(15);
  for (int i = 0; i < 1000; ++i) {
    Wide y, guess, high;
    WideMask sought;
    for (std::size_t lane = 0; lane < lanes; ++lane) {
      y[lane] = random.whole(0, 9) ? std::exp(random.number(-10, 10)) : scenes::nan;
      high[lane] = y[lane] + 1, guess[lane] = random.number(-1, 2) * high[lane];
      sought[lane] = std::isnan(y[lane]) ? 0 : -1;
    }
    int asked = 0;
    const auto cube = [&](const Wide& x) {
      ++asked;
      return SlopesOf<Wide>{x * x * x - y, 3 * x * x, 6 * x, 6.0, 0.0};
    };
    const Wide roots = increasing_root<Wide>(cube, guess, 0.0, high, sought);
    CHECK(asked < 100);
    for (std::size_t lane = 0; lane < lanes; ++lane) {
      if (!sought[lane]) continue;
      const double alone = increasing_root(
          [&](double x) { return Slopes{x * x * x - y[lane], 3 * x * x, 6 * x, 6, 0}; }, guess[lane], 0, high[lane]);
      CHECK(roots[lane] == alone);
    }
  }
}
