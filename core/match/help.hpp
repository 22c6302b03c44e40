#pragma once
/// Help on a rusher who is another man's: a chip, the second man of a double team.

#include <optional>

#include "play/play.hpp"

namespace shortedge {

struct Help {
  std::size_t first, last;  ///< frames of the first and the last contact that was help
  double seconds = 0;       ///< s within meet, in all
  int side = 0;             ///< -1 left, +1 right of the rusher's line to the passer, where he was longer; 0: on it
};

/// Help is 0.2 s on end within `meet` yd of the rusher in which the two do not run past each other: from the first
/// to the last frame of those 0.2 s their places to each other change by no more than 5.5 yd/s. A man who puts his
/// hands on a rusher is slowed by him; a back on his way out goes past him at 6 yd/s and more (the speed is this
/// project's own choice). Looked for in frames `first` to `last`, as long as the rusher takes part; nothing for no
/// help.
std::optional<Help> help_of(const Play& play, const Motion& motion, double meet, std::size_t man, std::size_t rusher,
                            std::size_t first, std::size_t last);

}  // namespace shortedge
