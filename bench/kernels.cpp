// What one frame costs, and its dearest parts: 5 protectors and 4 rushers of a seven-yard drop, all figures.
// build/release/bench/shortedge_bench; each benchmark asserts its result, so that nothing is timed that is wrong.

#include <benchmark/benchmark.h>

#include <cmath>
#include <cstdlib>
#include <iostream>

#include "geometry/taut_path.hpp"
#include "measure/measure.hpp"
#include "rush/ways.hpp"
#include "tracking/velocity.hpp"

namespace {

using namespace shortedge;

void expect(bool right, const char* what) {
  if (right) return;
  std::cerr << "wrong result: " << what << "\n";
  std::exit(1);
}

/// Everybody stands where he would two seconds into the play; `frames` frames of it.
ReadyPlay pocket_scene(std::size_t frames) {
  struct At {
    Unit unit;
    Role role;
    Slot slot;
    Point place, velocity;
  };
  const At line[] = {{Unit::offense, Role::protector, Slot::LT, {-3.9, 3.8}, {-0.4, 1.2}},
                     {Unit::offense, Role::protector, Slot::LG, {-1.6, 2.2}, {0, 0.8}},
                     {Unit::offense, Role::protector, Slot::C, {0.1, 1.9}, {0, 0.7}},
                     {Unit::offense, Role::protector, Slot::RG, {1.7, 2.1}, {0, 0.8}},
                     {Unit::offense, Role::protector, Slot::RT, {3.8, 3.7}, {0.4, 1.2}},
                     {Unit::offense, Role::passer, Slot::none, {0.1, 7.2}, {0, 0.6}},
                     {Unit::defense, Role::rusher, Slot::none, {-4.9, 3.4}, {1.5, 4.0}},
                     {Unit::defense, Role::rusher, Slot::none, {-1.4, 1.3}, {0, 1.0}},
                     {Unit::defense, Role::rusher, Slot::none, {1.9, 1.2}, {0, 1.1}},
                     {Unit::defense, Role::rusher, Slot::none, {4.9, 3.2}, {-1.4, 4.1}}};
  ReadyPlay ready;
  for (std::size_t frame = 0; frame < frames; ++frame) {
    ready.play.time.push_back(0.1 * static_cast<double>(frame));
    for (const At& man : line) {
      ready.motion.place.push_back(man.place);
      ready.motion.velocity.push_back(man.velocity);
    }
  }
  for (const At& at : line) {
    const std::size_t man = ready.play.men.size();
    Man who{static_cast<std::int32_t>(man), at.unit, Position::other};
    who.role = at.role;
    who.slot = at.slot;
    ready.play.men.push_back(who);
    if (at.role == Role::passer) ready.play.passer = man;
    if (at.role == Role::protector) ready.play.protectors.push_back(man);
    if (at.role == Role::protector) ready.play.offense.push_back(man);
    if (at.role == Role::rusher) ready.play.rushers.push_back(man);
  }
  ready.motion.men = ready.play.men.size();
  return ready;
}

void one_frame(benchmark::State& state) {
  constexpr std::size_t frames = 60;
  const ReadyPlay ready = pocket_scene(frames);
  const Rules rules;
  for (auto _ : state) {
    Tables tables;
    measure(ready.play, ready.motion, rules, tables);
    expect(tables.frames.rows() == frames && tables.rushers.rows() == 4 * frames, "rows");
    expect(std::abs(tables.frames.pocket_width.front() - 7.7) < 1e-12, "pocket width 3.9 + 3.8");
  }
  state.counters["per frame"] = benchmark::Counter(static_cast<double>(frames), benchmark::Counter::kIsIterationInvariantRate |
                                                                                   benchmark::Counter::kInvert);
}
BENCHMARK(one_frame);

void taut_string(benchmark::State& state) {
  // Round one disc of radius 3 from (-5, 0) to (5, 0): 8 + 3 (pi - 2 acos 0.6), by hand.
  const Disc discs[] = {{{0, 0}, 3}, {{0, 8}, 1}, {{9, 3}, 1}, {{-8, -4}, 1}, {{0, -9}, 1}};
  TautSearch search;
  for (auto _ : state) {
    const double length = search.length({-5, 0}, {5, 0}, discs);
    expect(std::abs(length - (8 + 3 * (pi - 2 * std::acos(0.6)))) < 1e-9, "string");
  }
}
BENCHMARK(taut_string);

void both_ways(benchmark::State& state) {
  const Rules rules;
  for (auto _ : state) {
    const Ways ways = ways_round({4.9, 3.2}, {-1.4, 4.1}, {3.8, 3.7}, {0.1, 7.2}, 1, rules);
    expect(ways.outside_time > 0 && ways.inside_time > ways.outside_time, "the outside way is the quicker one here");
  }
}
BENCHMARK(both_ways);

void velocity_of_a_man(benchmark::State& state) {
  std::vector<double> times;
  std::vector<Point> places;
  for (int i = 0; i < 60; ++i) {
    const double t = 0.1 * i;
    times.push_back(t);
    places.emplace_back(1 + 2 * t - 0.5 * t * t, 3 * t);
  }
  for (auto _ : state) {
    const std::vector<Point> velocity = fit_velocity(times, places);
    expect(std::abs(velocity[30].x() - (2 - 3.0)) < 1e-9 && std::abs(velocity[0].y() - 3) < 1e-9, "a quadratic's slope");
  }
}
BENCHMARK(velocity_of_a_man);

}  // namespace
