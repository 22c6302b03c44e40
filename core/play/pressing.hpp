#pragma once
/// What counts as pressure on the passer, recorded or simulated. Where a rusher stands to him and how soon he is there
/// is measured above (reps/pressure.hpp, simulate/rep.hpp); how near, how soon and from when is said here, once. All of
/// it is this project's own choice.

#include "base/tolerances.hpp"

namespace shortedge::pressing {

inline constexpr double from = 0.8;         ///< s after the snap
inline constexpr double deep_enough = 3.0;  ///< yd behind the line: from under centre it counts from here
inline constexpr double near = 2.0;         ///< yd from the passer
inline constexpr double soon = 0.5;         ///< s to the closest point of approach
inline constexpr double soon_range = 1.0;   ///< yd at that point
inline constexpr double lasts = 0.1;        ///< s on end

/// A closest point `in` s from now. Of a number, or of numbers in lanes.
template <class Number>
auto in_time(const Number& in) {
  return in <= soon + tolerance::time;
}
/// A stretch of `seconds`, of numbers or of numbers in lanes.
template <class Number>
auto long_enough(const Number& seconds) {
  return seconds >= lasts - tolerance::time;
}

}  // namespace shortedge::pressing
