#pragma once
/// Discs, the lines that touch two of them, and the turns between such lines.

#include <algorithm>
#include <cmath>

#include "base/tolerances.hpp"
#include "geometry/lanes.hpp"

namespace shortedge {

/// Of a point, or of points in lanes.
template <class P>
struct DiscOf {
  P center;
  NumberOf<P> radius;  ///< yd, >= 0; a point is a disc of radius 0
};
using Disc = DiscOf<Point>;

/// Which way round a disc a path goes: +1 counter-clockwise, -1 clockwise.
using Turn = int;

/// Radians in [0, 2 pi): the angle swept from direction `from` to direction `to`, turning that way.
template <class P, class Way>
SHORTEDGE_INLINED NumberOf<P> swept(const P& from, const P& to, const Way& turn) {
  using Number = NumberOf<P>;
  const Number angle = arc_tangent(Number(turn * cross(from, to)), Number(from.dot(to)));
  return blend(angle < 0, Number(angle + 2 * pi), angle);
}
inline double swept(const Point& from, const Point& to, Turn turn) { return swept<Point>(from, to, turn); }

inline double distance_to_segment(const Point& point, const Point& a, const Point& b) {
  const Point along = b - a;
  const double length2 = along.squaredNorm();
  const double share = length2 > 0 ? std::clamp((point - a).dot(along) / length2, 0.0, 1.0) : 0.0;
  return distance(point, a + share * along);
}

template <class P>
struct TouchingLineOf {
  P from, to;          ///< where it leaves the first disc and meets the second
  NumberOf<P> length;  ///< NaN for none: one disc in the other, same centre, crossed line of overlapping discs
};
using TouchingLine = TouchingLineOf<Point>;

/// The line that leaves `a` after going round it the way `turn_a` and meets `b` to go round it the way `turn_b`:
/// both centres lie on the path's left where it turns counter-clockwise. For a disc of radius 0 the turn is idle.
/// Identity: touching_line(b, -turn_b, a, -turn_a) is the same line backwards.
template <class P, class WayA, class WayB>
SHORTEDGE_INLINED TouchingLineOf<P> touching_line(const DiscOf<P>& a, const WayA& turn_a, const DiscOf<P>& b,
                                                  const WayB& turn_b) {
  using Number = NumberOf<P>;
  const P between = b.center - a.center;
  const Number d = between.norm();
  const Number height = turn_b * b.radius - turn_a * a.radius;
  // Discs that touch have a line between them even where rounding has them overlap.
  const MaskOf<Number> touches = (d > 0) & (d >= size_of(height) - tolerance::clearance);
  const Number length = choose(
      touches, [&] { return root(larger(Number(0.0), Number((d - height) * (d + height)))); },
      [&] { return Number(nan); });
  const P along = (length * between - height * quarter_turn(between)) / (d * d);
  const P left = quarter_turn(along);
  return {P(a.center - turn_a * a.radius * left), P(b.center - turn_b * b.radius * left), length};
}

}  // namespace shortedge
