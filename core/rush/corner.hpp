#pragma once
/// How much of his corner a blocker still holds. The trade has no definition of a short edge; this is this project's own.

#include "geometry/point.hpp"

namespace shortedge {

/// The rusher is no farther from the passer than the blocker: nobody is between.
inline bool is_past(const Point& rusher, const Point& blocker, const Point& passer) {
  return distance(rusher, passer) <= distance(blocker, passer);
}

/// yd, 0 to 2 * reach: reach, and how far the blocker stands outside the rusher's straight line to the passer. 0 when he
/// is past, or when the blocker is inside the line and not abreast of it between the two. `side` is the blocker's: -1
/// left, +1 right; 0 (none) gives NaN unless the rusher is past. NaN for NaN points.
double corner_held(const Point& rusher, const Point& blocker, const Point& passer, int side, double reach);

/// yd, 0 to reach: 0 while the straight line passes through the blocker's centre or inside him, rising as it passes
/// outside him, reach when the corner is gone. It tells nothing of the inside.
double short_edge(double corner_held, double reach);

}  // namespace shortedge
