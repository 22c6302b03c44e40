#pragma once
/// The root of an increasing function whose derivatives are known.

#include <algorithm>
#include <cmath>

namespace shortedge {

struct Slopes {
  double value, first, second;  ///< of a function at a point: value, first and second derivative
};

/// The root in [low, high] of a function that increases there, value(low) <= 0 <= value(high); `slopes` gives its Slopes
/// at a point. Halley's method from `guess`, by halves where there is no step or it would leave what is known to hold the
/// root. Each step about cubes the relative error, so after the last one, of 1e-5 of the root at most, only the function's
/// own rounding is left; a library's general method would evaluate once more to see that nothing changes.
template <class Function>
double increasing_root(Function&& slopes, double guess, double low, double high) {
  constexpr double last_step = 1e-5;
  constexpr int most_steps = 200;
  double x = std::clamp(guess, low, high);
  for (int step = 0; step < most_steps; ++step) {
    const Slopes at = slopes(x);
    if (at.value == 0) return x;
    (at.value < 0 ? low : high) = x;
    const double move = 2 * at.value * at.first / (2 * at.first * at.first - at.value * at.second);
    const double next = x - move;
    if (at.first > 0 && next >= low && next <= high) {
      if (std::abs(move) <= last_step * std::abs(x)) return next;
      x = next;
    } else {
      x = (low + high) / 2;
    }
  }
  return x;
}

}  // namespace shortedge
