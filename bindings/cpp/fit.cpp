#include "study/fit.hpp"

#include "arrays.hpp"
#include "study/speeds.hpp"
#include "work.hpp"

using namespace shortedge;
using namespace shortedge::python;

namespace {

py::dict fit_all(const Game& game, const Rules& rules, unsigned threads, const py::object& progress) {
  return tables_of(
      at_work<Speeds>(progress, [&](const Progress& ask) { return fit_speeds(game, rules, threads, ask); }));
}

py::tuple interval(const Estimate& estimate) { return py::make_tuple(estimate.value, estimate.low, estimate.high); }

py::dict fit_one(const py::array& distance, const py::array& time) {
  const SplitFit fit = fit_splits(column<double>(distance, "distance"), column<double>(time, "time"));
  py::dict out;
  out["top_speed"] = interval(fit.vmax);
  out["tau"] = interval(fit.tau);
  out["top_speed_error"] = fit.vmax_error;
  out["tau_error"] = fit.tau_error;
  out["residuals"] = to_array(fit.residuals);
  return out;
}

/// The runs a man's row is fitted to, one a play, as (time, way).
py::object run_of(const Game& game, std::size_t snap_row, std::int32_t player, const Rules& rules) {
  const Roster roster(game.people, game.players.size());
  const ReadyPlay ready = prepare(game, roster, game.snaps.at(snap_row));
  for (std::size_t man = 0; man < ready.play.men.size(); ++man) {
    if (ready.play.men[man].player != player) continue;
    const Role role = ready.play.men[man].role;
    const std::optional<TimedRun> run = role == Role::rusher ? free_run(ready.play, ready.motion, rules, man)
                                        : ready.play.men[man].is_lineman()
                                            ? set_run(ready.play, ready.motion, rules, man)
                                            : std::nullopt;
    if (run) return py::make_tuple(to_array(run->time), to_array(run->way));
  }
  return py::none();
}

}  // namespace

void bind_fit(py::module_& module) {
  using namespace py::literals;
  module.def("fit_speeds", &fit_all, "game"_a, "rules"_a, "threads"_a, "progress"_a);
  module.def("fit_splits", &fit_one);
  module.def("run_of", &run_of, "game"_a, "snap_row"_a, "player"_a, "rules"_a);
}
