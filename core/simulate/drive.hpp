#pragma once
/// The one driving law of all men: how fast a man's velocity may follow the velocity he wants.

#include <algorithm>
#include <cmath>

#include "base/tolerances.hpp"
#include "geometry/point.hpp"

namespace shortedge {

struct Legs {
  double vmax, tau;       ///< yd/s, s: forward acceleration is at most (vmax - v) / tau (geometry/sprint.hpp)
  double a_lat, a_brake;  ///< yd/s^2
  double response;        ///< s
};

/// yd/s^2: (wanted - velocity) / response, its part along the velocity limited to (vmax - v) / tau forward and a_brake
/// backward, its part across to a_lat. Below 0.3 yd/s, where a direction of motion is noise, only its size is limited,
/// to (vmax - v) / tau. So speed times rate of turn is never above a_lat, and a man who wants to run straight at vmax
/// runs as a sprint does.
inline Point drive(const Point& velocity, const Point& wanted, const Legs& legs) {
  const Point asked = (wanted - velocity) / legs.response;
  const double speed = velocity.norm(), forward = std::max(0.0, (legs.vmax - speed) / legs.tau);
  if (speed < tolerance::least_speed) {
    const double size = asked.norm();
    return size > forward ? Point(asked * (forward / size)) : asked;
  }
  const Point ahead = velocity / speed;
  const double along = std::clamp(asked.dot(ahead), -legs.a_brake, forward);
  const double across = std::clamp(cross(ahead, asked), -legs.a_lat, legs.a_lat);
  return along * ahead + across * quarter_turn(ahead);
}

}  // namespace shortedge
