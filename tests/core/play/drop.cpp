#include "play/drop.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;

namespace {

/// The top of the drop of a passer who moves straight back at the given speeds, each held for a time; 20 frames a
/// second.
double top(std::vector<std::pair<double, double>> speeds, double throw_time = scenes::nan, bool known = true) {
  Play play;
  play.play = 0;
  play.men.push_back({0, Unit::offense, Position::QB});
  play.throw_time = throw_time;
  Motion motion{1, {}, {}};
  double time = 0, depth = 1;
  for (const auto& [held, speed] : speeds) {
    for (double since = 0; since < held - 1e-9; since += 0.05) {
      play.time.push_back(time);
      motion.place.push_back({0, depth});
      motion.velocity.push_back(known ? Point(0, speed) : absent());
      time += 0.05;
      depth += 0.05 * speed;
    }
  }
  play.end_time = time;
  return top_of_drop(play, motion);
}

}  // namespace

TEST_CASE("the drop tops where the passer stops going back") {
  CHECK(top({{2, 3}, {1, 0}}) == Approx(2.0));
  CHECK(top({{2, 3}, {0.5, 0}, {0.5, -1.5}}) == Approx(2.0));  // a hitch after it
  CHECK(top({{1.5, 3}, {0.5, 1}, {1, 0.4}}) == Approx(2.0));
}

TEST_CASE("of two stops as deep the last counts, and none after the throw") {
  CHECK(top({{1, 4}, {0.3, 0}, {1, 3}, {1, 0}}) == Approx(2.3));
  CHECK(top({{1, 4}, {0.3, 0}, {1, 3}, {1, 0}}, 2.0) == Approx(1.0));
  CHECK(top({{1, 4}, {0.3, 0}, {1, 3}, {1, 0}}, 2.3) == Approx(2.3));  // at the throw itself
}

TEST_CASE("a stop short of the greatest depth is no top") {
  // Back to 7, up half a yard, a little back again and stop: still more than 0.3 yd short.
  CHECK(top({{2, 3}, {0.5, -1}, {0.2, 0.8}, {0.5, 0}}) == Approx(2.0));
  CHECK(top({{2, 3}, {0.5, -1}, {0.4, 0.8}, {0.5, 0}}) == Approx(2.9));  // 0.18 yd short
}

TEST_CASE("without a drop, or without a velocity, there is no top") {
  CHECK(std::isnan(top({{3, 0}})));
  CHECK(std::isnan(top({{2, 1.5}, {1, 0}})));  // never above 1.5 yd/s
  CHECK(std::isnan(top({{3, 3}})));            // never stops
  CHECK(std::isnan(top({{2, 3}, {1, 0}}, 1.5)));
  CHECK(std::isnan(top({{2, 3}, {1, 0}}, scenes::nan, false)));
}

TEST_CASE("without a throw no later stop counts than the end of reps, by whatever it comes") {
  // Two stops as deep, at 1 s and at 2.3 s. A defender at the passer in between, or his leaving, ends the reps.
  const auto at = [](double caught, bool runs = false) {
    Play play;
    play.men = {{0, Unit::offense, Position::QB}, {1, Unit::defense, Position::other}};
    Motion motion{2, {}, {}};
    double depth = 1;
    for (int frame = 0; frame < 70; ++frame) {
      const double time = 0.05 * frame;
      const double speed = time < 1 - 1e-9 ? 4 : time < 1.3 - 1e-9 ? 0 : time < 2.3 - 1e-9 ? 3 : 0;
      const Point passer(runs && time > 1.5 ? 4 * (time - 1.5) : 0, depth);
      play.time.push_back(time);
      motion.place.push_back(passer);
      motion.velocity.push_back({runs && time > 1.5 ? 4 : 0, speed});
      motion.place.push_back(std::abs(time - caught) < 0.01 ? Point(passer + Point(0.9, 0)) : Point(30, 0));
      motion.velocity.push_back(absent());
      depth += 0.05 * speed;
    }
    play.end_time = play.time.back();
    return top_of_drop(play, motion);
  };
  CHECK(at(-1) == Approx(2.3));
  CHECK(at(2.0) == Approx(1.0));
  CHECK(at(2.25) == Approx(1.0));
  CHECK(at(2.3) == Approx(2.3));  // at that moment still
  CHECK(std::isnan(at(0.5)));
  CHECK(at(-1, true) == Approx(1.0));
}

namespace {

/// How the snap is told of a passer at these depths, every 0.1 s.
Snapped told(const std::vector<double>& depths, double throw_time = scenes::nan) {
  Play play;
  play.play = 0;
  play.men.push_back({0, Unit::offense, Position::QB});
  play.throw_time = throw_time;
  Motion motion{1, {}, {}};
  for (const double depth : depths) {
    play.time.push_back(0.1 * static_cast<double>(play.time.size()));
    motion.place.push_back(std::isnan(depth) ? absent() : Point(0, depth));
    motion.velocity.push_back(absent());
  }
  play.end_time = play.time.back();
  return snapped(play, motion);
}

std::vector<double> going(double from, double speed, int frames, double most = 99) {
  std::vector<double> depths;
  for (int k = 0; k < frames; ++k) depths.push_back(std::min(most, from + speed * 0.1 * k));
  return depths;
}

}  // namespace

TEST_CASE("under centre a passer who does not get away from it has dropped the snap") {
  CHECK(told(going(1.2, 4, 30, 7)) == Snapped::clean);
  CHECK(told(going(1.2, 1.0, 30)) == Snapped::bad);         // 2.7 yd deep at 1.5 s
  CHECK(told(going(1.2, 1.25, 30)) == Snapped::clean);      // 3.07
  CHECK(told(going(1.2, 1.0, 30), 1.4) == Snapped::clean);  // a quick throw
  CHECK(told(going(1.2, 1.0, 30), 1.6) == Snapped::bad);
  CHECK(told(going(1.2, -1.5, 30)) == Snapped::clean);  // a sneak
  CHECK(told(going(1.2, 0, 10)) == Snapped::clean);     // 0.9 s tell nothing
  CHECK(told(going(1.2, 0, 11)) == Snapped::bad);
  CHECK(told({scenes::nan, 1.2, 1.2}) == Snapped::none);
}

TEST_CASE("in the gun a passer who runs far back at once runs after the ball") {
  CHECK(told(going(5, 3, 30, 9.5)) == Snapped::clean);
  CHECK(told(going(5, 3.2, 21)) == Snapped::bad);    // 6.4 yd deeper at 2 s
  CHECK(told(going(5, 2.9, 40)) == Snapped::clean);  // 5.8, and deeper later
  CHECK(told(going(5, 0, 30)) == Snapped::clean);
}
