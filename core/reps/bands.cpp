#include "reps/bands.hpp"

namespace shortedge {

RepBands rep_bands_of_game(const Game& game, const Rules& rules, const Noise& noise, unsigned threads,
                           const Progress& progress) {
  rules.validate();
  noise.validate();
  return over_plays<RepBands>(
      game, threads, progress, [&](const ReadyPlay& ready, std::size_t snap_row, RepBands& bands) {
        const Drawn<RepTables> drawn(game, ready, noise, [&](const Motion& motion, RepTables& tables) {
          add_reps(ready.play, motion, rules, snap_row, tables);
        });
        drawn.add(&RepTables::reps, bands.reps);
      });
}

}  // namespace shortedge
