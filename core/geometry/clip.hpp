#pragma once
/// Cutting a ring by half-planes: the algorithm of Sutherland and Hodgman (Reentrant polygon clipping, CACM 17, 1974)
/// for one edge at a time. A general overlay is not used: Boost 1.81's union was grossly wrong on one valid convex pair
/// in 400,000, and a half-plane needs no more than this.

#include "geometry/point.hpp"

namespace shortedge {

/// All points p with (p - on) . outward <= 0.
struct HalfPlane {
  Point on;
  Point outward;  ///< any length
};

/// The half-plane of points nearer to `a` than to `b`, or as near. `a` and `b` must differ.
HalfPlane nearer_to(const Point& a, const Point& b);

/// Cuts `ring` to the half-plane in place; `spare` is scratch. For a ring that is star-shaped about a point inside the
/// half-plane the result is simple and star-shaped about it too; for another ring parts may be joined by edges along
/// the cut, and the area is right all the same. Empty when nothing is left.
void clip(Ring& ring, const HalfPlane& half_plane, Ring& spare);

}  // namespace shortedge
