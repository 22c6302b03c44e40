#pragma once
/// The cut-off ratio.

#include "geometry/lanes.hpp"

namespace shortedge {

/// The least speed, as a share of the rusher's, with which the blocker can still meet him on his straight line to the
/// passer. The points both reach together at speed ratio g lie on Apollonius' circle; the least g that touches the line
/// is sin(phi), phi the angle at the rusher between blocker and passer, where the touching point |RB|/cos(phi) is not
/// beyond the passer, else |BQ|/|RQ|. At or above 1 exactly when the rusher is no farther from the passer than the
/// blocker. Rusher on blocker: |BQ|/|RQ|; rusher on passer: infinity. NaN for NaN points. Any length unit.
double cutoff_ratio(const Point& rusher, const Point& blocker, const Point& passer);

/// Where the blocker can still meet him at that speed.
template <class Number>
struct CutOffOf {
  Number ratio;        ///< as cutoff_ratio
  Number from_rusher;  ///< yd along his straight line: |RB|/cos(phi), or the passer's distance where that is beyond him
};
using CutOff = CutOffOf<double>;

SHORTEDGE_INLINED CutOffOf<Wide> blend(const WideMask& mask, const CutOffOf<Wide>& yes, const CutOffOf<Wide>& no) {
  return {blend(mask, yes.ratio, no.ratio), blend(mask, yes.from_rusher, no.from_rusher)};
}

/// The same from what is known of the rusher: `to_blocker` and `to_passer` from him, and `goal` (> 0), the passer's
/// distance. Of points, or of points in lanes.
template <class P, class Number>
SHORTEDGE_INLINED CutOffOf<Number> cut_off(const P& to_blocker, const P& to_passer, const Number& goal) {
  const Number along = to_blocker.dot(to_passer), range2 = to_blocker.squaredNorm();  // along = |RB| goal cos(phi)
  // |RB| / cos(phi) <= |RQ|, without dividing by a cosine that may be 0.
  return choose((range2 > 0) & (along > 0) & (range2 <= along),
                [&] {
                  return CutOffOf<Number>{size_of(cross(to_blocker, to_passer)) / (root(range2) * goal),
                                          range2 * goal / along};
                },
                [&] { return CutOffOf<Number>{P(to_passer - to_blocker).norm() / goal, goal}; });
}

}  // namespace shortedge
