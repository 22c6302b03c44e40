#include "geometry/root.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "scenes.hpp"

using namespace shortedge;

TEST_CASE("square and cube roots, and where x e^x is y, from any guess") {
  scenes::Random random(14);
  for (int i = 0; i < 2000; ++i) {
    const double y = std::exp(random.number(-10, 10)), high = y + 1, guess = random.number(-1, 2) * high;
    const double square = increasing_root([&](double x) { return Slopes{x * x - y, 2 * x, 2}; }, guess, 0, high);
    CHECK(std::abs(square / std::sqrt(y) - 1) < 1e-14);
    const double cube = increasing_root([&](double x) { return Slopes{x * x * x - y, 3 * x * x, 6 * x}; }, guess, 0, high);
    CHECK(std::abs(cube / std::cbrt(y) - 1) < 1e-14);
    const double w = increasing_root(
        [&](double x) {
          const double e = std::exp(x);
          return Slopes{x * e - y, (1 + x) * e, (2 + x) * e};
        },
        std::min(guess, 12.0), 0, std::min(high, 12.0));
    CHECK(std::abs(w * std::exp(w) / y - 1) < 1e-12);
  }
}

TEST_CASE("a root at an end of the bracket") {
  CHECK(increasing_root([](double x) { return Slopes{x, 1, 0}; }, 0.5, 0, 1) == 0);
  CHECK(std::abs(increasing_root([](double x) { return Slopes{x * x - 1, 2 * x, 2}; }, 0.5, 0, 1) - 1) < 1e-15);
}
