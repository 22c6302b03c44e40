#include "arrays.hpp"
#include "study/break_even.hpp"
#include "study/drop_study.hpp"
#include "work.hpp"

using namespace shortedge;
using namespace shortedge::python;

namespace {

/// The rows of one play, and of its drop as it was taken.
py::dict drop_study(const Game& game, std::size_t snap_row, const Rules& rules,
                    std::optional<std::vector<double>> depths) {
  DropStudy study;
  {
    const py::gil_scoped_release released;
    const ReadyPlay ready = prepare(game, Roster(game.people, game.players.size()), game.snaps.at(snap_row));
    study = study_drop(ready.play, ready.motion, rules, depths);
  }
  py::dict out;
  out["speed"] = study.drop.speed;
  out["shallowest"] = study.drop.shallowest;
  out["drops"] = columns_of(study.table);
  return out;
}

}  // namespace

void bind_study(py::module_& module) {
  using namespace py::literals;
  module.attr("USUAL_HOLD") = usual_hold;
  module.def("break_even_depth", [](const py::array& rusher, const py::array& blocker, const py::array& passer,
                                    const py::array& speed_ratio) {
    const Points r = points(rusher, "rusher"), b = points(blocker, "blocker"), q = points(passer, "passer");
    const std::span<const double> ratios = column<double>(speed_ratio, "speed_ratio");
    return each_row(rusher, {&blocker, &passer, &speed_ratio}, [&](auto i) {
      return break_even_depth(row(r, i), row(b, i), row(q, i), ratios[static_cast<std::size_t>(i)]);
    });
  });
  module.def("drop_study", &drop_study, "game"_a, "snap_row"_a, "rules"_a, "depths"_a);
}
