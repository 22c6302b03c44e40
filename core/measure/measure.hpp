#pragma once
/// The one seam: recorded, stretched, noisy and simulated tracks all enter here, and tables come out.

#include "base/columns.hpp"
#include "base/rules.hpp"
#include "match/match.hpp"
#include "measure/over_plays.hpp"

namespace shortedge {

struct Tables {
  FramesTable frames;
  EdgesTable edges;
  RushersTable rushers;

  template <class T, class Visit>
  static void for_each(T& tables, Visit&& visit) {
    visit(tables.frames);
    visit(tables.edges);
    visit(tables.rushers);
  }
};

/// Adds one play's rows. Frames by time; edges by time, left before right; rushers by time and id. `match` says who has
/// whom: of these men at these frames, not always found on this motion (a drop study passes the recorded one). The
/// rules must be valid (Rules::validate).
void measure(const Play& play, const Motion& motion, const Match& match, const Rules& rules, Tables& tables);

/// The same without what reps do not read, which saves a third of the time: the figures passer_room, pocket_area,
/// path_length and slack are NaN.
void measure_for_reps(const Play& play, const Motion& motion, const Match& match, const Rules& rules, Tables& tables);

/// Measures every play of a game, as over_plays. Throws InputError for invalid rules.
Tables measure_game(const Game& game, const Rules& rules, unsigned threads = 0, const Progress& progress = {});

}  // namespace shortedge
