#pragma once
/// Points and rings of the plane, registered with Boost.Geometry so that any of its algorithms takes them.
/// In the play frame x() is u, yards to the offence's right of the ball, and y() is v, yards behind the line of
/// scrimmage; counter-clockwise means by increasing atan2(v, u).

#include <Eigen/Core>
#include <boost/geometry/core/access.hpp>
#include <boost/geometry/core/closure.hpp>
#include <boost/geometry/core/coordinate_dimension.hpp>
#include <boost/geometry/core/coordinate_system.hpp>
#include <boost/geometry/core/coordinate_type.hpp>
#include <boost/geometry/core/cs.hpp>
#include <boost/geometry/core/point_order.hpp>
#include <boost/geometry/core/tags.hpp>
#include <cmath>
#include <limits>
#include <vector>

#include "base/units.hpp"

namespace shortedge {

using Point = Eigen::Vector2d;

/// An open counter-clockwise ring: the last corner is not repeated.
struct Ring : std::vector<Point> {
  using std::vector<Point>::vector;
};

inline constexpr double nan = std::numeric_limits<double>::quiet_NaN();
inline constexpr double infinity = std::numeric_limits<double>::infinity();

/// a_u b_v - a_v b_u: positive when b lies counter-clockwise of a.
inline double cross(const Point& a, const Point& b) noexcept { return a.x() * b.y() - a.y() * b.x(); }

inline double distance(const Point& a, const Point& b) noexcept { return (b - a).norm(); }

/// distance(a, b) <= limit, without a root for points that are far apart.
inline bool within(const Point& a, const Point& b, double limit) noexcept {
  const double distance2 = (b - a).squaredNorm();
  return distance2 <= 2 * limit * limit && std::sqrt(distance2) <= limit;
}

/// `a` turned a quarter counter-clockwise.
inline Point quarter_turn(const Point& a) noexcept { return {-a.y(), a.x()}; }

/// An absent man's point is NaN.
inline bool present(const Point& a) noexcept { return !std::isnan(a.x()); }
inline Point absent() noexcept { return {nan, nan}; }

/// Degrees, (-180, 180]: 0 straight upfield (-v), positive to the right; 0 when the points coincide.
inline double bearing(const Point& from, const Point& to) noexcept {
  const double u = to.x() - from.x(), upfield = from.y() - to.y();
  if (u == 0) return upfield < 0 ? 180.0 : 0.0;  // atan2 would tell -0 from 0
  return degrees(std::atan2(u, upfield));
}

/// Rises with bearing(from, to), from -2 to 2, without an arc tangent: 1 is 90 degrees, 1.5 is 135, and directions are
/// 180 degrees apart or more where their ranks differ by 2 or more, but for rounding. 0 when the points coincide.
inline double bearing_rank(const Point& from, const Point& to) noexcept {
  const double u = to.x() - from.x(), upfield = from.y() - to.y();
  if (u == 0) return upfield < 0 ? 2.0 : 0.0;
  const double across = u / (std::abs(u) + std::abs(upfield));
  return upfield >= 0 ? across : std::copysign(2.0, u) - across;
}

}  // namespace shortedge

namespace boost::geometry::traits {
template <>
struct tag<shortedge::Point> {
  using type = point_tag;
};
template <>
struct coordinate_type<shortedge::Point> {
  using type = double;
};
template <>
struct coordinate_system<shortedge::Point> {
  using type = cs::cartesian;
};
template <>
struct dimension<shortedge::Point> : std::integral_constant<std::size_t, 2> {};
template <std::size_t axis>
struct access<shortedge::Point, axis> {
  static double get(const shortedge::Point& point) { return point[axis]; }
  static void set(shortedge::Point& point, double value) { point[axis] = value; }
};
template <>
struct tag<shortedge::Ring> {
  using type = ring_tag;
};
template <>
struct closure<shortedge::Ring> {
  static constexpr closure_selector value = open;
};
template <>
struct point_order<shortedge::Ring> {
  static constexpr order_selector value = counterclockwise;
};
}  // namespace boost::geometry::traits
