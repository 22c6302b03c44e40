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

/// The two ways round one man.
template <class P>
struct WaysAround {
  using Number = NumberOf<P>;
  P rusher, passer;
  MaskOf<Number> straight, none;  // both ways are the straight line; there is none
  Around<P> around;

  /// `open`: nobody is in the way.
  SHORTEDGE_INLINED WaysAround(const P& his, const P& man, const P& goal, const Number& reach,
                               const MaskOf<Number>& open)
      : rusher(his), passer(goal), around(his, goal, man, smaller(reach, P(goal - man).norm())) {
    straight = open | (around.radius <= tolerance::same_point);
    none = P(rusher - man).norm() <= tolerance::same_point;
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
  const Number cap =
      choose(turns, [&] { return speed_on_arc<Number>(way.radius, way.turn, rules); }, [&] { return vmax; });
  const Number start = velocity.dot(way.direction);
  return {{{{entry, vmax}, {arc, cap}, {exit, vmax}}}, blend(unknown(start), none, start)};
}

/// One of the two ways round a man.
struct Timed {
  double time, turn, length;
};

/// Times alike: the shorter counts.
bool is_quicker(const Timed& one, const Timed& other) {
  const bool alike = std::abs(one.time - other.time) <= tolerance::same_way_time;
  return alike ? one.length < other.length : one.time < other.time;
}

/// `own` turns about the man on his own side, `other` on the other; of a man without one on his right and left.
Ways told(const Rush& rush, const Timed& own, const Timed& other) {
  const auto& [side, past, outside] = rush.placed;
  if (!past) {
    if (side == 0) return {nan, nan, std::min(other.time, own.time)};
    return {own.time, degrees(own.turn), other.time};
  }
  const Timed& quicker = is_quicker(other, own) ? other : own;
  if (side == 0) return {nan, nan, quicker.time};
  return outside ? Ways{quicker.time, degrees(quicker.turn), infinity} : Ways{infinity, nan, quicker.time};
}

double radius_of(const Rush& rush, const Rules& rules) { return rush.placed.past ? rules.body : rules.reach; }

Runner runner(const Rules& rules) { return {{rules.vmax, rules.tau}, rules.a_brake}; }

constexpr std::size_t most_rushes = Paths::most / 2;

/// Of `most_rushes` at most.
SHORTEDGE_BY_REGISTERS void some_ways(std::span<const Rush> rushes, const Rules& rules, std::span<Ways> ways) {
  Paths paths;  // the ways on the men's own sides of a lane group, then their others, then those of the next
  alignas(Wide) std::array<double, Paths::most> turns, lengths;
  std::array<bool, most_rushes> none;
  for (std::size_t first = 0; first < rushes.size(); first += lanes) {
    const auto rush = [&](std::size_t lane) -> const Rush& {
      return rushes[std::min(first + lane, rushes.size() - 1)];
    };
    const auto points = [&](auto&& point) {
      return WidePoint{Wide::each([&](std::size_t lane) { return point(rush(lane)).x(); }),
                       Wide::each([&](std::size_t lane) { return point(rush(lane)).y(); })};
    };
    const auto numbers = [&](auto&& number) {
      return Wide::each([&](std::size_t lane) { return number(rush(lane)); });
    };
    const WidePoint rusher = points([](const Rush& one) -> const Point& { return one.rusher; }),
                    velocity = points([](const Rush& one) -> const Point& { return one.velocity; }),
                    passer = points([](const Rush& one) -> const Point& { return one.passer; }),
                    man = points([](const Rush& one) -> const Point& { return one.around ? *one.around : one.passer; });
    const Wide own = numbers([](const Rush& one) { return one.placed.side < 0 ? -1.0 : 1.0; });
    const Wide reach = numbers([&](const Rush& one) { return radius_of(one, rules); });
    const Wide open = numbers([](const Rush& one) { return one.around ? 0.0 : 1.0; });
    const WaysAround<WidePoint> both(rusher, man, passer, reach, open > 0);
    for (const Wide& side : {own, -own}) {
      const WayRoundOf<WidePoint> way = both.turning(side);
      way.turn.store(&turns[paths.count]);
      way.length().store(&lengths[paths.count]);
      for (std::size_t lane = 0; lane < lanes; ++lane) none[first + lane] = std::isinf(way.entry[lane]);
      paths.add(course<WidePoint>(way, velocity, rules));
    }
  }
  least_times(paths, runner(rules));
  for (std::size_t i = 0; i < rushes.size(); ++i) {
    const std::size_t own = i + i / lanes * lanes;
    const auto timed = [&](std::size_t way) {
      return Timed{none[i] ? infinity : paths.time[way], turns[way], lengths[way]};
    };
    ways[i] = told(rushes[i], timed(own), timed(own + lanes));
  }
}

}  // namespace

double arc_speed(double radius, double turn, const Rules& rules) { return speed_on_arc<double>(radius, turn, rules); }

WayRound way_past(const Point& rusher, const Point& blocker, const Point& passer, int side, double reach) {
  const bool past = is_past(rusher, blocker, passer);
  if (past && outside_by(rusher, blocker, passer, side) > 0) {
    return {infinity, nan, 0, 0, rusher, rusher, rusher, origin<Point>()};
  }
  return WaysAround<Point>(rusher, blocker, passer, reach, past).turning(side);
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

Rush rush_of(const Rushing& rusher, const Blocking& blocking, const Point& passer) {
  const std::optional<Standing>& man = blocking.placed.past ? blocking.between : blocking.blocker;
  return {rusher.at, rusher.velocity, passer, blocking.placed, man ? std::optional(man->at) : std::nullopt};
}

Ways ways_round(const Rush& rush, const Rules& rules) {
  const WaysAround<Point> both(rush.rusher, rush.around.value_or(rush.passer), rush.passer, radius_of(rush, rules),
                               !rush.around);
  const int side = rush.placed.side < 0 ? -1 : 1;
  const auto timed = [&](int way) {
    const WayRound round = both.turning(way);
    return Timed{time_of(round, rush.velocity, rules), round.turn, round.length()};
  };
  return told(rush, timed(side), timed(-side));
}

DrawnWays drawn_ways(const Rush& rush, const Rules& rules) {
  const WaysAround<Point> both(rush.rusher, rush.around.value_or(rush.passer), rush.passer, radius_of(rush, rules),
                               !rush.around);
  const auto drawn = [&](int turn) -> std::optional<DrawnWay> {
    const WayRound way = both.turning(turn);
    if (std::isinf(way.entry)) return {};
    return DrawnWay{way, rush.around.value_or(rush.passer), turn};
  };
  const int side = rush.placed.side < 0 ? -1 : 1;
  const std::optional<DrawnWay> own = drawn(side), other = drawn(-side);
  if (rush.placed.side != 0 && !rush.placed.past) return {own, other};
  if (!own) return {};
  const auto timed = [&](const DrawnWay& way) {
    return Timed{time_of(way.way, rush.velocity, rules), way.way.turn, way.way.length()};
  };
  const std::optional<DrawnWay>& quicker = is_quicker(timed(*other), timed(*own)) ? other : own;
  return rush.placed.outside ? DrawnWays{quicker, {}} : DrawnWays{{}, quicker};
}

void ways_round(std::span<const Rush> rushes, const Rules& rules, std::span<Ways> ways) {
  for (std::size_t first = 0; first < rushes.size(); first += most_rushes) {
    const std::size_t count = std::min(most_rushes, rushes.size() - first);
    some_ways(rushes.subspan(first, count), rules, ways.subspan(first, count));
  }
}

}  // namespace shortedge
