#pragma once
/// Running in a straight line: dv/dt = (vmax - v) / tau (Furusawa, Hill and Parkinson 1927), in closed form.
/// With s = t / tau and w = vmax - v0: v = v0 + w (1 - e^-s), x = tau (v0 s + w ramp(s)), ramp(s) = s - 1 + e^-s.
/// Of one man, or of the men of several lanes.

#include <limits>

#include "geometry/lanes.hpp"
#include "geometry/root.hpp"

namespace shortedge {

struct Sprint {
  double vmax;  ///< yd/s, > 0
  double tau;   ///< s, > 0

  /// yd/s after `time` s from speed `start` (0 to vmax).
  double speed_after(double time, double start) const;
  /// yd run in `time` s from speed `start`.
  double distance_after(double time, double start) const;
  /// s to run `distance` yd (>= 0) from speed `start`; relative error under 1e-13.
  double time_over(double distance, double start) const;
  /// s from speed `start` to speed `end` (start <= end < vmax); infinite when end >= vmax > start.
  double time_to_speed(double end, double start) const;

  /// time_over, in lanes of those in `sought` only.
  template <AnyNumber Number>
  Number time_over(const Number& distance, const Number& start, MaskOf<Number> sought) const;
};

/// s - 1 + e^-s without cancellation for small s >= 0; the second form when e^-s is at hand.
double ramp(double s);
template <AnyNumber Number>
SHORTEDGE_INLINED Number ramp(const Number& s, const Number& exp_of_minus) {
  return choose(
      s > 0.1, [&] { return Number(s + (exp_of_minus - 1)); },
      [&] {
        // s^2/2! - s^3/3! + ... - s^11/11!
        constexpr double weights[] = {-1.0 / 39916800, 1.0 / 3628800, -1.0 / 362880, 1.0 / 40320, -1.0 / 5040,
                                      1.0 / 720,       -1.0 / 120,    1.0 / 24,      -1.0 / 6,    1.0 / 2};
        Number sum = 0.0;
        for (const double weight : weights) sum = sum * s + weight;
        return Number(sum * s * s);
      });
}

/// Speeding up from one speed to another.
template <class Number>
struct SpeedUp {
  Number time, distance;  ///< s, yd
};
SHORTEDGE_INLINED SpeedUp<Wide> blend(const WideMask& mask, const SpeedUp<Wide>& yes, const SpeedUp<Wide>& no) {
  return {blend(mask, yes.time, no.time), blend(mask, yes.distance, no.distance)};
}

/// From speed `start` to speed `end`: nothing when that is no more, infinite from top speed on.
template <AnyNumber Number>
SHORTEDGE_INLINED SpeedUp<Number> speed_up(const Sprint& sprint, const Number& start, const Number& end) {
  return choose(
      end <= start, [&] { return SpeedUp<Number>{0.0, 0.0}; },
      [&] {
        return choose(
            end < sprint.vmax,
            [&] {
              const Number room = sprint.vmax - start, left = (sprint.vmax - end) / room, s = -logarithm(left);
              return SpeedUp<Number>{sprint.tau * s, sprint.tau * (start * s + room * ramp<Number>(s, left))};
            },
            [&] { return SpeedUp<Number>{infinity, infinity}; });
      });
}

template <AnyNumber Number>
SHORTEDGE_INLINED Number Sprint::time_over(const Number& distance, const Number& start, MaskOf<Number> sought) const {
  const Number room = vmax - start, length = distance / tau;
  sought = sought & (distance > 0) & (room > 0);
  const Number known = blend(distance <= 0, Number(0.0), distance / vmax);
  if (!any(sought)) return known;
  // First guess from ramp(s) ~ s^2 / (2 + 2s/3), which is within a tenth over the distances of a rush.
  const Number a = 2 * start / 3 + room, half_b = start - length / 3;
  const Number root_of = root(half_b * half_b + 2 * a * length);
  const Number guess = choose(
      half_b > 0, [&] { return Number(2 * length / (root_of + half_b)); },
      [&] { return Number((root_of - half_b) / a); });
  const Number most =
      smaller((length + room) / vmax, blend(start > 0, length / start, Number(std::numeric_limits<double>::max())));
  const auto run = [&](const Number& s) -> SlopesOf<Number> {
    const Number e = exponential(-s), gain = room * e, ramped = ramp<Number>(s, e);
    return {start * s + room * ramped - length, start + room * (s - ramped), gain, -gain, gain};
  };
  return blend(sought, tau * increasing_root<Number>(run, guess, 0.0, most * (1 + 1e-12), sought), known);
}

}  // namespace shortedge
