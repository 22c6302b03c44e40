#include "rush/ways.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/tolerances.hpp"
#include "geometry/speed_profile.hpp"
#include "rush/corner.hpp"

namespace shortedge {

namespace {

// Each rule once, for numbers and for lanes (geometry/lanes.hpp).

template <class Number>
SHORTEDGE_INLINED Number speed_on_arc(const Number& radius, const Number& turn, const Rules& rules) {
  constexpr double no_turn = 1e-300;  // so that a bow of 0 adds nothing to an arc whose secant is 1
  const Number wider = choose(
      turn < pi, [&] { return Number(radius + rules.bow / larger(Number(1 / cosine(turn / 2) - 1), Number(no_turn))); },
      [&] { return radius; });
  return root(rules.a_lat * wider);
}

/// The ways round one blocker.
template <class P>
struct WaysPast {
  using Number = NumberOf<P>;
  P rusher, passer;
  MaskOf<Number> straight, none;  // both ways are the straight line; there is none
  Around<P> around;

  SHORTEDGE_INLINED WaysPast(const P& his, const P& blocker, const P& goal, double reach)
      : rusher(his), passer(goal), around(his, goal, blocker, smaller(Number(reach), P(goal - blocker).norm())) {
    straight = is_past(rusher, blocker, passer) | (around.radius <= tolerance::same_point);
    none = P(rusher - blocker).norm() <= tolerance::same_point;
  }

  template <class Sign>
  SHORTEDGE_INLINED WayRoundOf<P> turning(const Sign& side) const {
    return choose(
        straight, [&] { return straight_line<P>(rusher, passer); },
        [&] {
          return choose(
              none,
              [&] {
                return WayRoundOf<P>{infinity, nan, Number(0.0), Number(0.0), rusher, rusher, rusher, origin<P>()};
              },
              [&] { return around.turning(side); });
        });
  }
};

/// What of a way must be run.
template <class P>
SHORTEDGE_INLINED PathOf<NumberOf<P>> course(const WayRoundOf<P>& way, const P& velocity, const Rules& rules) {
  using Number = NumberOf<P>;
  const MaskOf<Number> turns = way.turn > 0;
  Number arm = rules.arm;
  const auto cut = [&](const Number& length) {
    const Number left = larger(Number(0.0), Number(length - arm));
    arm = arm - (length - left);
    return left;
  };
  const Number none = 0.0, vmax = rules.vmax;
  const Number exit = cut(way.exit), arc = cut(blend(turns, Number(way.radius * way.turn), none)),
               entry = cut(way.entry);
  const Number cap = choose(
      turns, [&] { return speed_on_arc<Number>(way.radius, way.turn, rules); }, [&] { return vmax; });
  const Number start = velocity.dot(way.direction);
  return {{{{entry, vmax}, {arc, cap}, {exit, vmax}}}, blend(unknown(start), none, start)};
}

Ways told(int side, double outside, double turn, double inside) {
  if (side == 0) return {nan, nan, std::min(inside, outside)};
  return {outside, degrees(turn), inside};
}

Runner runner(const Rules& rules) { return {{rules.vmax, rules.tau}, rules.a_brake}; }

constexpr std::size_t most_rushes = Paths::most / 2;

/// Of `most_rushes` at most.
SHORTEDGE_BY_REGISTERS void some_ways(std::span<const Rush> rushes, const Rules& rules, std::span<Ways> ways) {
  Paths paths;  // the outside ways of a lane group, then its inside ways, then those of the next
  alignas(Wide) std::array<double, most_rushes> turns;
  std::array<bool, most_rushes> none;
  for (std::size_t first = 0; first < rushes.size(); first += lanes) {
    const auto rush = [&](std::size_t lane) -> const Rush& {
      return rushes[std::min(first + lane, rushes.size() - 1)];
    };
    const auto points = [&](Point Rush::*which) {
      return WidePoint{Wide::each([&](std::size_t lane) { return (rush(lane).*which).x(); }),
                       Wide::each([&](std::size_t lane) { return (rush(lane).*which).y(); })};
    };
    const WidePoint velocity = points(&Rush::velocity);
    const Wide outside = Wide::each([&](std::size_t lane) { return rush(lane).side < 0 ? -1.0 : 1.0; });
    const WaysPast<WidePoint> past(points(&Rush::rusher), points(&Rush::blocker), points(&Rush::passer), rules.reach);
    for (const Wide& side : {outside, -outside}) {
      const WayRoundOf<WidePoint> way = past.turning(side);
      if (paths.count == 2 * first) way.turn.store(&turns[first]);
      for (std::size_t lane = 0; lane < lanes; ++lane) none[first + lane] = std::isinf(way.entry[lane]);
      paths.add(course<WidePoint>(way, velocity, rules));
    }
  }
  least_times(paths, runner(rules));
  for (std::size_t i = 0; i < rushes.size(); ++i) {
    const std::size_t outside = i + i / lanes * lanes;
    const auto time = [&](std::size_t way) { return none[i] ? infinity : paths.time[way]; };
    ways[i] = told(rushes[i].side, time(outside), turns[i], time(outside + lanes));
  }
}

}  // namespace

double arc_speed(double radius, double turn, const Rules& rules) { return speed_on_arc<double>(radius, turn, rules); }

WayRound way_past(const Point& rusher, const Point& blocker, const Point& passer, int side, double reach) {
  return WaysPast<Point>(rusher, blocker, passer, reach).turning(side);
}

double time_of(const WayRound& way, const Point& velocity, const Rules& rules) {
  if (std::isinf(way.entry)) return infinity;
  const PathOf<double> path = course<Point>(way, velocity, rules);
  return least_time(path.pieces, path.start, runner(rules)).time;
}

double exposure(double time, const Rules& rules) {
  return std::isnan(time) ? nan : std::max(0.0, 1 - time / rules.horizon);
}

double outside_time(const Point& rusher, const Point& velocity, const Point& blocker, const Point& passer, int side,
                    const Rules& rules) {
  return time_of(way_past(rusher, blocker, passer, side, rules.reach), velocity, rules);
}

Ways ways_round(const Point& rusher, const Point& velocity, const Point& blocker, const Point& passer, int side,
                const Rules& rules) {
  const WaysPast<Point> past(rusher, blocker, passer, rules.reach);
  const WayRound outside = past.turning(side < 0 ? -1 : 1), inside = past.turning(side < 0 ? 1 : -1);
  return told(side, time_of(outside, velocity, rules), outside.turn, time_of(inside, velocity, rules));
}

void ways_round(std::span<const Rush> rushes, const Rules& rules, std::span<Ways> ways) {
  for (std::size_t first = 0; first < rushes.size(); first += most_rushes) {
    const std::size_t count = std::min(most_rushes, rushes.size() - first);
    some_ways(rushes.subspan(first, count), rules, ways.subspan(first, count));
  }
}

}  // namespace shortedge
