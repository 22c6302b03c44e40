#pragma once
/// How deep the passer may go before a blocker loses the angle: the break-even depth of one still frame.

#include "geometry/point.hpp"

namespace shortedge {

/// yd behind the line of scrimmage: the least depth d, from the passer's own on straight back from him, at which the
/// cut-off ratio (rush/cutoff.hpp) of rusher, blocker and (u of the passer, d) reaches `speed_ratio`, the blocker's
/// speed as a share of the rusher's. +inf when it never does; NaN when the ratio is that or more already, for NaN
/// points, and for a speed ratio that is NaN or not above 0. Points in yd, in the play frame.
///
/// Closed form. Going back along u = u_Q the ratio is continuous, so it first reaches k where it equals k, and there
/// either
/// - the rusher's line to the passer makes the angle asin(k) with his line to the blocker (k < 1): two lines, each
///   meeting the passer's line once at most; or
/// - |PQ| = k |RQ|: the passer's line against Apollonius' circle of blocker and rusher (a line for k = 1), two points
/// at
///   most.
/// The least of these at or behind the passer at which the ratio is k is the answer. The ratio is not monotone in depth
/// (a passer who goes past the rusher may win the angle back for his blocker), so a bisection is only sure inside a
/// narrow bracket.
///
/// Identities: (1) the ratio at the answer is speed_ratio; (2) mirrored in u, and moved across, it is the same; (3)
/// moved along v by c, it is c more; (4) scaled about the origin by s, it is s times as much. It takes the men where
/// they stand and tells nothing of how they move: only an ordering of alignments and men.
double break_even_depth(const Point& rusher, const Point& blocker, const Point& passer, double speed_ratio);

}  // namespace shortedge
