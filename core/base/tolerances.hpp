#pragma once
/// Every tolerance of the library, with its unit, its reason and what breaks without it.

namespace shortedge::tolerance {

/// s. Two times closer than this are equal: clocks come as decimal seconds, and 0.1 * 3 is not 0.3.
/// Without it a frame at the snap, or a gap of exactly half a second, is kept or lost by rounding.
inline constexpr double time = 1e-6;

/// s. Samples this close to a frame's first sample belong to that frame: systems stamp the men of one frame a few
/// milliseconds apart. Without it one frame of 22 men becomes 22 frames of one man.
inline constexpr double same_frame = 5e-3;

/// s. The longest gap that is filled by a straight line, and that a velocity is fitted across. A man can turn round
/// in half a second; beyond that a line between two samples is invention.
inline constexpr double longest_gap = 0.5;

/// samples. When the velocity window is counted, a ratio this close below a tie is the tie (0.5 s / 0.05 s).
inline constexpr double window_tie = 1e-9;

/// yd. Points closer than this coincide: the direction between them is rounding noise.
inline constexpr double same_point = 1e-9;

/// degrees. Men at bearings this close stand at one bearing; only the nearer one can be a corner of the pocket.
inline constexpr double same_bearing = 1e-9;

/// Ranks of bearings (geometry/point.hpp) closer than this differ by rounding. Without it men exactly opposite, or one
/// at exactly 135 degrees, are so or not by the last bit of their places.
inline constexpr double same_rank = 1e-12;

/// Ranks farther apart than this belong to bearings farther apart than same_bearing; of closer ones the bearings
/// decide.
inline constexpr double ranks_apart = 1e-10;

/// yd. A string may dip this deep into a disc and still clear it: tangent points are rounded, and a tangent that
/// touches its own disc must not be cut by it.
inline constexpr double clearance = 1e-9;

/// yd. Smaller discs do not count: a rusher on top of a man shrinks that man's disc to nothing.
inline constexpr double least_disc = 1e-6;

/// yd. A straight line that dips no deeper than this into a man's disc clears it: whether he is beaten, and who stands
/// between, must not depend on rounding where a line touches a disc.
inline constexpr double line_slack = 1e-6;

/// s. Times round the two sides of a man this close are equal, and the shorter way counts.
inline constexpr double same_way_time = 1e-9;

/// A ratio this close to a wanted one is that: the depth at which it is reached is a root, and roots are rounded.
/// Without it the break-even depth is found or missed by rounding.
inline constexpr double same_ratio = 1e-9;

/// radians. An arc this close to a full turn is an arc of nothing whose ends were rounded apart.
inline constexpr double full_turn = 1e-9;

/// yd/s. Below this speed a direction of motion is noise: men locked together make it of position error.
inline constexpr double least_speed = 0.3;

/// yd. A position this far off the field is an error of units or of the system, not a player.
inline constexpr double off_field = 30.0;

}  // namespace shortedge::tolerance
