#include "tracking/velocity.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;

TEST_CASE("how many samples a window takes") {
  CHECK(window_size(0.1, 50) == 5);    // 10 Hz: 5
  CHECK(window_size(0.125, 50) == 5);  // 8 Hz: 4 steps, between 3 and 5: up
  CHECK(window_size(0.2, 50) == 5);    // 5 Hz: at least 5
  CHECK(window_size(0.05, 50) == 11);  // 20 Hz: 10 steps, a tie: up
  CHECK(window_size(0.04, 50) == 13);  // 25 Hz: 12.5, nearest odd 13
  CHECK(window_size(1.0 / 30, 50) == 15);
  CHECK(window_size(0.02, 50) == 25);
  CHECK(window_size(0.01, 99) == 51);  // 50 steps, a tie: up
  CHECK(window_size(0.5 / 7.99, 50) == 7);
  CHECK(window_size(0.5 / 8.01, 50) == 9);
  CHECK(window_size(0.5 / 8 * (1 + 1e-12), 50) == 9);  // a tie but for rounding
  CHECK(window_size(0.02, 12) == 11);                  // at most what the stretch holds, and odd
  CHECK(window_size(0.02, 13) == 13);
  CHECK(window_size(0.02, 5) == 5);
  CHECK(window_size(0.02, 4) == 0);
  CHECK(window_size(1e-300, 21) == 21);
}

TEST_CASE("the published weights of the first derivative") {
  // Savitzky and Golay 1964, first derivative of a quadratic: -m..m over 10, 28, 60, 110 for 5, 7, 9, 11 samples; the
  // noise gain is the root of their squares' sum (computed by exact fractions). A unit impulse brings out each weight.
  const struct {
    int half;
    double divisor, gain;
  } rows[] = {{2, 10, .31623}, {3, 28, .18898}, {4, 60, .12910}, {5, 110, .09535}};
  for (const auto& [half, divisor, gain] : rows) {
    const int window = 2 * half + 1;
    const double step = 0.5 / window;  // makes the window this long
    CAPTURE(window);
    REQUIRE(window_size(step, 41) == static_cast<std::size_t>(window));
    double squares = 0;
    for (int k = -half; k <= half; ++k) {
      std::vector<double> times;
      std::vector<Point> places(41, Point(0, 0));
      for (int i = 0; i < 41; ++i) times.push_back(12 + i * step);
      places[static_cast<std::size_t>(20 + k)] = {1, -2};
      const Point velocity = fit_velocity(times, places)[20];
      CHECK(velocity.x() * step == Approx(k / divisor).epsilon(1e-12));
      CHECK(velocity.y() * step == Approx(-2 * k / divisor).epsilon(1e-12));
      squares += velocity.x() * velocity.x() * step * step;
    }
    CHECK(std::abs(std::sqrt(squares) - gain) <= 5.1e-6);
  }
}

TEST_CASE("it is exact for a quadratic, at uneven times and up to the ends") {
  scenes::Random random(72);
  for (int i = 0; i < 300; ++i) {
    const Point a = random.point(50), b = random.point(9), c = random.point(5);
    std::vector<double> times{random.number(-1, 5000)};
    const int samples = random.whole(5, 60);
    const double step = random.number(0.01, 0.2);
    while (std::ssize(times) < samples) times.push_back(times.back() + step * random.number(0.3, 1.7));
    std::vector<Point> places;
    for (const double time : times) {
      const double t = time - times[0];
      places.push_back(a + t * b + t * t * c);
    }
    const std::vector<Point> velocities = fit_velocity(times, places);
    for (std::size_t k = 0; k < times.size(); ++k)
      CHECK(distance(velocities[k], b + 2 * (times[k] - times[0]) * c) < 1e-7);
  }
}

TEST_CASE("a gap over half a second parts stretches, and fewer than five samples have no velocity") {
  // Two stretches at different speeds: none must feel the other.
  std::vector<double> times;
  std::vector<Point> places;
  const auto add = [&](double from, int samples, double speed) {
    for (int i = 0; i < samples; ++i) {
      times.push_back(from + 0.1 * i);
      places.push_back({speed * 0.1 * i, 0});
    }
  };
  add(0, 5, 3);
  add(0.4 + 0.501, 6, -2);
  add(0.901 + 0.5 + 0.501, 4, 7);
  const std::vector<Point> velocities = fit_velocity(times, places);
  for (std::size_t k = 0; k < 5; ++k) CHECK(velocities[k].x() == Approx(3).epsilon(1e-12));
  for (std::size_t k = 5; k < 11; ++k) CHECK(velocities[k].x() == Approx(-2).epsilon(1e-12));
  for (std::size_t k = 11; k < 15; ++k) CHECK_FALSE(present(velocities[k]));

  // Half a second exactly does not part them: one quadratic runs through.
  std::vector<double> even;
  std::vector<Point> on_line;
  for (const double time : {0.0, 0.1, 0.2, 0.7, 0.8, 0.9}) {
    even.push_back(time);
    on_line.push_back({4 * time, 1});
  }
  for (const Point& velocity : fit_velocity(even, on_line)) CHECK(velocity.x() == Approx(4).epsilon(1e-12));
  CHECK(fit_velocity({}, {}).empty());
}
