#include "geometry/way_round.hpp"

namespace shortedge {

WayRound straight_way(const Point& start, const Point& goal) { return straight_line<Point>(start, goal); }

WayRound way_round(const Point& start, const Point& goal, const Disc& disc, Turn way) {
  return Around<Point>(start, goal, disc.center, disc.radius).turning(way);
}

BothWays both_ways_round(const Point& start, const Point& goal, const Disc& disc) {
  const Around<Point> around(start, goal, disc.center, disc.radius);
  return {around.turning(-1), around.turning(1)};
}

}  // namespace shortedge
