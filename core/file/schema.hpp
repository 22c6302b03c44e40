#pragma once
/// What the library's files call themselves. A change that an older reader would misread raises the version.

#include <string_view>

namespace shortedge::file {

struct Schema {
  std::string_view name;
  int version;
  int oldest = version;  ///< the oldest that is read
};

inline constexpr Schema game_schema{"shortedge game", 1};
/// 2: with bands of noise. Files without them stay of version 1.
inline constexpr Schema results_schema{"shortedge results", 2, 1};
inline constexpr Schema reps_schema{"shortedge reps", 2, 1};
inline constexpr int with_bands = 2;
constexpr Schema plain_or_with_bands(const Schema& schema, bool bands) { return {schema.name, bands ? with_bands : 1}; }

}  // namespace shortedge::file
