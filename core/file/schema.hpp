#pragma once
/// What the library's files call themselves. A change that an older reader would misread raises the version.

#include <string_view>

namespace shortedge::file {

struct Schema {
  std::string_view name;
  int version;
};

inline constexpr Schema game_schema{"shortedge game", 1};
inline constexpr Schema results_schema{"shortedge results", 1};
inline constexpr Schema reps_schema{"shortedge reps", 1};

}  // namespace shortedge::file
