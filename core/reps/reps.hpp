#pragma once
/// Reps: one protector against one rusher in one play, and a row for every lineman whatever he did.

#include "base/columns.hpp"
#include "base/rules.hpp"
#include "measure/over_plays.hpp"

namespace shortedge {

struct RepTables {
  RepsTable reps;
  DropbacksTable dropbacks;

  template <class T, class Visit>
  static void for_each(T& tables, Visit&& visit) {
    visit(tables.reps);
    visit(tables.dropbacks);
  }
};

/// Adds one play's rows: reps by rusher and start, then free rushers, then help and uncovered rows by man; and one row of
/// dropbacks. `snap_row` is the play's row in the game's snaps (its label's place).
///
/// A spell (matching.hpp) is a rep unless its man is never within 2 yd of the rusher while no farther from the passer
/// than he; or, of one rusher's spells with different men, it had less than 0.5 s within `meet`, and less than another's,
/// unless he was beaten in it and no later man of that rusher had contact by 0.5 s after the beat: that is help.
/// Help is 0.2 s on end within `meet` of a rusher who is another's.
void add_reps(const Play& play, const Motion& motion, const Rules& rules, std::size_t snap_row, RepTables& tables);

/// Every play of a game, as over_plays. Throws InputError for invalid rules.
RepTables reps_of_game(const Game& game, const Rules& rules, unsigned threads = 0, const Progress& progress = {});

}  // namespace shortedge
