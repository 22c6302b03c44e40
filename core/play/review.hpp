#pragma once
/// From input tables to a game that can be measured: the door of the library.

#include "play/play.hpp"

namespace shortedge {

/// What a play's snap frame says about the mapping.
struct SnapLook {
  bool mirrored;        ///< LT right of RT
  bool passer_upfield;  ///< the passer in front of the ball
  bool along;           ///< the line runs along the field: its men are spread farther in depth than across
  double splits;        ///< yd, median distance of neighbouring linemen; NaN with fewer than two
};

SnapLook look_at_snap(const Play& play, const Motion& motion);

enum class Orientation { check, trust };

/// assemble (tracking/game.hpp), then every play's roles: plays without the passer or the linemen they need join
/// the problems. With Orientation::check the input is refused (InputError, with the figures) when in over half of
/// the plays LT stands right of RT, the passer upfield of the ball, the line along the field, or the linemen a
/// median of less than 0.5 or more than 3 yd apart: x, y, direction or units look wrong, and a silent mirror would
/// swap outside and inside. However few the plays are. Plays with fewer than five linemen at the snap, or whose
/// linemen stand elsewhere than listed (play/line.hpp), get a remark. Throws InputError naming the first reasons
/// when no play can be measured.
Game make_game(const GameInput& input, Orientation orientation);

}  // namespace shortedge
