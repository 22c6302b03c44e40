#pragma once
/// The root of an increasing function whose derivatives are known.

#include <algorithm>
#include <cmath>

namespace shortedge {

struct Slopes {
  double value, first, second;  ///< of a function at a point: value, first and second derivative
};

/// The root in [low, high] of a function that increases there, value(low) <= 0 <= value(high); `slopes` gives its Slopes
/// at a point. Halley's method from `guess`, by halves where a step would leave what is known to hold the root. Each
/// step about cubes the relative error, so the last one, of 1e-5 of the root at most, leaves what the function's own
/// rounding leaves. Boost's Halley asks for one evaluation more to see that nothing changes; here that is a third of all.
template <class Function>
double increasing_root(Function&& slopes, double guess, double low, double high) {
  constexpr double last_step = 1e-5;
  constexpr int most_steps = 200;
  double x = std::clamp(guess, low, high);
  for (int step = 0; step < most_steps; ++step) {
    const Slopes at = slopes(x);
    (at.value < 0 ? low : high) = x;
    const double move = 2 * at.value * at.first / (2 * at.first * at.first - at.value * at.second);
    if (std::abs(move) <= last_step * std::abs(x)) return std::clamp(x - move, low, high);
    x = x - move > low && x - move < high ? x - move : (low + high) / 2;
  }
  return x;
}

}  // namespace shortedge
