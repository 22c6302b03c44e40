#include "arrays.hpp"
#include "measure/measure.hpp"
#include "pocket/pocket.hpp"
#include "work.hpp"

using namespace shortedge;
using namespace shortedge::python;

namespace {

py::dict measure_all(const Game& game, const Rules& rules, unsigned threads, const py::object& progress) {
  return tables_of(at_work<Tables>(progress, [&](const Progress& ask) { return measure_game(game, rules, threads, ask); }));
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
