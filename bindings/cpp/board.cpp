#include "board/board.hpp"

#include "arrays.hpp"
#include "work.hpp"

using namespace shortedge;
using namespace shortedge::python;

namespace {

/// A board's input of one frame: its tables men and frame, a row of numbers each.
py::dict input_of(const Still& still, const Rules& rules) {
  Board board;
  board.take(still, rules);
  py::dict out;
  out["men"] =
      to_array(board.input(Board::men)).reshape({static_cast<py::ssize_t>(still.play.men.size()), py::ssize_t{-1}});
  out["frame"] = to_array(board.input(Board::frame)).reshape({py::ssize_t{1}, py::ssize_t{-1}});
  return out;
}

/// Of the play's measured frames, each by itself.
py::list stills(const Game& game, std::size_t snap_row, const Rules& rules, const std::vector<std::size_t>& frames) {
  std::vector<Still> made;
  {
    const py::gil_scoped_release released;
    const ReadyPlay ready = prepare(game, Roster(game.people, game.players.size()), game.snaps.at(snap_row));
    const Match match = match_play(ready.play, ready.motion, rules);
    for (const std::size_t frame : frames) {
      if (frame >= ready.play.frames())
        throw InputError("frame " + std::to_string(frame) + " of " + std::to_string(ready.play.frames()));
      made.push_back(still_of(ready.play, ready.motion, match, rules, frame));
    }
  }
  py::list out;
  for (const Still& still : made) out.append(input_of(still, rules));
  return out;
}

void fill(Board& board, std::size_t table, const py::array& numbers) {
  if (table >= Board::inputs || numbers.ndim() != 2) throw InputError("no such table of the board");
  const py::array_t<double, py::array::c_style | py::array::forcecast> rows(numbers);
  std::vector<double>& into = board.input(static_cast<Board::In>(table), static_cast<std::size_t>(rows.shape(0)));
  if (static_cast<std::size_t>(rows.size()) != into.size())
    throw InputError("a table of the board with too many or too few columns");
  std::copy(rows.data(), rows.data() + rows.size(), into.begin());
}

py::array output(const Board& board, std::size_t table) {
  if (table >= Board::outputs) throw InputError("no such table of the board");
  const auto of = static_cast<Board::Out>(table);
  const auto rows = static_cast<py::ssize_t>(board.rows(of));
  py::array flat = to_array(board.output(of));
  return rows ? py::array(flat.reshape({rows, py::ssize_t{-1}})) : flat;
}

}  // namespace

void bind_board(py::module_& module) {
  using namespace py::literals;
  module.def("board_columns", &Board::describe, "JSON: the tables of a board and their columns.");
  module.def("board_stills", &stills, "game"_a, "snap_row"_a, "rules"_a, "frames"_a);
  module.def(
      "board_formation",
      [](const Formation& formation, double depth, const Rules& rules) {
        return input_of(still_of(formation, depth, rules), rules);
      },
      "formation"_a, "depth"_a, "rules"_a);
  py::class_<Board>(module, "Board",
                    "A board as the page has it: tables by their place in board_columns, rows of numbers.")
      .def(py::init<>())
      .def("fill", &fill, "table"_a, "rows"_a)
      .def("measure", &Board::measure)
      .def("sweep", &Board::sweep_depth)
      .def(
          "simulate", [](Board& board) { return board.simulate({}); }, py::call_guard<py::gil_scoped_release>())
      .def("output", &output, "table"_a);
}
