#pragma once
/// What the library's files call themselves. Versions only add: columns, tables and texts. A reader takes files of every
/// version from `oldest` on: what an older file lacks is missing, what a newer one has beyond it is skipped, and both are
/// said. A change that an older reader would misread takes another name.

#include <string_view>

namespace shortedge::file {

struct Schema {
  std::string_view name;
  int version;
  int oldest = version;  ///< the oldest that is read
};

inline constexpr int most_versions = 9999;

inline constexpr Schema game_schema{"shortedge game", 1};
/// 2: with bands of noise; without them files stayed of version 1. 3: bands or not; the definition is told; reps say when
/// their rusher came and dropped.
inline constexpr Schema results_schema{"shortedge results", 3, 1};
inline constexpr Schema reps_schema{"shortedge reps", 3, 1};
inline constexpr int always_banded = 2, tells_definition = 3;

}  // namespace shortedge::file
