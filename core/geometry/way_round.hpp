#pragma once
/// The way round one disc on a given side: a tangent, an arc on the disc, a tangent.

#include "geometry/disc.hpp"

namespace shortedge {

struct WayRound {
  double entry;       ///< length of the first tangent, yd; of the whole way when there is no turn
  double turn;        ///< radians turned on the arc; 0 for the straight line
  double radius;      ///< yd, of the arc
  double exit;        ///< length of the last tangent, yd; 0 when there is no turn
  Point start;        ///< where the way begins: the start, or the rim at its bearing when it lies inside
  Point on, off;      ///< the ends of the arc
  Point direction;    ///< unit vector in which it sets out; zero when it has no length

  double length() const noexcept { return turn > 0 ? entry + radius * turn + exit : entry; }
};

/// From `start` to `goal` round `disc`, turning `way` about its centre. A start inside the disc begins on the rim at
/// its bearing; the goal must not be inside (shrink the disc to it first) and the start not at the centre. Where turning
/// that way would need no arc (the disc is not in the way on that side) it is the straight line.
/// Identity: with start and goal outside, the lesser of both ways' lengths is the taut path among that one disc.
WayRound way_round(const Point& start, const Point& goal, const Disc& disc, Turn way);

/// Both, which share most of the work.
struct BothWays {
  WayRound clockwise, counter_clockwise;
  const WayRound& turning(Turn way) const noexcept { return way < 0 ? clockwise : counter_clockwise; }
};
BothWays both_ways_round(const Point& start, const Point& goal, const Disc& disc);

/// The straight line as a way.
WayRound straight_way(const Point& start, const Point& goal);

}  // namespace shortedge
