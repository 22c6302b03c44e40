#pragma once
/// The two ways round a blocker, as if he alone were there, and the least time of each.
///
/// Side +1 passes on the blocker's right (turning counter-clockwise about him in u, v), -1 on his left; the outside way
/// is the one on the blocker's own side. The man runs as geometry/sprint.hpp says; on the arc at most
/// sqrt(a_lat * rho), rho = r + bow / (sec(turn / 2) - 1) for a turn below 180 degrees, else r: a little wide of the
/// tight line a grazing turn costs nothing. The last `arm` yards need not be run.
/// It says how soon he could be at the passer if all stood still, not what he will do.

#include <span>

#include "base/rules.hpp"
#include "geometry/way_round.hpp"

namespace shortedge {

/// The way round `blocker` on `side`. Past (rush/corner.hpp), or with the passer on the blocker, it is the straight
/// line; on the blocker and not past there is none: a way of infinite entry, turn NaN.
WayRound way_past(const Point& rusher, const Point& blocker, const Point& passer, int side, double reach);

/// yd/s, the most a man can hold on an arc of `radius` (yd) that turns by `turn` (radians, > 0); his top speed is
/// another bound.
double arc_speed(double radius, double turn, const Rules& rules);

/// s, the least time of a way less its last `arm` yards, setting out with the part of `velocity` (yd/s; unknown counts
/// as rest) along its first piece. 0 when nothing is left to run, infinite for no way.
double time_of(const WayRound& way, const Point& velocity, const Rules& rules);

/// 1 - time / horizon, not below 0.
double exposure(double time, const Rules& rules);

struct Ways {
  double outside_time = nan, outside_bend = nan;  ///< s; degrees. NaN for a blocker with no side
  double inside_time = nan;                       ///< s
};

/// s, of the outside way alone; `side` is -1 or +1.
double outside_time(const Point& rusher, const Point& velocity, const Point& blocker, const Point& passer, int side,
                    const Rules& rules);

/// Both ways. Past: both are the straight line. A blocker with no side (side 0) has two inside ways, the quicker
/// counts.
Ways ways_round(const Point& rusher, const Point& velocity, const Point& blocker, const Point& passer, int side,
                const Rules& rules);

/// The same of many men, several at a time; each man's are the same bits as alone. `ways` is as long as `rushes`.
struct Rush {
  Point rusher, velocity, blocker, passer;
  int side;
};
void ways_round(std::span<const Rush> rushes, const Rules& rules, std::span<Ways> ways);

}  // namespace shortedge
