#include "geometry/sprint.hpp"

#include <doctest/doctest.h>

#include <boost/math/special_functions/lambert_w.hpp>
#include <cmath>

#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;

namespace {

/// Distance from the model's formula in the widest floats there are; s no smaller than about 1e-5, where s - 1 + e^-s
/// still has 13 digits.
long double distance_long(const Sprint& sprint, long double time, long double start) {
  const long double s = time / static_cast<long double>(sprint.tau), vmax = static_cast<long double>(sprint.vmax);
  return static_cast<long double>(sprint.tau) * (start * s + (vmax - start) * (s + std::expm1(-s)));
}

struct Row {
  double at, x, v;
};

}  // namespace

TEST_CASE("the closed form's tables") {
  // Furusawa, Hill and Parkinson 1927: v = vmax (1 - e^(-t/tau)), x = vmax (t - tau (1 - e^(-t/tau))); computed, 4
  // decimals.
  const auto check = [](const Sprint& sprint, std::initializer_list<Row> rows) {
    for (const Row& row : rows) {
      CHECK(std::abs(sprint.distance_after(row.at, 0) - row.x) <= 5.1e-5);
      CHECK(std::abs(sprint.speed_after(row.at, 0) - row.v) <= 5.1e-5);
    }
  };
  check({8, 0.8}, {{.25, .2823, 2.1471},
                   {.5, 1.0257, 3.7179},
                   {1, 3.4336, 5.7080},
                   {1.5, 6.5815, 6.7732},
                   {2, 10.1253, 7.3433},
                   {2.5, 13.8812, 7.6485},
                   {3, 17.7505, 7.8119}});
  check({9, 1.0}, {{.5, .9588, 3.5412}, {1, 3.3109, 5.6891}, {2, 10.2180, 7.7820}, {3, 18.4481, 8.5519}});
}

TEST_CASE("the inverse's tables") {
  // t(d) = d/vmax + tau + tau W0(-exp(-d/(vmax tau) - 1)), the fit formula of a general sprint-profile package's
  // documentation (read); computed, 4 decimals.
  const auto check = [](const Sprint& sprint, std::initializer_list<std::pair<double, double>> rows) {
    for (const auto& [distance, time] : rows) CHECK(std::abs(sprint.time_over(distance, 0) - time) <= 5.1e-5);
  };
  check({8, 0.8}, {{1, .4931},
                   {2, .7280},
                   {5, 1.2592},
                   {9.144, 1.8653},
                   {10, 1.9829},
                   {20, 3.2869},
                   {36.576, 5.3710},
                   {40, 5.7994}});
  check({9, 1.0}, {{5, 1.2766}, {10, 1.9719}, {20, 3.1807}, {40, 5.4401}});
}

TEST_CASE("a published fit") {
  // The same package's documentation (read; M. Jovanovic, release 1.1.4, Zenodo 4296844): splits fitted with vmax
  // 8.5911, tau 0.8113 and these residuals; recomputed vmax 8.591143, tau 0.811329.
  const Sprint sprint{8.591143, 0.811329};
  const double splits[][3] = {{5, 1.158, -.053}, {10, 1.893, -.004}, {15, 2.541, .020},
                              {20, 3.149, .027}, {30, 4.313, .014},  {40, 5.444, -.022}};
  for (const auto& [distance, observed, residual] : splits) {
    CHECK(std::abs(observed - sprint.time_over(distance, 0) - residual) <= 5.1e-4);
  }
  // Half the acceleration is left where half the speed is gained: published 1.3 m; 95 % of the speed: published 14 m.
  // The further digits are computed from the rounded parameters.
  const Sprint rounded{8.5911, 0.8113};
  CHECK(std::abs(rounded.distance_after(rounded.time_to_speed(0.5 * rounded.vmax, 0), 0) - 1.34623) <= 5.1e-6);
  CHECK(std::abs(rounded.distance_after(rounded.time_to_speed(0.95 * rounded.vmax, 0), 0) - 14.25867) <= 5.1e-5);
}

