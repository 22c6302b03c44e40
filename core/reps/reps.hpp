#pragma once
/// Reps: one protector against one rusher in one play, and a row for every lineman whatever he did.

#include "base/columns.hpp"
#include "base/rules.hpp"
#include "match/match.hpp"
#include "measure/measure.hpp"

namespace shortedge {

struct RepTables {
  RepsTable reps;
  DropbacksTable dropbacks;
  ExchangesTable exchanges;
  SearchesTable searches;
  LooksTable looks;

  template <class T, class Visit>
  static void for_each(T& tables, Visit&& visit) {
    visit(tables.reps);
    visit(tables.dropbacks);
    visit(tables.exchanges);
    visit(tables.searches);
    visit(tables.looks);
  }
};

/// Adds one play's rows: reps by rusher and start, then free rushers, then help and uncovered rows by man; and one row
/// of dropbacks. `match` says which spells are reps (match/match.hpp); the last rows of `measured` are this play's
/// frames and rushers as measure or measure_for_reps made them with that match and these rules: exposures, short edges
/// and lanes are read from there. `snap_row` is the play's row in the game's snaps (its label's place). A help row
/// lasts from the first to the last contact that was help (match/help.hpp).
void add_reps(const Play& play, const Motion& motion, const Match& match, const Tables& measured, const Rules& rules,
              std::size_t snap_row, RepTables& tables);

/// The same, matched and measured here.
void add_reps(const Play& play, const Motion& motion, const Rules& rules, std::size_t snap_row, RepTables& tables);

/// What measure_game and reps_of_game give, made together.
struct MeasuredReps {
  Tables measured;
  RepTables reps;

  template <class T, class Visit>
  static void for_each(T& tables, Visit&& visit) {
    Tables::for_each(tables.measured, visit);
    RepTables::for_each(tables.reps, visit);
  }
};

/// measure_game and reps_of_game in one pass, the same to the bit: each play is matched and measured once, not twice.
MeasuredReps measure_with_reps(const Game& game, const Rules& rules, unsigned threads = 0,
                               const Progress& progress = {});

/// Every play of a game, as over_plays. Throws InputError for invalid rules.
RepTables reps_of_game(const Game& game, const Rules& rules, unsigned threads = 0, const Progress& progress = {});

}  // namespace shortedge
