#pragma once
/// A play that goes on from frames which are not there, as a board has it (board/still.hpp).

#include <array>
#include <vector>

#include "measure/measure.hpp"
#include "measure/picture.hpp"

namespace shortedge {

/// What those frames have left.
struct Before {
  double first_u = nan;  ///< yd, where the passer was first seen; NaN: not yet
  std::array<double, 2> line_stood{nan,
                                   nan};  ///< yd, left, right: how far out the line's ends stood in the first ok frame
  std::vector<PassedSide> sides;          ///< one a rusher
};
inline Before nothing_before(const Play& play) { return {.sides = std::vector<PassedSide>(play.rushers.size())}; }

/// As measure and picture_of of a whole play.
void measure(const Play& play, const Motion& motion, const Match& match, const Before& before, const Rules& rules,
             Tables& tables);
Picture picture_of(const Play& play, const Motion& motion, const Match& match, const Before& before,
                   const Rules& rules);

}  // namespace shortedge
