#pragma once
/// The two ways round the man who has a rusher, as if he alone were there, and the least time of each.
///
/// Side +1 passes on the man's right (turning counter-clockwise about him in u, v), -1 on his left; the outside way is
/// the one on his own side. The rusher runs as geometry/sprint.hpp says; on the arc at most sqrt(a_lat * rho), rho = r
/// + bow / (sec(turn / 2) - 1) for a turn below 180 degrees, else r: a little wide of the tight line a grazing turn
/// costs nothing. The last `arm` yards need not be run. Past him, or free, the way on the side the rusher is on is the
/// straight line, or with a man between the quicker of the two ways round that man; the other way is gone. It says how
/// soon he could be at the passer if all stood still, not what he will do.

#include <optional>
#include <span>

#include "base/rules.hpp"
#include "geometry/way_round.hpp"
#include "rush/blocker.hpp"

namespace shortedge {

/// The way round `blocker` on `side` by these places alone. Past him (rush/corner.hpp) it is the straight line when he
/// does not stand outside it on that side, else gone; with the passer on the blocker the straight line; on the blocker
/// and not past there is none. Gone and none: a way of infinite entry, turn NaN.
WayRound way_past(const Point& rusher, const Point& blocker, const Point& passer, int side, double reach);

/// yd/s, the most a man can hold on an arc of `radius` (yd) that turns by `turn` (radians, > 0); his top speed is
/// another bound.
double arc_speed(double radius, double turn, const Rules& rules);

/// s, the least time of a way less its last `arm` yards, setting out with the part of `velocity` (yd/s; unknown counts
/// as rest) along its first piece. 0 when nothing is left to run, infinite for no way.
double time_of(const WayRound& way, const Point& velocity, const Rules& rules);

/// 1 - time / horizon, not below 0.
double exposure(double time, const Rules& rules);

/// s, the time of way_past on the blocker's own side; `side` is -1 or +1.
double outside_time(const Point& rusher, const Point& velocity, const Point& blocker, const Point& passer, int side,
                    const Rules& rules);

struct Ways {
  double outside_time = nan, outside_bend = nan;  ///< s, infinite when gone; degrees, NaN when gone. NaN without a side
  double inside_time = nan;                       ///< s, infinite when gone
};

/// A rusher, and whom he has to get round.
struct Rush {
  Point rusher, velocity, passer;
  Placed placed;                ///< to the man who has him; of a free rusher his own side, past
  std::optional<Point> around;  ///< that man; of one who is past or free the man between, if any
};
/// A rusher as the match has him; one whose man is absent has no ways.
inline bool has_ways(const Blocking& blocking) { return blocking.free || blocking.blocker; }
Rush rush_of(const Rushing& rusher, const Blocking& blocking, const Point& passer);

/// Of a man without a side both ways are inside ways, the quicker counts; past one he is inside.
Ways ways_round(const Rush& rush, const Rules& rules);

/// The ways themselves, for pictures: the outside and the inside one, of a man without a side both on the inside (the
/// quicker). Nothing where a way is gone.
struct DrawnWay {
  WayRound way;
  Point around;  ///< the centre of its arc, where it has one
  Turn turn;     ///< which way the arc goes round it
};
struct DrawnWays {
  std::optional<DrawnWay> outside, inside;
};
DrawnWays drawn_ways(const Rush& rush, const Rules& rules);

/// The same of many, several at a time; each one's are the same bits as alone. `ways` is as long as `rushes`.
void ways_round(std::span<const Rush> rushes, const Rules& rules, std::span<Ways> ways);

}  // namespace shortedge
