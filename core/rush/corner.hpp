#pragma once
/// How much of his corner a blocker still holds. The trade has no definition of a short edge; this is this project's
/// own.

#include "geometry/lanes.hpp"

namespace shortedge {

/// The rusher is no farther from the passer than the blocker: nobody is between.
template <class P>
SHORTEDGE_INLINED auto is_past(const P& rusher, const P& blocker, const P& passer) {
  return P(passer - rusher).norm() <= P(passer - blocker).norm();
}
inline bool is_past(const Point& rusher, const Point& blocker, const Point& passer) {
  return is_past<Point>(rusher, blocker, passer);
}

/// yd, 0 to 2 * reach: reach, and how far the blocker stands outside the rusher's straight line to the passer. 0 when
/// he is past, or when the blocker is inside the line and not abreast of it between the two. `side` is the blocker's:
/// -1 left, +1 right; 0 (none) gives NaN unless the rusher is past. NaN for NaN points.
double corner_held(const Point& rusher, const Point& blocker, const Point& passer, int side, double reach);

/// yd, 0 to reach: 0 while the straight line passes through the blocker's centre or inside him, rising as it passes
/// outside him, reach when the corner is gone. It tells nothing of the inside.
double short_edge(double corner_held, double reach);

}  // namespace shortedge
