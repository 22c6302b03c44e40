#pragma once
/// The lane a rusher is in: where his straight line to the passer enters the pocket.

#include "pocket/pocket.hpp"

namespace shortedge {

struct LaneAt {
  Lane lane = Lane::none;
  Side side = Side::none;
};

/// In the ring or on it: in, by the sign of his bearing. Between two men of the wall: the gap's letter counts the
/// linemen from the centre (not counted) out to the inner of the two: A, B, C, more are D; the side is the outer one's.
/// Between a man and a corner behind: the letter of the wall's last man on that side. Across bearing 180: rear. From
/// under centre it means little before the passer is 3 yd deep. Of an enclosing pocket only.
LaneAt find_lane(const Pocket& pocket, const Wall& wall, const Point& passer, const Point& rusher);

}  // namespace shortedge
