#include "simulate/drive.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "geometry/sprint.hpp"
#include "simulate/formations.hpp"

using namespace shortedge;
using doctest::Approx;
using scenes::Watched;

namespace {

/// A rusher nobody blocks, 25 yd straight upfield of a passer who stands still.
struct FreeRun {
  Formation formation;
  Assumptions assumptions = scenes::plain();

  explicit FreeRun(const Sprint& sprint) {
    formation.takes = TakesSnap::gun;
    formation.passer = {0, 5};
    scenes::add_rusher(formation, {0, -20});
    formation.rushers[0].top_speed = sprint.vmax;
    formation.rushers[0].tau = sprint.tau;
    assumptions.rusher_reaction = assumptions.hitch = 0;
  }
  Watched run(double step, double seconds) const { return scenes::watch(formation, assumptions, 5, seconds, 0, step); }
};

/// A rusher who must turn after a passer who keeps stepping up, nothing in his way.
Point place_in_pursuit(double step) {
  Formation formation;
  formation.takes = TakesSnap::gun;
  formation.passer = {0, 9};
  scenes::add_rusher(formation, {9, 1});
  Assumptions assumptions = scenes::plain();
  assumptions.rusher_reaction = 0;
  assumptions.hitch = 5;
  assumptions.hitch_seconds = 2.5;
  const Watched seen = scenes::watch(formation, assumptions, 9, 1.2, 0, step);
  return seen.rusher(seen.frames() - 1, 0);
}

/// One man after another, stepped as the simulator steps its men: half a step on, ask, half a step on.
double capture_time(double range, double speed, double share, double degrees_off, double step) {
  const Legs legs{speed, 2 * step, 1e9, 1e9, 2 * step};
  const Point flees = share * speed * Point(std::cos(radians(degrees_off)), std::sin(radians(degrees_off)));
  Point at(0, 0), velocity(speed, 0), gained(0, 0);
  constexpr double caught = 0.01;  // yd
  for (long n = 0;; ++n) {
    const double time = static_cast<double>(n) * step;
    const double left = distance(at, Point(range, 0) + time * flees);
    if (left <= caught) return time + left / (speed * (1 - share));  // the rest is a chase from behind
    REQUIRE(time < 10);
    const Point middle = at + step / 2 * velocity;
    const Point toward = Point(range, 0) + (time + step / 2) * flees - middle;
    gained = drive(velocity + step / 2 * gained, speed * toward.normalized(), legs);
    velocity += step * gained;
    at = middle + step / 2 * velocity;
  }
}

}  // namespace

