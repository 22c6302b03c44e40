#pragma once
/// The least time along a path of pieces with speed caps, for a man who accelerates as geometry/sprint.hpp says and
/// brakes at a constant rate. A backward pass gives the greatest speed at each joint from which the later caps can
/// still be kept; forward each piece is run as fast as it allows: accelerate, hold the cap, brake to the joint. This is
/// the least time because any feasible speed stays below both curves at every point (the greatest feasible profile is
/// the supremum of all: Consolini et al. on speed planning). A grid solution was not used: its error is the step's.

#include <span>

#include "geometry/sprint.hpp"

namespace shortedge {

struct Piece {
  double length;  ///< yd, >= 0; a piece of length 0 has no say
  double cap;     ///< yd/s, > 0; the sprint's vmax holds besides
};

struct Runner {
  Sprint sprint;
  double a_brake;  ///< yd/s^2, > 0
};

struct Run {
  double time;       ///< s
  double end_speed;  ///< yd/s
};

/// `start` is the speed at the beginning, yd/s; below 0 it counts as 0, above what the path allows as that.
/// At most 8 pieces. An empty path takes 0 s.
Run least_time(std::span<const Piece> pieces, double start, const Runner& runner);

}  // namespace shortedge
