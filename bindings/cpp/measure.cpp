#include "arrays.hpp"
#include "measure/bands.hpp"
#include "measure/picture.hpp"
#include "pocket/pocket.hpp"
#include "work.hpp"

using namespace shortedge;
using namespace shortedge::python;

namespace {

py::dict measure_all(const Game& game, const Rules& rules, unsigned threads, const py::object& progress) {
  return tables_of(
      at_work<Tables>(progress, [&](const Progress& ask) { return measure_game(game, rules, threads, ask); }));
}

py::dict bands_of_all(const Game& game, const Rules& rules, std::optional<double> sigma, std::size_t draws,
                      std::uint64_t seed, unsigned threads, const py::object& progress, bool carried) {
  const Noise noise{sigma.value_or(0), draws, seed, !sigma, carried};
  return tables_of(
      at_work<Bands>(progress, [&](const Progress& ask) { return bands_of_game(game, rules, noise, threads, ask); }));
}

std::pair<double, std::size_t> estimated_noise(const Game& game) {
  const py::gil_scoped_release released;
  const NoiseEstimate estimate = estimate_noise(game);
  return {estimate.sigma, estimate.stances};
}

/// One man's noise in one draw, u and v.
py::array_t<double> noise_of(const py::array& time, const std::string& play, const std::string& player, double sigma,
                             std::uint64_t seed, std::size_t draw) {
  return to_array(
      std::span<const Point>(draw_noise(column<double>(time, "time"), play, player, {sigma, 1, seed}, draw)));
}

/// One way as a row: where it begins, the ends of its arc, the arc's centre, its radius, the radians turned (below 0
/// clockwise). Radius and turn 0: straight. NaN: no way.
void add_way(const std::optional<DrawnWay>& drawn, std::vector<double>& values) {
  if (!drawn) return values.insert(values.end(), 10, shortedge::nan), void();
  const WayRound& way = drawn->way;
  const bool bends = way.turn > 0;
  for (const Point& point : {way.start, way.on, way.off, drawn->around}) {
    values.push_back(point.x());
    values.push_back(point.y());
  }
  values.push_back(bends ? way.radius : 0);
  values.push_back(bends ? drawn->turn * way.turn : 0);
}

/// What pictures show of one play beside its tables; men by their place in the play.
py::dict picture(const Game& game, std::size_t snap_row, const Rules& rules) {
  Picture shown;
  {
    const py::gil_scoped_release released;
    const ReadyPlay ready = prepare(game, Roster(game.people, game.players.size()), game.snaps.at(snap_row));
    shown = picture_of(ready.play, ready.motion, match_play(ready.play, ready.motion, rules), rules);
  }
  const auto men = [](const std::vector<std::size_t>& from) {
    return to_array(std::vector<std::int32_t>(from.begin(), from.end()));
  };
  py::list frames;
  for (const PicturedFrame& frame : shown.frames) {
    py::dict one;
    std::vector<std::int32_t> corners;
    if (!frame.wall.empty()) {
      for (const std::ptrdiff_t corner : frame.pocket.corners) {
        corners.push_back(corner >= 0 ? static_cast<std::int32_t>(frame.wall[static_cast<std::size_t>(corner)])
                                      : static_cast<std::int32_t>(corner));
      }
    }
    one["wall"] = men(frame.wall);
    one["ring"] = to_array(std::span<const Point>(frame.pocket.ring));
    one["corners"] = to_array(std::move(corners));
    one["detached"] = men(frame.detached);
    frames.append(std::move(one));
  }
  std::vector<std::int32_t> frame, rusher, man, side;
  std::vector<std::uint8_t> past, outside;
  std::vector<double> outside_way, inside_way;
  for (const PicturedRusher& one : shown.rushers) {
    frame.push_back(static_cast<std::int32_t>(one.frame));
    rusher.push_back(static_cast<std::int32_t>(one.rusher));
    man.push_back(one.man);
    side.push_back(one.placed.side);
    past.push_back(one.placed.past);
    outside.push_back(one.placed.outside);
    add_way(one.ways.outside, outside_way);
    add_way(one.ways.inside, inside_way);
  }
  py::dict out;
  out["frames"] = frames;
  out["frame"] = to_array(std::move(frame));
  out["rusher"] = to_array(std::move(rusher));
  out["man"] = to_array(std::move(man));
  out["side"] = to_array(std::move(side));
  out["past"] = to_array(std::move(past));
  out["outside"] = to_array(std::move(outside));
  out["outside_way"] = to_array(std::move(outside_way));
  out["inside_way"] = to_array(std::move(inside_way));
  return out;
}

}  // namespace

void bind_measure(py::module_& module) {
  using namespace py::literals;
  module.def("measure", &measure_all, "game"_a, "rules"_a, "threads"_a, "progress"_a);
  module.def("bands", &bands_of_all, "game"_a, "rules"_a, "sigma"_a, "draws"_a, "seed"_a, "threads"_a, "progress"_a,
             "carried"_a = true);
  module.def(
      "carried_figures",
      [] {
        py::list figures;
        for (const CarriedFigure& one : carried_figures()) {
          py::list ends;
          for (std::size_t i = 0; i < carried_sigmas.size(); ++i) {
            ends.append(py::make_tuple(carried_sigmas[i], one.ends[i].low, one.ends[i].high));
          }
          py::dict figure;
          figure["table"] = one.table;
          figure["column"] = one.column;
          figure["least"] = one.least;
          figure["greatest"] = one.greatest;
          figure["of_speed"] = one.of_speed;
          figure["most_sigma"] = one.most_sigma;
          figure["least_sigma"] = 0.0;
          figure["ends"] = ends;
          figures.append(figure);
        }
        for (const UnheldFigure& one : unheld_figures()) {
          py::dict figure;
          figure["table"] = one.table;
          figure["column"] = one.column;
          figure["least"] = -infinity;
          figure["greatest"] = infinity;
          figure["of_speed"] = false;
          figure["most_sigma"] = one.most_sigma;
          figure["least_sigma"] = one.least_sigma;
          figure["ends"] = py::list();
          figures.append(figure);
        }
        return figures;
      },
      "The figures whose bands are made by a table (core/measure/carried.hpp), with it: sigma, A, B; none of one that "
      "keeps\n"
      "the band of the draws, and has none above most_sigma and below least_sigma.");
  module.def("estimate_noise", &estimated_noise, "game"_a);
  module.def("draw_noise", &noise_of, "time"_a, "play"_a, "player"_a, "sigma"_a, "seed"_a, "draw"_a);
  module.def("picture", &picture, "game"_a, "snap_row"_a, "rules"_a);
}
