#pragma once
/// How far noise of position moves the figures of reps, and how often their outcome survives it (measure/bands.hpp).
///
/// A rep of a draw is held against the recording's by protector, rusher and order of spells; where a draw has no such
/// rep it does not agree, and gives no numbers.

#include "measure/bands.hpp"
#include "reps/reps.hpp"

namespace shortedge {

template <>
struct BandKeys<RepsTable> {
  static constexpr std::array<std::string_view, 4> columns{"play", "protector", "rusher", "start"};
  static constexpr std::size_t matched = 3;
};

struct RepBands {
  BandTable<RepsTable> reps;

  template <class T, class Visit>
  static void for_each(T& tables, Visit&& visit) {
    visit(tables.reps);
  }
};

/// The bands of reps_of_game's reps; the draws are those of bands_of_game. Throws InputError for invalid rules or
/// noise.
RepBands rep_bands_of_game(const Game& game, const Rules& rules, const Noise& noise, unsigned threads = 0,
                           const Progress& progress = {});

}  // namespace shortedge
