#pragma once
/// How much of his corner a blocker still holds. The trade has no definition of a short edge; this is this project's
/// own.

#include "geometry/lanes.hpp"
#include "rush/blocker.hpp"

namespace shortedge {

/// An edge is shown as short only with this exposure or more: before a tackle has set, every wide man's straight line
/// is outside him (this project's own choice).
inline constexpr double shown_exposure = 0.2;
/// yd of short edge from which it is told as short, half of the reach (this project's own choice).
inline constexpr double told_short = 0.5;

/// The rusher is no farther from the passer than the blocker.
template <class P>
SHORTEDGE_INLINED auto is_past(const P& rusher, const P& blocker, const P& passer) {
  return P(passer - rusher).norm() <= P(passer - blocker).norm();
}
inline bool is_past(const Point& rusher, const Point& blocker, const Point& passer) {
  return is_past<Point>(rusher, blocker, passer);
}

/// yd, how far the blocker stands outside the rusher's straight line to the passer; below 0 inside it. 0 when the
/// rusher is on the passer. `side` is the blocker's, -1 left, +1 right. NaN for NaN points.
double outside_by(const Point& rusher, const Point& blocker, const Point& passer, int side);

/// yd, 0 to 2 * reach: reach + outside_by, when the rusher is not past and the blocker is abreast of the line between
/// the two, or outside it. Of a rusher who is past inside not below reach: that corner is not what the blocker lost.
/// Else 0. NaN for a blocker without a side, and for NaN points.
double corner_held(const Point& rusher, const Point& blocker, const Point& passer, const Placed& placed, double reach);
/// By these places alone (placed_now).
double corner_held(const Point& rusher, const Point& blocker, const Point& passer, int side, double reach);

/// yd, 0 to reach: 0 while the straight line passes through the blocker's centre or inside him, rising as it passes
/// outside him, reach when the corner is gone. It tells nothing of the inside.
double short_edge(double corner_held, double reach);

}  // namespace shortedge
