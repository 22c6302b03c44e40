#include "rush/closest.hpp"

#include "base/tolerances.hpp"

namespace shortedge {

Closest closest_approach(const Point& apart, const Point& velocity) {
  const double speed = velocity.norm();
  if (!(speed >= tolerance::least_speed)) return {nan, nan};
  const double in = -apart.dot(velocity) / velocity.squaredNorm();
  if (in <= 0) return {apart.norm(), 0};
  return {std::abs(cross(apart, velocity)) / speed, in};
}

}  // namespace shortedge
