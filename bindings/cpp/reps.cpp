#include "arrays.hpp"
#include "reps/bands.hpp"
#include "work.hpp"

using namespace shortedge;
using namespace shortedge::python;

namespace {

py::dict reps_of_all(const Game& game, const Rules& rules, unsigned threads, const py::object& progress) {
  return tables_of(
      at_work<RepTables>(progress, [&](const Progress& ask) { return reps_of_game(game, rules, threads, ask); }));
}

/// The tables of measure and of reps.
py::tuple both_of_all(const Game& game, const Rules& rules, unsigned threads, const py::object& progress) {
  MeasuredReps made = at_work<MeasuredReps>(
      progress, [&](const Progress& ask) { return measure_with_reps(game, rules, threads, ask); });
  return py::make_tuple(tables_of(std::move(made.measured)), tables_of(std::move(made.reps)));
}

py::dict bands_of_all(const Game& game, const Rules& rules, std::optional<double> sigma, std::size_t draws,
                      std::uint64_t seed, unsigned threads, const py::object& progress, bool carried) {
  const Noise noise{sigma.value_or(0), draws, seed, !sigma, carried};
  return tables_of(at_work<RepBands>(
      progress, [&](const Progress& ask) { return rep_bands_of_game(game, rules, noise, threads, ask); }));
}

}  // namespace

void bind_reps(py::module_& module) {
  using namespace py::literals;
  module.def("reps", &reps_of_all, "game"_a, "rules"_a, "threads"_a, "progress"_a);
  module.def("measure_with_reps", &both_of_all, "game"_a, "rules"_a, "threads"_a, "progress"_a);
  module.def("rep_bands", &bands_of_all, "game"_a, "rules"_a, "sigma"_a, "draws"_a, "seed"_a, "threads"_a, "progress"_a,
             "carried"_a = true);
}