TEST_CASE("a free run from rest is the closed form's table") {
  // Furusawa, Hill and Parkinson 1927: v = vmax (1 - e^(-t/tau)), x = vmax (t - tau (1 - e^(-t/tau))); computed, 4
  // decimals. Allowed beside the rounding: the first step's half acceleration, vmax (h / tau)^2 of speed.
  struct Row {
    double time, x, v;
  };
  const auto check = [](const Sprint& sprint, std::initializer_list<Row> rows) {
    const double step = scenes::fine_step, off = sprint.vmax * (step / sprint.tau) * (step / sprint.tau);
    const Watched seen = FreeRun(sprint).run(step, 3);
    for (const Row& row : rows) {
      const auto frame = static_cast<std::size_t>(std::lround(row.time / step));
      CHECK(seen.film.time[frame] == Approx(row.time));
      CHECK(std::abs(seen.rusher(frame, 0).y() + 20 - row.x) <= 5.1e-5 + off * sprint.tau);
      CHECK(std::abs(seen.rusher_velocity(frame, 0).y() - row.v) <= 5.1e-5 + off);
      CHECK(seen.rusher(frame, 0).x() == 0);
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

TEST_CASE("a run nobody hinders arrives when the closed form says") {
  FreeRun run({9.7, 0.9});
  run.assumptions.rusher_reaction = 0.22;
  const Watched seen = run.run(scenes::fine_step, 5);
  const double late = scenes::fine_step;  // his reaction may end inside a step
  CHECK(std::abs(seen.record.rushers[0].arrival - (0.22 + Sprint{9.7, 0.9}.time_over(25 - run.assumptions.arm, 0))) <=
        late);
  CHECK(seen.record.end - seen.record.rushers[0].arrival <= scenes::fine_step);
}

TEST_CASE("the step is of second order") {
  const Sprint sprint{8, 0.8};
  const FreeRun run(sprint);
  const auto error = [&](double step) {
    const Watched seen = run.run(step, 1.2);
    return std::abs(seen.rusher(seen.frames() - 1, 0).y() + 20 - sprint.distance_after(1.2, 0));
  };
  for (const double step : {0.02, 0.01, 0.005}) {
    const double ratio = error(step) / error(step / 2);
    CHECK(ratio > 3.6);
    CHECK(ratio < 4.4);
  }
  // On a curve there is no closed form: differences of halved steps shrink as h^2 does.
  for (const double step : {0.02, 0.01}) {
    const Point one = place_in_pursuit(step), half = place_in_pursuit(step / 2), quarter = place_in_pursuit(step / 4);
    const double ratio = distance(one, half) / distance(half, quarter);
    CHECK(ratio > 3.2);
    CHECK(ratio < 4.8);
  }
}

TEST_CASE("a pursuit at constant speeds catches when Bouguer says") {
  // T = a (1 + k cos phi) / (V (1 - k^2)) (Bouguer 1732; formula from memory, agrees with RK4 to 5 decimals): a 10,
  // V 8.
  const double rows[][3] = {{.5, 90, 1.66667}, {.75, 90, 2.85714}, {.5, 60, 2.08333}, {.5, 120, 1.25000}};
  for (const auto& [share, off, time] : rows) {
    for (const double step : {1e-3, 1e-4}) {
      CAPTURE(share);
      CAPTURE(off);
      CHECK(std::abs(capture_time(10, 8, share, off, step) - time) <= 10 * step);
    }
  }
}

TEST_CASE("the driving law's limits") {
  const Legs legs{9, 0.9, 6.6, 5.5, 0.15};
  scenes::Random random(81);
  int braked = 0, turned = 0, ran = 0;
  for (int i = 0; i < 20000; ++i) {
    const Point velocity = random.point(9), wanted = random.point(9);
    const Point a = drive(velocity, wanted, legs);
    const double speed = velocity.norm();
    if (speed < 0.3) {
      CHECK(a.norm() <= 9 / 0.9);
      continue;
    }
    const double along = a.dot(velocity) / speed, across = cross(velocity, a) / speed;
    CHECK(along <= std::max(0.0, 9 - speed) / 0.9 + 1e-12);
    CHECK(along >= -5.5 - 1e-12);
    CHECK(std::abs(across) <= 6.6 + 1e-12);
    // Each part that no limit cuts is (wanted - v) / 0.15 s.
    const Point asked = (wanted - velocity) / 0.15;
    const double asked_along = asked.dot(velocity) / speed, asked_across = cross(velocity, asked) / speed;
    if (asked_along < -5.5) {
      ++braked;
    } else if (asked_along > std::max(0.0, 9 - speed) / 0.9) {
      ++ran;
    } else {
      CHECK(along == Approx(asked_along));
    }
    if (std::abs(asked_across) > 6.6) {
      ++turned;
      CHECK(across == Approx(std::copysign(6.6, asked_across)));
    } else {
      CHECK(across == Approx(asked_across));
    }
  }
  CHECK(std::min({braked, turned, ran}) > 1000);
}

TEST_CASE("no curve is run faster than the root of a_lat times its radius") {
  // Speed x rate of turn = v^2 / r, away from contacts and above 0.3 yd/s. Over a step the law's direction is half a
  // step ahead of the velocity's: what that may add is allowed for.
  const Formation formation = scenes::base_case();
  const Assumptions assumptions;
  const double step = scenes::fine_step, a_lat = assumptions.a_lat;
  int turning = 0, seen_steps = 0;
  for (std::uint64_t number = 0; number < 20; ++number) {
    const Draw drawn = draw(formation, assumptions, 82, number);
    const Watched seen = scenes::watch(formation, assumptions, drawn, 9);
    const auto clear = [&](std::size_t frame, const Point& at, double room) {
      int near = 0;
      for (std::size_t man = 1; man < seen.men(); ++man)
        near += distance(seen.film.place[frame * seen.men() + man], at) < room;
      return near <= 1 && distance(at, seen.passer(frame)) > 1.0;  // himself
    };
    for (std::size_t frame = 1; frame < seen.frames(); ++frame) {
      for (std::size_t man = 1; man < seen.men(); ++man) {
        const std::size_t now = frame * seen.men() + man, last = now - seen.men();
        const Point &before = seen.film.velocity[last], &after = seen.film.velocity[now];
        const double speed = before.norm();
        if (speed < 0.6 || after.norm() < 0.6 || !clear(frame - 1, seen.film.place[last], 1.4)) continue;
        ++seen_steps;
        const double turns = std::abs(cross(before, after)) / speed / step;  // speed x rate of turn
        const double most_along = 12, off = step / 2 * a_lat / (speed - step * most_along);
        CHECK(turns <= a_lat + most_along * off);
        turning += turns > 0.5 * a_lat;
      }
    }
  }
  CHECK(seen_steps > 10000);
  CHECK(turning > 50);
}
