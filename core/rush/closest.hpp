#pragma once
/// Closest point of approach, as a navigator works it from relative motion.

#include "geometry/point.hpp"

namespace shortedge {

struct Closest {
  double distance;  ///< yd
  double in;        ///< s from now; 0 when the closest point is now or past
};

/// Of two men who keep their velocities: `apart` is one's place from the other, `velocity` his velocity relative to him.
/// Both NaN when the velocity is unknown or below 0.3 yd/s, where men locked together make noise of its direction.
Closest closest_approach(const Point& apart, const Point& velocity);

}  // namespace shortedge
