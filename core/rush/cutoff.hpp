#pragma once
/// The cut-off ratio.

#include "geometry/point.hpp"

namespace shortedge {

/// The least speed, as a share of the rusher's, with which the blocker can still meet him on his straight line to the
/// passer. The points both reach together at speed ratio g lie on Apollonius' circle; the least g that touches the line
/// is sin(phi), phi the angle at the rusher between blocker and passer, where the touching point |RB|/cos(phi) is not
/// beyond the passer, else |BQ|/|RQ|. At or above 1 exactly when the rusher is no farther from the passer than the
/// blocker. Rusher on blocker: |BQ|/|RQ|; rusher on passer: infinity. NaN for NaN points. Any length unit.
double cutoff_ratio(const Point& rusher, const Point& blocker, const Point& passer);

/// Where the blocker can still meet him at that speed.
struct CutOff {
  double ratio;        ///< as cutoff_ratio
  double from_rusher;  ///< yd along his straight line: |RB|/cos(phi), or the passer's distance where that is beyond him
};

/// The same from what is known of the rusher: `to_blocker` and `to_passer` from him, and `goal` (> 0), the passer's
/// distance.
CutOff cut_off(const Point& to_blocker, const Point& to_passer, double goal);

}  // namespace shortedge
