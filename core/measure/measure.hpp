#pragma once
/// The one seam: recorded, stretched, noisy and simulated tracks all enter here, and tables come out.

#include "base/columns.hpp"
#include "base/rules.hpp"
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

/// Adds one play's rows. Frames by time; edges by time, left before right; rushers by time and id. The rules must be
/// valid (Rules::validate).
void measure(const Play& play, const Motion& motion, const Rules& rules, Tables& tables);

/// Measures every play of a game, as over_plays. Throws InputError for invalid rules.
Tables measure_game(const Game& game, const Rules& rules, unsigned threads = 0, const Progress& progress = {});

}  // namespace shortedge
