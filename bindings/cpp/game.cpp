#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>

#include "base/error.hpp"
#include "clicks.hpp"
#include "kept.hpp"
#include "play/drop.hpp"
#include "play/review.hpp"

using namespace shortedge;
using namespace shortedge::python;

namespace {

Placement placement_of(const std::string& units, const std::string& origin, const std::string& y) {
  return {chosen<Placement::Length>(
              units, "units",
              {{"yd", Placement::Length::yard}, {"m", Placement::Length::metre}, {"ft", Placement::Length::foot}}),
          chosen<Placement::Origin>(origin, "origin",
                                    {{"corner", Placement::Origin::corner}, {"center", Placement::Origin::center}}),
          chosen<Placement::Y>(y, "y", {{"up", Placement::Y::up}, {"down", Placement::Y::down}})};
}

template <class To, class From>
std::vector<To> enums(std::span<const From> codes) {
  std::vector<To> values;
  for (const From code : codes) values.push_back(static_cast<To>(code));
  return values;
}

Game make(const std::string& name, std::vector<std::string> plays, std::vector<std::string> players,
          const py::dict& tracks, const py::dict& snaps, const py::dict& people, const std::string& units,
          const std::string& origin, const std::string& y, std::int32_t ball, const py::list& kept_snaps,
          const py::list& kept_people, const std::string& orientation) {
  GameInput input;
  input.name = name;
  input.plays = std::move(plays);
  input.players = std::move(players);
  input.placement = placement_of(units, origin, y);
  input.ball = ball;
  input.tracks = {column<std::int32_t>(tracks["play"], "play"),
                  column<std::int32_t>(tracks["player"], "player"),
                  column<double>(tracks["time"], "time"),
                  column<double>(tracks["x"], "x"),
                  column<double>(tracks["y"], "y"),
                  column_if<double>(tracks, "vx"),
                  column_if<double>(tracks, "vy"),
                  column_if<double>(tracks, "sd_x"),
                  column_if<double>(tracks, "sd_y"),
                  column_if<double>(tracks, "corr_xy")};
  input.snaps = {column<std::int32_t>(snaps["play"], "play"),
                 column_if<double>(snaps, "ball_x"),
                 column_if<double>(snaps, "ball_y"),
                 column<double>(snaps["direction"], "direction"),
                 column<double>(snaps["snap_time"], "snap_time"),
                 column_if<double>(snaps, "throw_time"),
                 column_if<double>(snaps, "end_time"),
                 column_if<double>(snaps, "film_time")};
  const auto unit = enums<Unit>(column<std::int8_t>(people["unit"], "unit"));
  const auto role = enums<Role>(column_if<std::int8_t>(people, "role"));
  const auto position = py::cast<std::vector<std::string>>(people["position"]);
  input.people = {column<std::int32_t>(people["player"], "player"), column_if<std::int32_t>(people, "play"), unit,
                  position, role};
  input.kept_snaps = kept_columns(kept_snaps);
  input.kept_people = kept_columns(kept_people);
  const Orientation look =
      chosen<Orientation>(orientation, "orientation", {{"check", Orientation::check}, {"trust", Orientation::trust}});
  const py::gil_scoped_release released;
  return make_game(input, look);
}

template <class Row, class Value>
auto gathered(const std::vector<Row>& rows, Value&& value) {
  std::vector<std::decay_t<decltype(value(rows.front()))>> values;
  for (const Row& row : rows) values.push_back(value(row));
  return values;
}

/// What a digest takes of numbers: the nearest of a grid of millionths whose steps no short decimal falls between, so
/// that the rounding of a conversion does not show; what is not finite, or 1e12 and more, stands apart.
py::array_t<std::int64_t> on_grid(const py::array& numbers) {
  const auto place = [](double number) {
    constexpr std::int64_t least = std::numeric_limits<std::int64_t>::min();
    if (std::abs(number) < 1e12) return static_cast<std::int64_t>(std::llrint(number * 1e6 + 0.271828));
    return std::isnan(number) ? least : number > 0 ? least + 1 : least + 2;
  };
  const std::span<const double> from = column<double>(numbers, "numbers");
  std::vector<std::int64_t> places(from.size());
  std::transform(from.begin(), from.end(), places.begin(), place);
  return to_array(std::move(places));
}

py::dict tracks_of(const Game& game) {
  const Tracks& tracks = game.tracks;
  std::vector<std::int32_t> play(tracks.player.size());
  for (std::size_t code = 0; code + 1 < tracks.begin.size(); ++code) {
    std::fill(play.begin() + static_cast<std::ptrdiff_t>(tracks.begin[code]),
              play.begin() + static_cast<std::ptrdiff_t>(tracks.begin[code + 1]), static_cast<std::int32_t>(code));
  }
  py::dict table;
  table["play"] = to_array(std::move(play));
  table["player"] = to_array(tracks.player);
  table["time"] = to_array(tracks.time);
  table["x"] = to_array(tracks.x);
  table["y"] = to_array(tracks.y);
  if (tracks.has_velocity()) {
    table["vx"] = to_array(tracks.vx);
    table["vy"] = to_array(tracks.vy);
  }
  if (tracks.has_errors()) {
    table["sd_x"] = to_array(tracks.sd_x);
    table["sd_y"] = to_array(tracks.sd_y);
    table["corr_xy"] = to_array(tracks.corr_xy);
  }
  return table;
}

py::dict snaps_of(const Game& game) {
  py::dict table;
  table["play"] = to_array(gathered(game.snaps, [](const Snap& snap) { return snap.play; }));
  table["direction"] = to_array(gathered(game.snaps, [](const Snap& snap) { return std::int64_t{snap.direction}; }));
  const auto number = [&](const char* name, double Snap::* member) {
    table[name] = to_array(gathered(game.snaps, [&](const Snap& snap) { return snap.*member; }));
  };
  number("ball_x", &Snap::ball_x);
  number("ball_y", &Snap::ball_y);
  number("snap_time", &Snap::snap_time);
  number("throw_time", &Snap::throw_time);
  number("end_time", &Snap::end_time);
  number("film_time", &Snap::film_time);
  return table;
}

py::dict people_of(const Game& game) {
  py::dict table;
  table["player"] = to_array(gathered(game.people, [](const Person& person) { return person.player; }));
  table["play"] = to_array(gathered(game.people, [](const Person& person) { return person.play; }));
  table["unit"] =
      to_array(gathered(game.people, [](const Person& person) { return static_cast<std::int8_t>(person.unit); }));
  table["position"] = gathered(game.people, [](const Person& person) { return person.position; });
  table["role"] =
      to_array(gathered(game.people, [](const Person& person) { return static_cast<std::int8_t>(person.role); }));
  return table;
}

constexpr std::string_view slot_word(Slot slot) {
  return slot == Slot::none ? "" : slot_words[static_cast<std::size_t>(slot) - 1];
}

py::array_t<double> by_frame(const std::vector<Point>& values, std::size_t frames) {
  return to_array(std::span<const Point>(values))
      .reshape({static_cast<py::ssize_t>(frames), py::ssize_t{-1}, py::ssize_t{2}});
}

py::dict prepared(const Game& game, std::size_t snap_row) {
  const Roster roster(game.people, game.players.size());
  const ReadyPlay ready = prepare(game, roster, game.snaps.at(snap_row));
  const Play& play = ready.play;
  py::dict out;
  out["time"] = to_array(play.time);
  out["throw_time"] = play.throw_time;
  out["end_time"] = play.end_time;
  out["top_time"] = top_of_drop(play, ready.motion);
  out["filled"] = ready.filled;
  out["player"] = to_array(gathered(play.men, [](const Man& man) { return man.player; }));
  const auto word = [](const auto& words, auto code) { return std::string(words[static_cast<std::size_t>(code)]); };
  out["unit"] = gathered(play.men, [&](const Man& man) { return word(unit_words, man.unit); });
  out["role"] = gathered(play.men, [&](const Man& man) { return word(role_words, man.role); });
  out["slot"] = gathered(play.men, [](const Man& man) { return std::string(slot_word(man.slot)); });
  out["counts_from"] =
      to_array(gathered(play.men, [](const Man& man) { return static_cast<std::int64_t>(man.counts_from); }));
  out["counts_to"] = to_array(gathered(
      play.men, [&](const Man& man) { return static_cast<std::int64_t>(std::min(man.counts_to, play.frames())); }));
  out["place"] = by_frame(ready.motion.place, play.frames());
  out["velocity"] = by_frame(ready.motion.velocity, play.frames());
  return out;
}

/// What pickle keeps of a game: what a file of it holds, and as there everything else is found again by make_game.
py::tuple state_of(const Game& game) {
  py::dict snaps = snaps_of(game);
  snaps["direction"] = snaps["direction"].attr("astype")("float64");
  const Dropped& dropped = game.dropped;
  py::list clicked;
  for (const ClickedWay& way : game.clicked) {
    std::vector<double> numbers;
    for (const Click& click : way.clicks) {
      const Eigen::Matrix2d& c = click.covariance;
      numbers.insert(numbers.end(), {click.time, click.place.x(), click.place.y(), c(0, 0), c(0, 1), c(1, 1)});
    }
    clicked.append(
        py::make_tuple(way.play, way.player, way.rest, numbers_of(way.options), to_array(std::move(numbers))));
  }
  return py::make_tuple(game.name, game.plays, game.players, tracks_of(game), snaps, people_of(game),
                        to_list(game.kept_snaps), to_list(game.kept_people), dropped.no_player, dropped.not_in_people,
                        dropped.missing, clicked);
}

Game game_of(const py::tuple& state) {
  if (state.size() != 12) throw InputError("a pickle of another version of shortedge; accepted: one of this version");
  Game game = make(py::cast<std::string>(state[0]), py::cast<std::vector<std::string>>(state[1]),
                   py::cast<std::vector<std::string>>(state[2]), state[3], state[4], state[5], "yd", "corner", "up",
                   no_code, state[6], state[7], "trust");
  const auto count = [&](std::size_t at) { return py::cast<std::int64_t>(state[at]); };
  game.dropped = {count(8), count(9), count(10)};
  for (const py::handle& one : py::cast<py::list>(state[11])) {
    const auto [play, player, rest, motion, kept] =
        py::cast<std::tuple<std::int32_t, std::int32_t, std::optional<double>, MotionNumbers, py::array>>(one);
    const std::span<const double> numbers = column<double>(kept, "clicked");
    ClickedWay way{play, player, {}, rest, motion_of(motion)};
    for (std::size_t at = 0; at + 5 < numbers.size(); at += 6) {
      Eigen::Matrix2d covariance;
      covariance << numbers[at + 3], numbers[at + 4], numbers[at + 4], numbers[at + 5];
      way.clicks.push_back({numbers[at], Point(numbers[at + 1], numbers[at + 2]), covariance});
    }
    game.add_clicked(std::move(way));
  }
  return game;
}

}  // namespace

