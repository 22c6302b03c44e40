#include "arrays.hpp"
#include "measure/bands.hpp"
#include "pocket/pocket.hpp"
#include "work.hpp"

using namespace shortedge;
using namespace shortedge::python;

namespace {

py::dict measure_all(const Game& game, const Rules& rules, unsigned threads, const py::object& progress) {
  return tables_of(at_work<Tables>(progress, [&](const Progress& ask) { return measure_game(game, rules, threads, ask); }));
}

py::dict bands_of_all(const Game& game, const Rules& rules, double sigma, std::size_t draws, std::uint64_t seed, unsigned threads,
                      const py::object& progress) {
  const Noise noise{sigma, draws, seed};
  return tables_of(at_work<Bands>(progress, [&](const Progress& ask) { return bands_of_game(game, rules, noise, threads, ask); }));
}

std::pair<double, std::size_t> estimated_noise(const Game& game) {
  const py::gil_scoped_release released;
  const NoiseEstimate estimate = estimate_noise(game);
  return {estimate.sigma, estimate.stances};
}

/// One man's noise in one draw, u and v.
py::array_t<double> noise_of(const py::array& time, const std::string& play, const std::string& player, double sigma,
                             std::uint64_t seed, std::size_t draw) {
  return to_array(std::span<const Point>(draw_noise(column<double>(time, "time"), play, player, {sigma, 1, seed}, draw)));
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
  module.def("bands", &bands_of_all, "game"_a, "rules"_a, "sigma"_a, "draws"_a, "seed"_a, "threads"_a, "progress"_a);
  module.def("estimate_noise", &estimated_noise, "game"_a);
  module.def("draw_noise", &noise_of, "time"_a, "play"_a, "player"_a, "sigma"_a, "seed"_a, "draw"_a);
  module.def("pocket_at", &pocket_at, "game"_a, "snap_row"_a, "frame"_a, "rules"_a);
}
