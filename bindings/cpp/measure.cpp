#include "arrays.hpp"
#include "measure/measure.hpp"
#include "pocket/pocket.hpp"

using namespace shortedge;
using namespace shortedge::python;

namespace {

template <class Table>
py::dict columns_of(Table&& table) {
  py::dict columns;
  Table::for_each(table, [&](const ColumnInfo& info, auto& values) {
    columns[py::str(info.name.data(), info.name.size())] = to_array(std::move(values));
  });
  return columns;
}

py::dict measure_all(const Game& game, const Rules& rules, unsigned threads, const py::object& progress) {
  // Called on this thread: lets Ctrl-C through, and shows progress when asked to.
  const auto ask = [&](std::size_t done, std::size_t all) {
    const py::gil_scoped_acquire held;
    if (PyErr_CheckSignals() != 0) return false;
    if (!progress.is_none()) progress(done, all);
    return true;
  };
  Tables tables;
  {
    const py::gil_scoped_release released;
    tables = measure_game(game, rules, threads, ask);
  }
  if (PyErr_Occurred()) throw py::error_already_set();
  py::dict out;
  out["frames"] = columns_of(std::move(tables.frames));
  out["edges"] = columns_of(std::move(tables.edges));
  out["rushers"] = columns_of(std::move(tables.rushers));
  return out;
}

/// The wall and the pocket's ring of one frame, for pictures.
py::dict pocket_at(const Game& game, std::size_t snap_row, std::size_t frame, const Rules& rules) {
  const Roster roster(game.people, game.players.size());
  const ReadyPlay ready = prepare(game, roster, game.snaps.at(snap_row));
  if (frame >= ready.play.frames()) throw py::index_error("no such frame");
  Scene scene;
  look(ready.play, ready.motion, frame, scene);
  Wall wall;
  Pocket pocket;
  if (present(scene.passer)) {
    find_wall(scene, rules, wall);
    shape_pocket(scene, wall, rules.cushion, pocket);
  }
  std::vector<std::int32_t> men;
  for (const WallMan& man : wall.men) men.push_back(ready.play.men[man.standing.man].player);
  py::dict out;
  out["wall"] = to_array(std::move(men));
  out["ring"] = to_array(std::span<const Point>(pocket.ring));
  return out;
}

}  // namespace

void bind_measure(py::module_& module) {
  using namespace py::literals;
  module.def("measure", &measure_all, "game"_a, "rules"_a, "threads"_a, "progress"_a);
  module.def("pocket_at", &pocket_at, "game"_a, "snap_row"_a, "frame"_a, "rules"_a);
}
