#pragma once
/// The root of an increasing function whose derivatives are known.

#include "geometry/lanes.hpp"

namespace shortedge {

template <class Number>
struct SlopesOf {
  Number value, first, second, third, fourth;  ///< of a function at a point: its value and derivatives
};
using Slopes = SlopesOf<double>;

/// The root in [low, high] of a function that increases there, value(low) <= 0 <= value(high); `slopes` gives its
/// Slopes at a point. From `guess` (the middle if it is NaN) by the inverse function's series, to the fourth derivative
/// (Schroeder's method); by halves where there is no step, where it would leave what is known to hold the root, and
/// where the series is no guide: its higher terms change Newton's step by more than half. Each step about takes the
/// relative error to the fifth power, so after the last one, of 2e-4 of the root at most, only the function's own
/// rounding is left; a library's general method would evaluate once more to see that nothing changes. In lanes, of
/// those in `sought`; the others give something.
template <AnyNumber Number, class Function>
SHORTEDGE_INLINED Number increasing_root(Function&& slopes, const Number& guess, Number low, Number high,
                                         MaskOf<Number> sought) {
  constexpr double last_step = 2e-4;
  constexpr int most_steps = 200;
  Number x = bounded(blend(unknown(guess), Number((low + high) / 2), guess), low, high);
  for (int step = 0; step < most_steps; ++step) {
    const SlopesOf<Number> at = slopes(x);
    sought = sought & (at.value != 0);
    if (!any(sought)) break;
    low = blend(at.value < 0, x, low);
    high = blend(at.value < 0, high, x);
    const Number per = 1 / at.first, newton = -at.value * per;
    const Number b = at.second * per / 2, c = at.third * per / 6, d = at.fourth * per / 24;
    const Number rest = newton * (b - newton * (2 * b * b - c - newton * (5 * b * (b * b - c) + d)));
    const Number move = newton * (1 - rest), next = x + move;
    const MaskOf<Number> steps = (at.first > 0) & (size_of(rest) <= 0.5) & (next >= low) & (next <= high);
    const MaskOf<Number> last = steps & (size_of(move) <= last_step * size_of(x));
    x = blend(sought, blend(steps, next, (low + high) / 2), x);
    sought = sought & is_not(last);
    if (!any(sought)) break;
  }
  return x;
}
template <class Function>
double increasing_root(Function&& slopes, double guess, double low, double high) {
  return increasing_root<double>(slopes, guess, low, high, true);
}

}  // namespace shortedge
