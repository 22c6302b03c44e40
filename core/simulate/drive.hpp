#pragma once
/// The one driving law of all men: how fast a man's velocity may follow the velocity he wants.

#include "base/tolerances.hpp"
#include "geometry/lanes.hpp"

namespace shortedge {

/// Of one man, or of the men of several lanes.
template <class Number>
struct LegsOf {
  Number vmax, tau;       ///< yd/s, s: forward acceleration is at most (vmax - v) / tau (geometry/sprint.hpp)
  double a_lat, a_brake;  ///< yd/s^2
  double response;        ///< s
};
using Legs = LegsOf<double>;

/// yd/s^2: (wanted - velocity) / response, its part along the velocity limited to (vmax - v) / tau forward and a_brake
/// backward, its part across to a_lat. Below 0.3 yd/s, where a direction of motion is noise, only its size is limited,
/// to (vmax - v) / tau. So speed times rate of turn is never above a_lat, and a man who wants to run straight at vmax
/// runs as a sprint does.
template <class P, class Number>
SHORTEDGE_INLINED P drive(const P& velocity, const P& wanted, const LegsOf<Number>& legs) {
  const P asked = (wanted - velocity) * (1 / legs.response);
  const Number speed = velocity.norm(), forward = larger(0.0, (legs.vmax - speed) / legs.tau);
  return choose(
      speed < tolerance::least_speed,
      [&] {
        const Number size = asked.norm();
        return choose(size > forward, [&] { return P(asked * (forward / size)); }, [&] { return P(asked); });
      },
      [&] {
        const P ahead = velocity * Number(1 / speed);
        const Number along = bounded(asked.dot(ahead), -legs.a_brake, forward);
        const Number across = bounded(cross(ahead, asked), -legs.a_lat, legs.a_lat);
        return P(along * ahead + across * quarter_turn(ahead));
      });
}
inline Point drive(const Point& velocity, const Point& wanted, const Legs& legs) {
  return drive<Point>(velocity, wanted, legs);
}

}  // namespace shortedge
