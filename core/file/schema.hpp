#pragma once
/// What the library's files call themselves. Versions only add: columns, tables and texts. A reader takes files of
/// every version from `oldest` on: what an older file lacks is missing; where the schema grows, what a newer one has
/// beyond it is skipped; both are said. A game is what everything else rests on, so a newer one is refused.

#include <string_view>

namespace shortedge::file {

struct Schema {
  std::string_view name;
  int version;
  int oldest = version;  ///< the oldest that is read
  bool grows = false;    ///< a newer one is read, too
};

inline constexpr int most_versions = 9999;

/// 2: with the clicks that men were smoothed from; without them files stay of version 1.
inline constexpr Schema game_schema{"shortedge game", 2, 1};
/// 2: with bands of noise; without them files stayed of version 1. 3: bands or not; the definition is told; reps say
/// when their rusher came and dropped. 4: reps have exchanges, searches and looks, and the columns of snaps that the
/// user brought; they say on which side a man helped, dropbacks how the snap and the line were, corrections whose rep
/// it was and whether he had help.
inline constexpr Schema results_schema{"shortedge results", 3, 1, true};
inline constexpr Schema reps_schema{"shortedge reps", 4, 1, true};
inline constexpr int always_banded = 2, tells_definition = 3;

}  // namespace shortedge::file
