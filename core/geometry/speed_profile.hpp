#pragma once
/// The least time along a path of pieces with speed caps, for a man who accelerates as geometry/sprint.hpp says and
/// brakes at a constant rate. A backward pass gives the greatest speed at each joint from which the later caps can
/// still be kept; forward each piece is run as fast as it allows: accelerate, hold the cap, brake to the joint. This is
/// the least time because any feasible speed stays below both curves at every point (the greatest feasible profile is
/// the supremum of all: Consolini et al. on speed planning). A grid solution was not used: its error is the step's.
/// Of one man, or of the men of several lanes.

#include <array>
#include <span>

#include "geometry/sprint.hpp"

namespace shortedge {

template <class Number>
struct PieceOf {
  Number length;  ///< yd, >= 0; a piece of length 0 has no say
  Number cap;     ///< yd/s, > 0; the sprint's vmax holds besides
};
using Piece = PieceOf<double>;

struct Runner {
  Sprint sprint;
  double a_brake;  ///< yd/s^2, > 0
};

template <class Number>
struct RunOf {
  Number time;       ///< s
  Number end_speed;  ///< yd/s
};
using Run = RunOf<double>;

/// `start` is the speed at the beginning, yd/s; below 0 it counts as 0, above what the path allows as that.
/// At most 8 pieces. An empty path takes 0 s.
Run least_time(std::span<const Piece> pieces, double start, const Runner& runner);

/// A path of three pieces and the speed at its beginning.
template <class Number>
struct PathOf {
  std::array<PieceOf<Number>, 3> pieces;
  Number start;
};

/// Many such paths.
struct Paths {
  static constexpr std::size_t pieces = 3, most = 64;
  using Column = std::array<double, most>;
  alignas(Wide) std::array<Column, pieces> length, cap;  // of each piece
  alignas(Wide) Column speed;                            // yd/s, at the beginning; after least_times at the end
  alignas(Wide) Column time;                             // s, by least_times
  std::size_t count = 0;

  SHORTEDGE_INLINED void add(const PathOf<Wide>& path) {
    for (std::size_t piece = 0; piece < pieces; ++piece) {
      path.pieces[piece].length.store(&length[piece][count]);
      path.pieces[piece].cap.store(&cap[piece][count]);
    }
    path.start.store(&speed[count]);
    count += lanes;
  }
};

/// least_time of each path, to the same bits as alone.
void least_times(Paths& paths, const Runner& runner);

}  // namespace shortedge
