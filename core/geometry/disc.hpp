#pragma once
/// Discs, the lines that touch two of them, and the turns between such lines.

#include <algorithm>
#include <cmath>

#include "base/tolerances.hpp"
#include "geometry/point.hpp"

namespace shortedge {

struct Disc {
  Point center;
  double radius;  ///< yd, >= 0; a point is a disc of radius 0
};

/// Which way round a disc a path goes: +1 counter-clockwise, -1 clockwise.
using Turn = int;

/// Radians in [0, 2 pi): the angle swept from direction `from` to direction `to`, turning that way.
inline double swept(const Point& from, const Point& to, Turn turn) {
  const double angle = std::atan2(turn * cross(from, to), from.dot(to));
  return angle < 0 ? angle + 2 * pi : angle;
}

inline double distance_to_segment(const Point& point, const Point& a, const Point& b) {
  const Point along = b - a;
  const double length2 = along.squaredNorm();
  const double share = length2 > 0 ? std::clamp((point - a).dot(along) / length2, 0.0, 1.0) : 0.0;
  return distance(point, a + share * along);
}

struct TouchingLine {
  Point from, to;  ///< where it leaves the first disc and meets the second
  double length;   ///< NaN when there is none: one disc in the other, same centre, crossed line of overlapping discs
};

/// The line that leaves `a` after going round it the way `turn_a` and meets `b` to go round it the way `turn_b`:
/// both centres lie on the path's left where it turns counter-clockwise. For a disc of radius 0 the turn is idle.
/// Identity: touching_line(b, -turn_b, a, -turn_a) is the same line backwards.
inline TouchingLine touching_line(const Disc& a, Turn turn_a, const Disc& b, Turn turn_b) {
  const Point between = b.center - a.center;
  const double d = between.norm();
  const double height = turn_b * b.radius - turn_a * a.radius;
  // Discs that touch have a line between them even where rounding has them overlap.
  const bool touches = d > 0 && d >= std::abs(height) - tolerance::clearance;
  const double length = touches ? std::sqrt(std::max(0.0, (d - height) * (d + height))) : nan;
  const Point along = (length * between - height * quarter_turn(between)) / (d * d);
  const Point left = quarter_turn(along);
  return {a.center - turn_a * a.radius * left, b.center - turn_b * b.radius * left, length};
}

}  // namespace shortedge
