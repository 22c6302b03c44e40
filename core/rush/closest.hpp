#pragma once
/// Closest point of approach, as a navigator works it from relative motion.

#include "base/tolerances.hpp"
#include "geometry/lanes.hpp"

namespace shortedge {

template <class Number>
struct ClosestOf {
  Number distance;  ///< yd
  Number in;        ///< s from now; 0 when the closest point is now or past
};
using Closest = ClosestOf<double>;

SHORTEDGE_INLINED ClosestOf<Wide> blend(const WideMask& mask, const ClosestOf<Wide>& yes, const ClosestOf<Wide>& no) {
  return {blend(mask, yes.distance, no.distance), blend(mask, yes.in, no.in)};
}

/// Of two men who keep their velocities: `apart` is one's place from the other, `velocity` his velocity relative to
/// him. Both NaN when the velocity is unknown or below 0.3 yd/s, where men locked together make noise of its direction.
/// Of points, or of points in lanes.
template <class P>
SHORTEDGE_INLINED auto closest_approach(const P& apart, const P& velocity) {
  const auto speed = velocity.norm();
  using Number = std::remove_const_t<decltype(speed)>;
  return choose(
      speed >= tolerance::least_speed,
      [&] {
        const Number in = -apart.dot(velocity) / velocity.squaredNorm();
        return choose(
            in <= 0, [&] { return ClosestOf<Number>{apart.norm(), Number{}}; },
            [&] { return ClosestOf<Number>{size_of(cross(apart, velocity)) / speed, in}; });
      },
      [&] { return ClosestOf<Number>{Number{} + nan, Number{} + nan}; });
}
inline Closest closest_approach(const Point& apart, const Point& velocity) {
  return closest_approach<Point>(apart, velocity);
}

}  // namespace shortedge
