#pragma once
/// The board: one frame whose men are moved by hand and measured again, as tables of numbers in and tables of numbers
/// out, so that a page can ask for everything by name and works out no geometry of its own.
///
/// In and out alike a table is a list of rows, each as long as the table's columns; `describe` names tables and columns
/// in their order. A word is its place in the column's words, a man his place in the table `men`, -1 for none or
/// nobody; a missing number is NaN. Places in yd in the play frame, velocities in yd/s.

#include <optional>
#include <string>
#include <vector>

#include "base/parallel.hpp"
#include "board/still.hpp"
#include "simulate/assumptions.hpp"

namespace shortedge {

/// How a man runs who may have been moved.
enum class Running : std::int8_t {
  kept,      ///< with the velocity he has
  standing,  ///< not at all
  straight   ///< as fast as he has it, straight at the passer
};
inline constexpr std::array<std::string_view, 3> running_words{"kept", "standing", "straight"};
inline constexpr std::array<std::string_view, 3> job_words{"block", "zone", "chip"};
inline constexpr std::array<std::string_view, 3> takes_words{"under", "pistol", "gun"};
inline constexpr std::array<std::string_view, 4> order_words{"drop", "jump", "45", "vertical"};
inline constexpr std::array<std::string_view, 4> rush_words{"drawn", "outside", "power", "inside"};

/// What a line of the drawing is. All are points to be joined; the ring alone is closed.
enum class Stroke : std::int8_t {
  ring,         ///< the pocket
  wall,         ///< the wall, left to right
  width,        ///< between the wall's outermost men, across, at the pocket's rear
  depth,        ///< from the passer straight upfield to the wall
  edge,         ///< from the passer out to the edge man and his reach beyond, across
  outside,      ///< a rusher's way round the outside of who has him
  inside,       ///< and round the inside
  taut,         ///< his shortest way clear of every protector
  straight,     ///< his straight line to the passer
  corner_held,  ///< across that line: what is held of the corner
  short_edge    ///< and how far outside his man's centre it passes
};
inline constexpr std::array<std::string_view, 11> stroke_words{
    "ring", "wall", "width", "depth", "edge", "outside", "inside", "taut", "straight", "corner_held", "short_edge"};

/// X(name) of each input table.
// clang-format off
#define SHORTEDGE_BOARD_MEN(X)                                                                                         \
  X(u) X(v) X(vu) X(vv)      /* yd, yd/s; NaN: absent, unknown */                                                      \
  X(unit) X(role) X(slot)    /* words; slot -1: no lineman */                                                          \
  X(line_side)               /* of a lineman: -1, 0, 1 */                                                              \
  X(running)                 /* a word */                                                                              \
  X(man)                     /* of a rusher: who has him, -1: nobody */                                                \
  X(passed_man) X(passed_outside) /* of a rusher: the frames before left him past that man, outside of him or not */   \
  X(passed_side)             /* of that man when he was passed: -1, 0, 1 */                                            \
  X(job) X(chips) X(order)   /* of a protector, for the simulator: a word; whom he chips; how he sets, a word */       \
  X(inside) X(rush) X(wait)  /* of a rusher, for it: one of the inside (0, 1); his plan, a word; s before he loops */  \
  X(kick_speed) X(run_speed) X(top_speed) X(tau) /* for the simulator: his own, NaN: the assumption's */
#define SHORTEDGE_BOARD_FRAME(X) \
  X(time) X(center) X(guard_left) X(guard_right) X(first_u) X(stood_left) X(stood_right)
/// The depths the passer is taken to for the table `sweep`, and where the break-even depth is sought from, with which
/// share of the rusher's speed.
#define SHORTEDGE_BOARD_DROP(X) X(least) X(most) X(step) X(from) X(speed_ratio)
#define SHORTEDGE_BOARD_PLAN(X)                                                                                       \
  X(takes) X(passer_u) X(passer_v) /* where he takes the snap */                                                      \
  X(roll) X(fake) X(slide)         /* of the formation (simulate/formation.hpp) */                                     \
  X(depth) X(throw_time) X(throw_sd) X(throw_per_yard) X(draws) X(seed) X(step)
/// Places that a rusher runs through first, in order.
#define SHORTEDGE_BOARD_PATHS(X) X(rusher) X(u) X(v)
// clang-format on

class Board {
 public:
  enum In : std::size_t { men, frame, rules, drop, plan, assumptions, paths, inputs };
  enum Out : std::size_t { frames, edges, rushers, stands, lines, points, break_even, sweep, outcomes, outputs };

  /// JSON: {"in": [table], "out": [table], "shown_exposure", "told_short", "version of the definitions": ...}; a table
  /// is
  /// {"name", "columns": [{"name", "kind", "unit", "words", "value"}]}: kind number, word, man, flag or count; value:
  /// the default of a rule or an assumption.
  static std::string describe();

  /// Room for so many rows of an input table, to be filled; columns are as many as `describe` lists.
  std::vector<double>& input(In table, std::size_t rows);
  const std::vector<double>& output(Out table) const { return out_[table]; }
  std::size_t rows(Out table) const;

  /// Takes a still as its input, with these rules. The tables drop, plan, assumptions and paths are left.
  void take(const Still& still, const Rules& rules);
  const std::vector<double>& input(In table) const { return in_[table]; }

  /// Fills frames, edges, rushers (core/base/columns.hpp), stands, lines with their points, and break_even. Throws
  /// InputError.
  void measure();
  /// Fills `sweep`: the passer taken to each depth, all else left.
  void sweep_depth();
  /// Fills `outcomes`: of the play, then of each protector; in how many draws it came to an arrival, a pressure, a
  /// pressure or an early throw (hurried), opened hips, those within 1.2 s; and quantiles (0.1, 0.5, 0.9) of times and
  /// peaks. False when `progress` stopped it. Throws InputError.
  bool simulate(const Progress& progress);

 private:
  Still still() const;
  Rules given_rules() const;

  std::array<std::vector<double>, inputs> in_;
  std::array<std::vector<double>, outputs> out_;
};

}  // namespace shortedge
