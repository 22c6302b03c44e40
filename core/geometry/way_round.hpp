#pragma once
/// The way round one disc on a given side: a tangent, an arc on the disc, a tangent. Of points, or of points in lanes.

#include "geometry/disc.hpp"
#include "geometry/lanes.hpp"

namespace shortedge {

template <class P>
struct WayRoundOf {
  using Number = NumberOf<P>;
  Number entry;   ///< length of the first tangent, yd; of the whole way when there is no turn
  Number turn;    ///< radians turned on the arc; 0 for the straight line
  Number radius;  ///< yd, of the arc
  Number exit;    ///< length of the last tangent, yd; 0 when there is no turn
  P start;        ///< where the way begins: the start, or the rim at its bearing when it lies inside
  P on, off;      ///< the ends of the arc
  P direction;    ///< unit vector in which it sets out; zero when it has no length

  Number length() const noexcept {
    return choose(turn > 0, [&] { return Number(entry + radius * turn + exit); }, [&] { return entry; });
  }
};
using WayRound = WayRoundOf<Point>;

SHORTEDGE_INLINED WayRoundOf<WidePoint> blend(const WideMask& mask, const WayRoundOf<WidePoint>& yes,
                                              const WayRoundOf<WidePoint>& no) {
  return {blend(mask, yes.entry, no.entry), blend(mask, yes.turn, no.turn),          blend(mask, yes.radius, no.radius),
          blend(mask, yes.exit, no.exit),   blend(mask, yes.start, no.start),        blend(mask, yes.on, no.on),
          blend(mask, yes.off, no.off),     blend(mask, yes.direction, no.direction)};
}

/// From `start` to `goal` round `disc`, turning `way` about its centre. A start inside the disc begins on the rim at
/// its bearing; the goal must not be inside (shrink the disc to it first) and the start not at the centre. Where
/// turning that way would need no arc (the disc is not in the way on that side) it is the straight line. Identity: with
/// start and goal outside, the lesser of both ways' lengths is the taut path among that one disc.
WayRound way_round(const Point& start, const Point& goal, const Disc& disc, Turn way);

/// Both, which share most of the work.
struct BothWays {
  WayRound clockwise, counter_clockwise;
  const WayRound& turning(Turn way) const noexcept { return way < 0 ? clockwise : counter_clockwise; }
};
BothWays both_ways_round(const Point& start, const Point& goal, const Disc& disc);

/// The straight line as a way.
WayRound straight_way(const Point& start, const Point& goal);
template <class P>
SHORTEDGE_INLINED WayRoundOf<P> straight_line(const P& start, const P& goal) {
  using Number = NumberOf<P>;
  const P along = goal - start;
  const Number length = along.norm();
  const P direction = choose(length > 0, [&] { return P(along / length); }, [&] { return origin<P>(); });
  return {length, Number(0.0), Number(0.0), Number(0.0), start, goal, goal, direction};
}

/// What the two ways share. Each tangent makes a right triangle with the radius to where it touches and the line from
/// its end to the centre, so no angle is needed to find where it touches.
template <class P>
struct Around {
  using Number = NumberOf<P>;
  P center, begin, goal;
  Number radius, entry, exit;      // yd; lengths of the tangents
  Number begin_range, goal_range;  // yd, from the centre
  P to_begin, to_goal;             // unit vectors from the centre
  Number sweep;                    // radians, from begin to goal about the centre, counter-clockwise, (-pi, pi]
  Number tangents;                 // radians of it that both tangents take, [0, pi]

  SHORTEDGE_INLINED Around(const P& start, const P& end, const P& middle, const Number& r)
      : center(middle), goal(end), radius(r) {
    const P from_center = start - center, goal_from_center = goal - center;
    const Number start_range = from_center.norm();
    goal_range = goal_from_center.norm();
    begin_range = larger(start_range, radius);
    to_begin = from_center / start_range;
    to_goal = goal_from_center / goal_range;
    begin = choose(start_range < radius, [&] { return P(center + radius * to_begin); }, [&] { return start; });
    entry = root((begin_range - radius) * (begin_range + radius));
    exit = root(larger(Number(0.0), Number((goal_range - radius) * (goal_range + radius))));
    sweep = arc_tangent(Number(cross(from_center, goal_from_center)), Number(from_center.dot(goal_from_center)));
    tangents = arc_tangent(Number(radius * (entry + exit)), Number(radius * radius - entry * exit));
  }

  /// `way` is -1 or 1.
  template <class Sign>
  SHORTEDGE_INLINED WayRoundOf<P> turning(const Sign& way) const {
    const Number signed_sweep = way * sweep;
    const Number turn = blend(signed_sweep < 0, Number(signed_sweep + 2 * pi), signed_sweep) - tangents;
    return choose(
        turn <= 0, [&] { return straight_line<P>(begin, goal); },
        [&] {
          const P on_rim = (radius * to_begin + way * entry * quarter_turn(to_begin)) / begin_range;
          const P off_rim = (radius * to_goal - way * exit * quarter_turn(to_goal)) / goal_range;
          const P along = way * quarter_turn(on_rim);  // the tangent's direction, and the arc's at its beginning
          return WayRoundOf<P>{
              entry, turn, radius, exit, begin, P(center + radius * on_rim), P(center + radius * off_rim), along};
        });
  }
};

}  // namespace shortedge