void bind_game(py::module_& module) {
  using namespace py::literals;
  py::class_<Game>(module, "Game", "A game as the compiled side holds it; codes are indices into plays and players.")
      .def_readonly("name", &Game::name)
      .def_readonly("plays", &Game::plays)
      .def_readonly("players", &Game::players)
      .def_property_readonly("problems",
                             [](const Game& game) {
                               std::vector<std::pair<std::int32_t, std::string>> problems;
                               for (const Problem& problem : game.problems)
                                 problems.emplace_back(problem.play, problem.reason);
                               return problems;
                             })
      .def_property_readonly("remarks",
                             [](const Game& game) {
                               std::vector<std::tuple<std::int32_t, std::string, bool>> remarks;
                               for (const Remark& one : game.remarks)
                                 remarks.emplace_back(one.play, one.says, one.few_linemen);
                               return remarks;
                             })
      .def_property_readonly("dropped",
                             [](const Game& game) {
                               py::dict dropped;
                               dropped["no_player"] = game.dropped.no_player;
                               dropped["not_in_people"] = game.dropped.not_in_people;
                               dropped["missing"] = game.dropped.missing;
                               return dropped;
                             })
      .def_property_readonly("measured",
                             [](const Game& game) {
                               const std::vector<std::size_t> rows = game.measured();
                               return to_array(std::vector<std::int64_t>(rows.begin(), rows.end()));
                             })
      .def_property_readonly("tracks", &tracks_of)
      .def_property_readonly("snaps", &snaps_of)
      .def_property_readonly("people", &people_of)
      .def_property_readonly("kept_snaps", [](const Game& game) { return to_list(game.kept_snaps); })
      .def_property_readonly("kept_people", [](const Game& game) { return to_list(game.kept_people); })
      .def("prepare", &prepared, "snap_row"_a)
      .def(
          "add_problems",
          [](Game& game, const std::vector<std::pair<std::int32_t, std::string>>& problems) {
            for (const auto& [play, reason] : problems) game.add_problem({play, reason});
          },
          "problems"_a)
      .def(
          "add_clicked",
          [](Game& game, std::int32_t play, std::int32_t player, const py::array& time, const py::array& place,
             const py::array& covariance, std::optional<double> rest, const MotionNumbers& motion) {
            game.add_clicked({play, player, clicks_of(time, place, covariance), rest, motion_of(motion)});
          },
          "play"_a, "player"_a, "time"_a, "place"_a, "covariance"_a, "rest"_a, "motion"_a)
      .def(py::pickle(&state_of, &game_of));
  module.def("on_grid", &on_grid, "numbers"_a);
  module.def("make_game", &make, py::kw_only(), "name"_a, "plays"_a, "players"_a, "tracks"_a, "snaps"_a, "people"_a,
             "units"_a, "origin"_a, "y"_a, "ball"_a, "kept_snaps"_a, "kept_people"_a, "orientation"_a);
}
