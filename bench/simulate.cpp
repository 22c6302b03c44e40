// What a simulated rep costs: 4 rushers, 5 protectors, the base case at seven yards, thrown at 3.5 s, the default step.
// build/release/bench/shortedge_bench --benchmark_filter=simulate; asserts its result.
//
// Floor. A rep of 3.5 s is 350 steps of 9 men. The driving law alone asks two square roots and four divisions a man and
// step; at one of either every 4 to 6 cycles that is 350 * 9 * 6 * 5 cycles, some 30 us at 3 GHz one lane at a time.
// Reps run in four lanes (geometry/lanes.hpp), whose roots and divisions come two to four at a time, which makes it
// some 10 us. What is left above it, by instructions (callgrind), of the steps, which are nine tenths of all: what
// protectors see and want 22 %, who may touch 16, settling contacts 10, the driving law 8, rushers 11 with their moves,
// what is recorded 6, the passer's looks 4. Eight lanes were tried on a machine with registers for them: twice as slow.
// Where the compiler cannot build for wider registers than the oldest x86-64 has, lanes are taken one at a time, some
// five times as slow.

#include <benchmark/benchmark.h>

#include <cstdlib>
#include <iostream>

#include "study/simulated.hpp"

namespace {

using namespace shortedge;

Formation base_case() {
  Formation formation;
  const auto protector = [&](double u, double v, Slot slot, std::int32_t man) {
    Protector made;
    made.at = {u, v};
    made.slot = slot;
    made.man = man;
    formation.protectors.push_back(made);
  };
  protector(-3.2, 0.7, Slot::LT, 0);
  protector(-1.6, 0.5, Slot::LG, 1);
  protector(0, 0.3, Slot::C, no_man);
  protector(1.6, 0.5, Slot::RG, 2);
  protector(3.2, 0.7, Slot::RT, 3);
  const auto rusher = [&](double u, bool inside) {
    Rusher made;
    made.at = {u, -0.9};
    made.inside = inside;
    formation.rushers.push_back(made);
  };
  rusher(-5.8, false);
  rusher(-1.9, true);
  rusher(1.0, true);
  rusher(5.8, false);
  return formation;
}

/// Argument: threads. Reads out the time a million reps would take.
void simulate_reps(benchmark::State& state) {
  const Formation formation = base_case();
  Assumptions assumptions;
  assumptions.early_throws = 0;  // or reps would end before their 3.5 s
  constexpr std::uint64_t reps = 2000;
  const Case of{formation, assumptions, ThrowPlan::by_time(3.5, 0, 0), 7};
  for (auto _ : state) {
    const auto result = study_depth(of, {1, reps}, static_cast<unsigned>(state.range(0)));
    // Half a second more than the base case's throw: more arrive than its 2 to 15 %, and by no means all.
    if (!result || result->draws != reps || result->play.arrived < reps / 10 || result->play.arrived > reps / 2) {
      std::cerr << "wrong result: arrivals\n";
      std::exit(1);
    }
  }
  state.counters["s a million"] = benchmark::Counter(
      static_cast<double>(reps) / 1e6, benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
}
BENCHMARK(simulate_reps)->Arg(1)->Arg(2)->UseRealTime()->Unit(benchmark::kMillisecond);

}  // namespace