TEST_CASE("a published fit's greatest acceleration and power") {
  // Same source (read): MSS 7.553185, TAU 0.706663, MAC 10.68852, PMAX 20.1831 = MAC MSS / 4, the greatest of a v.
  const Sprint sprint{7.553185, 0.706663};
  const double step = 1e-6;
  CHECK(sprint.speed_after(step, 0) / step == Approx(10.68852).epsilon(2e-6));
  double most = 0;
  for (double time = 0.001; time < 3; time += 0.001) {
    const double a = (sprint.speed_after(time + step, 0) - sprint.speed_after(time - step, 0)) / (2 * step);
    most = std::max(most, a * sprint.speed_after(time, 0));
  }
  CHECK(most == Approx(20.1831).epsilon(1e-5));
}

TEST_CASE("the time over a distance is the bisection's, within the promised 1e-13") {
  scenes::Random random(11);
  for (int i = 0, n = scenes::cases(2000, 200000); i < n; ++i) {
    const Sprint sprint{random.number(1, 12), random.number(0.2, 2)};
    const double start = random.whole(0, 2) ? random.number(0, sprint.vmax) : 0;
    const double distance = std::exp(random.number(std::log(1e-3), std::log(100)));
    long double low = 0,
                high = (static_cast<long double>(distance) + 13 * 2) / static_cast<long double>(sprint.vmax) + 2;
    for (int k = 0; k < 80; ++k) {
      const long double middle = (low + high) / 2;
      (distance_long(sprint, middle, start) < distance ? low : high) = middle;
    }
    CAPTURE(sprint.vmax);
    CAPTURE(sprint.tau);
    CAPTURE(start);
    CAPTURE(distance);
    CHECK(std::abs(sprint.time_over(distance, start) / static_cast<double>(low) - 1) < 1e-13);
  }
}

TEST_CASE("the time over a distance is Lambert's W in closed form") {
  scenes::Random random(12);
  for (int i = 0; i < 1000; ++i) {
    const Sprint sprint{random.number(4, 12), random.number(0.4, 1.5)};
    const double d = random.number(1, 40);
    const double w = boost::math::lambert_w0(-std::exp(-d / (sprint.vmax * sprint.tau) - 1));
    CHECK(sprint.time_over(d, 0) == Approx(d / sprint.vmax + sprint.tau + sprint.tau * w).epsilon(1e-10));
  }
}

TEST_CASE("the ends of a sprint") {
  const Sprint sprint{9, 1};
  CHECK(sprint.time_over(0, 4) == 0);
  CHECK(sprint.time_over(18, 9) == 2);  // at top speed
  CHECK(sprint.time_to_speed(9, 1) == scenes::infinity);
  CHECK(sprint.time_to_speed(4, 4) == 0);
  CHECK(sprint.time_to_speed(4.5, 0) == Approx(std::log(2.0)).epsilon(1e-15));
  CHECK(std::abs(sprint.time_over(1e-12, 0) / std::sqrt(2e-12 / 9) - 1) < 1e-6);  // at first a = vmax / tau
}

TEST_CASE("the shortest distances are run at even acceleration") {
  // At first a = vmax / tau, so t = sqrt(2 d tau / vmax); what that leaves out is t / (6 tau) of it.
  const Sprint sprint{9.7, 0.9};
  for (double distance = 1e-32; distance < 1e-15; distance *= 10) {
    const double even = std::sqrt(2 * distance * sprint.tau / sprint.vmax);
    CHECK(std::abs(sprint.time_over(distance, 0) / even - 1) < even / sprint.tau + 1e-13);
  }
}

TEST_CASE("a sprint can be run in two parts") {
  scenes::Random random(13);
  for (int i = 0; i < 1000; ++i) {
    const Sprint sprint{random.number(4, 12), random.number(0.4, 1.5)};
    const double start = random.number(0, sprint.vmax), one = random.number(0, 10), two = random.number(0, 10);
    const double first = sprint.time_over(one, start);
    const double middle = sprint.speed_after(first, start);
    CHECK(first + sprint.time_over(two, middle) == Approx(sprint.time_over(one + two, start)).epsilon(1e-12));
    CHECK(sprint.time_to_speed(middle, start) == Approx(first).epsilon(1e-6));
  }
}

TEST_CASE("s - 1 + e^-s has no cancellation") {
  for (double s = 1e-4; s < 30; s *= 1.01) {
    const auto wide = static_cast<long double>(s);
    CHECK(std::abs(ramp(s) / static_cast<double>(wide + std::expm1(-wide)) - 1) < 4e-15);
  }
  CHECK(std::abs(ramp(1e-9) / 5e-19 - 1) < 1e-9);  // s^2 / 2
  CHECK(ramp(0) == 0);
}
