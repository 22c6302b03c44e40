#include "simulate/passer.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;

namespace {

PasserDrop drop_of(TakesSnap takes, double from, double depth, const Assumptions& assumptions = {}) {
  Formation formation;
  formation.takes = takes;
  formation.passer = {0, from};
  return {formation, assumptions, depth};
}

}  // namespace

TEST_CASE("drops from under centre take as long as drops do") {
  // Common practice, no source: three steps 5 yd in 0.9-1.2 s, five steps 7 yd in 1.5-1.9 s, seven steps 9 yd
  // in 2.1-2.6 s.
  const double rows[][3] = {{5, 0.9, 1.2}, {7, 1.5, 1.9}, {9, 2.1, 2.6}};
  for (const auto& [depth, least, most] : rows) {
    const double top = drop_of(TakesSnap::under, 1, depth).top_time();
    CHECK(top >= least);
    CHECK(top <= most);
    CHECK(top == Approx(0.325 * depth - 0.575));
  }
  CHECK(drop_of(TakesSnap::under, 1, 1.5).top_time() == 0.3);  // no drop is quicker
}

TEST_CASE("from pistol and gun a yard counts from where he stands") {
  CHECK(drop_of(TakesSnap::gun, 5, 7).top_time() == Approx(0.325 * 2 + 0.2));
  CHECK(drop_of(TakesSnap::pistol, 4, 7).top_time() == Approx(0.325 * 3 + 0.2));
  CHECK(drop_of(TakesSnap::gun, 5, 5).top_time() == 0.3);
  CHECK(drop_of(TakesSnap::gun, 5, 7).top_time() < drop_of(TakesSnap::under, 1, 7).top_time());
}

TEST_CASE("he drops, hitches half a yard in 0.4 s, and stands") {
  const PasserDrop drop = drop_of(TakesSnap::under, 1, 7);
  const double top = drop.top_time();
  CHECK(drop.at(-1) == Point(0, 1));
  CHECK(drop.at(0) == Point(0, 1));
  CHECK(distance(drop.at(top), {0, 7}) < 1e-12);
  CHECK(drop.spot() == Point(0, 7));
  CHECK(distance(drop.at(top + 0.4), {0, 6.5}) < 1e-12);
  CHECK(distance(drop.at(top + 3), {0, 6.5}) < 1e-12);
  CHECK(drop.velocity(top + 1) == Point(0, 0));
  double fastest = 0;
  for (double time = 0.01; time < top + 0.5; time += 0.01) {
    const double small = 1e-6;
    if (std::abs(time - top) < 2 * small || std::abs(time - top - 0.4) < 2 * small) continue;
    const Point slope = (drop.at(time + small) - drop.at(time - small)) / (2 * small);
    CHECK(distance(slope, drop.velocity(time)) < 1e-4);
    fastest = std::max(fastest, slope.norm());
  }
  CHECK(fastest < 8);  // nobody runs backward faster than three quarters of a sprint (from memory)
}

TEST_CASE("depths that are none are refused with what is accepted") {
  const auto refusal = [](double depth) { return scenes::refusal([&] { drop_of(TakesSnap::gun, 5, depth); }); };
  CHECK(scenes::contains(refusal(4.9), "depth is 4.9 yd; accepted: 5 (where the passer takes the snap) to 30"));
  CHECK(scenes::contains(refusal(31), "depth is 31 yd"));
  CHECK(scenes::contains(refusal(scenes::nan), "depth is nan yd"));
  CHECK(refusal(5).empty());
  CHECK(refusal(30).empty());
}
