#pragma once
/// The one seam: recorded, stretched, noisy and simulated tracks all enter here, and tables come out.

#include <functional>

#include "base/columns.hpp"
#include "base/rules.hpp"
#include "play/play.hpp"

namespace shortedge {

struct Tables {
  FramesTable frames;
  EdgesTable edges;
  RushersTable rushers;
};

/// Adds one play's rows. Frames by time; edges by time, left before right; rushers by time and id. The rules must be
/// valid (Rules::validate).
void measure(const Play& play, const Motion& motion, const Rules& rules, Tables& tables);

/// Measures every play of a game that has no problem, in the order of its snaps, on `threads` threads (0: as many as
/// the machine has). The result does not depend on how many. `progress(done, all)` is called on the calling thread
/// now and then; when it returns false the work stops and the result is empty.
/// Throws InputError for invalid rules.
Tables measure_game(const Game& game, const Rules& rules, unsigned threads = 0,
                    const std::function<bool(std::size_t, std::size_t)>& progress = {});

}  // namespace shortedge
