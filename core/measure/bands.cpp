#include "measure/bands.hpp"

namespace shortedge {

double quantile(std::span<double> values, double p) {
  const double last = static_cast<double>(values.size() - 1);
  const double at = std::clamp(p * static_cast<double>(values.size() + 1) - 1, 0.0, last);
  const double share = at - std::floor(at);
  const auto low = values.begin() + static_cast<std::ptrdiff_t>(at);
  std::nth_element(values.begin(), low, values.end());
  if (share == 0) return *low;
  const double above = *std::min_element(low + 1, values.end());
  return above == *low ? above : *low + share * (above - *low);
}

Bands bands_of_game(const Game& game, const Rules& rules, const Noise& noise, unsigned threads,
                    const Progress& progress) {
  rules.validate();
  noise.validate();
  return over_plays<Bands>(game, threads, progress, [&](const ReadyPlay& ready, std::size_t, Bands& bands) {
    const Drawn<Tables> drawn(game, ready, noise, [&](const Motion& motion, Tables& tables) {
      measure(ready.play, motion, match_play(ready.play, motion, rules), rules, tables);
    });
    drawn.add(&Tables::frames, bands.frames);
    drawn.add(&Tables::edges, bands.edges);
    drawn.add(&Tables::rushers, bands.rushers);
  });
}

}  // namespace shortedge
