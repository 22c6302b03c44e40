#include "geometry/taut_path.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <utility>

#include "base/tolerances.hpp"
#include "geometry/way_round.hpp"

namespace shortedge {

namespace {

constexpr std::size_t start_body = 0, goal_body = 1, first_disc = 2;
constexpr std::size_t no_body = static_cast<std::size_t>(-1);

constexpr std::size_t most_side_by_side = 12;  // discs of strings that are tried side by side

constexpr auto later = [](const auto& a, const auto& b) { return a.bound > b.bound; };

/// Of points, or of points in lanes.
template <class P>
struct SegmentOf {
  P from, along;
  NumberOf<P> per_length2;  // 1 / length^2; 0 for a point

  SHORTEDGE_INLINED SegmentOf(const P& a, const P& b) : from(a), along(b - a) {
    using Number = NumberOf<P>;
    const Number length2 = along.squaredNorm();
    per_length2 = choose(length2 > 0, [&] { return Number(1 / length2); }, [&] { return Number(0.0); });
  }
};
using Segment = SegmentOf<Point>;

/// How deep the segment cuts into the disc: the squared radius less the squared distance from it to the centre, yd^2;
/// not above 0 when it is clear. Without branches, as they could not be foretold.
template <class P>
SHORTEDGE_INLINED NumberOf<P> depth(const DiscOf<P>& disc, const SegmentOf<P>& segment) {
  using Number = NumberOf<P>;
  const Number clear = disc.radius - tolerance::clearance;
  const P to_center = disc.center - segment.from;
  const Number share =
      smaller(larger(Number(to_center.dot(segment.along) * segment.per_length2), Number(0.0)), Number(1.0));
  return clear * clear - P(to_center - share * segment.along).squaredNorm();
}

/// Whether `other` cuts the arc on `own` from the direction `begin` through `angle` to the direction `end`, both from
/// the centre, whose ends are known to be clear of it: then it cuts all that its rim covers of `own`'s, or nothing.
template <class P, class Way>
SHORTEDGE_INLINED MaskOf<NumberOf<P>> cuts_arc(const DiscOf<P>& other, const DiscOf<P>& own, const P& begin,
                                               const P& end, const NumberOf<P>& angle, const Way& turn) {
  using Number = NumberOf<P>;
  const P between = other.center - own.center;
  const Number d2 = between.squaredNorm(), apart = own.radius + other.radius - tolerance::clearance;
  const Number within = own.radius - other.radius;  // it is inside the disc
  const MaskOf<Number> meets = (d2 < apart * apart) & ((within < 0) | (d2 > within * within));
  const MaskOf<Number> left_of_begin = turn * cross(begin, between) > 0, right_of_end = turn * cross(between, end) > 0;
  const MaskOf<Number> small = angle <= pi;
  return meets & ((small & left_of_begin & right_of_end) | (is_not(small) & (left_of_begin | right_of_end)));
}

/// No way round the disc from one end of the segment to the other is shorter: beside the disc's centre it passes the
/// rim.
double least_round(const Disc& disc, const Segment& segment) {
  const Point to_center = disc.center - segment.from;
  const double length = segment.along.norm(), before = to_center.dot(segment.along) / length, after = length - before;
  if (!(before > 0 && after > 0)) return length;
  const double beside =
      std::max(0.0, disc.radius - tolerance::clearance - std::abs(cross(segment.along, to_center)) / length);
  return std::sqrt(before * before + beside * beside) + std::sqrt(after * after + beside * beside);
}

/// The disc, no bigger than its distance from start and goal.
template <class P>
SHORTEDGE_INLINED DiscOf<P> shrunk(const DiscOf<P>& disc, const P& start, const P& goal) {
  using Number = NumberOf<P>;
  const Number room2 = smaller(P(disc.center - start).squaredNorm(), P(disc.center - goal).squaredNorm());
  const Number radius =
      choose(room2 < disc.radius * disc.radius, [&] { return root(room2); }, [&] { return disc.radius; });
  return {disc.center, radius};
}

/// Strings side by side, one a lane.
class Strings {
 public:
  using String = TautSearch::String;

  /// string(lane) in each lane.
  template <class Each>
  SHORTEDGE_INLINED void take(Each&& string) {
    count_ = 0;
    for (std::size_t lane = 0; lane < lanes; ++lane) count_ = std::max(count_, string(lane).discs.size());
    for (std::size_t lane = 0; lane < lanes; ++lane) {
      const std::span<const Disc> his = string(lane).discs;
      for (std::size_t k = 0; k < count_; ++k) {
        const Disc disc = k < his.size() ? his[k] : Disc{{0, 0}, 0};
        given_[k].u[lane] = disc.center.x();
        given_[k].v[lane] = disc.center.y();
        given_[k].radius[lane] = disc.radius;
      }
    }
    const auto points = [&](Point String::* which) {
      return WidePoint{Wide::each([&](std::size_t lane) { return (string(lane).*which).x(); }),
                       Wide::each([&](std::size_t lane) { return (string(lane).*which).y(); })};
    };
    start_ = points(&String::start);
    goal_ = points(&String::goal);
    for (std::size_t k = 0; k < count_; ++k) {
      const Given& given = given_[k];
      discs_[k] =
          shrunk<WidePoint>({{Wide::load(given.u), Wide::load(given.v)}, Wide::load(given.radius)}, start_, goal_);
      discs_[k].radius =
          blend(discs_[k].radius >= tolerance::least_disc, discs_[k].radius, Wide(-1.0));  // does not count
    }
  }

  SHORTEDGE_INLINED Wide straight() const { return WidePoint(goal_ - start_).norm(); }

  /// The index of the disc the straight line cuts deepest; -1 for none.
  SHORTEDGE_INLINED Wide deepest() const {
    const SegmentOf<WidePoint> straight_line(start_, goal_);
    Wide most = 0.0, which = -1.0;
    for (std::size_t k = 0; k < count_; ++k) {
      const Wide cut = depth<WidePoint>(discs_[k], straight_line);
      const WideMask deeper = (discs_[k].radius > 0) & (cut > most);
      most = blend(deeper, cut, most);
      which = blend(deeper, Wide(static_cast<double>(k)), which);
    }
    return which;
  }

  /// In each lane the disc of that index; the first for one that is none.
  SHORTEDGE_INLINED DiscOf<WidePoint> disc(const Wide& which) const {
    DiscOf<WidePoint> picked = discs_[0];
    for (std::size_t k = 1; k < count_; ++k) {
      const WideMask is = which == static_cast<double>(k);
      picked = {blend(is, discs_[k].center, picked.center), blend(is, discs_[k].radius, picked.radius)};
    }
    return picked;
  }

  /// The way on which less than 180 degrees are swept about the disc.
  SHORTEDGE_INLINED Wide shorter(const DiscOf<WidePoint>& disc) const {
    return blend(cross(start_ - disc.center, goal_ - disc.center) >= 0, Wide(1.0), Wide(-1.0));
  }

  struct Way {
    Wide length;  // NaN for none
    Wide cutter;  // the index of a disc that cuts it; -1 for none
  };
  /// Round the disc of index `which` alone.
  SHORTEDGE_INLINED Way round(const Wide& which, const Wide& turn) const {
    const DiscOf<WidePoint> own = disc(which);
    const TouchingLineOf<WidePoint> to = touching_line<WidePoint>({start_, 0.0}, 1.0, own, turn);
    const TouchingLineOf<WidePoint> on = touching_line<WidePoint>(own, turn, {goal_, 0.0}, 1.0);
    const SegmentOf<WidePoint> before(to.from, to.to), after(on.from, on.to);
    const WidePoint begin = to.to - own.center, end = on.from - own.center;
    Wide angle = swept<WidePoint>(begin, end, turn);
    angle = blend(angle > 2 * pi - tolerance::full_turn, Wide(0.0), angle);
    Way way{to.length + own.radius * angle + on.length, -1.0};
    Wide later_cutter = -1.0;
    for (std::size_t k = count_; k-- > 0;) {
      const DiscOf<WidePoint>& other = discs_[k];
      const WideMask counts = (other.radius > 0) & (which != static_cast<double>(k));
      const WideMask cut = counts & (depth<WidePoint>(other, before) > 0);
      const WideMask cut_later = counts & ((depth<WidePoint>(other, after) > 0) |
                                           ((angle != 0) & cuts_arc<WidePoint>(other, own, begin, end, angle, turn)));
      way.cutter = blend(cut, Wide(static_cast<double>(k)), way.cutter);
      later_cutter = blend(cut_later, Wide(static_cast<double>(k)), later_cutter);
    }
    way.cutter = blend(way.cutter < 0, later_cutter, way.cutter);
    return way;
  }

  /// Step 3 of the header, for the discs of two indices. NaN where there is a gap or the way is cut.
  SHORTEDGE_INLINED Wide round_both(const Wide& first, const Wide& second) const {
    const DiscOf<WidePoint> one = disc(first), other = disc(second);
    const Wide apart = one.radius + other.radius - 3 * tolerance::clearance;
    const WideMask overlap = WidePoint(one.center - other.center).squaredNorm() < apart * apart;
    const Around<WidePoint> round_one(start_, goal_, one.center, one.radius),
        round_other(start_, goal_, other.center, other.radius);
    const Wide one_left = round_one.turning(-1.0).length(), other_left = round_other.turning(-1.0).length();
    const Wide one_right = round_one.turning(1.0).length(), other_right = round_other.turning(1.0).length();
    const WideMask left = larger(one_left, other_left) < larger(one_right, other_right);
    const WideMask is_one = blend(left, one_left >= other_left, one_right >= other_right);
    const Way way = round(blend(is_one, first, second), blend(left, Wide(-1.0), Wide(1.0)));
    return blend(overlap & (way.cutter < 0), way.length, Wide(nan));
  }

 private:
  struct Given {
    alignas(lanes * sizeof(double)) double u[lanes], v[lanes], radius[lanes];
  };
  std::size_t count_ = 0;
  WidePoint start_, goal_;
  std::array<Given, most_side_by_side> given_;
  std::array<DiscOf<WidePoint>, most_side_by_side> discs_;
};

}  // namespace

TautSearch::Label& TautSearch::label(const Arrival& arrival) {
  const std::size_t before = body_before(arrival), ends = 2 * bodies_.size();
  const Turn turn_before = arrival.from == none ? 1 : arrivals_[arrival.from].turn;
  return labels_[(arrival.body * 2 + (arrival.turn < 0)) * ends + before * 2 + (turn_before < 0)];
}

std::size_t TautSearch::body_before(const Arrival& arrival) const {
  return arrival.from == none ? start_body : arrivals_[arrival.from].body;
}

/// A disc, other than those it touches, that cuts the segment; one called up before any other.
std::size_t TautSearch::cutter_of_line(const Point& a, const Point& b, std::size_t touched_a,
                                       std::size_t touched_b) const {
  const Segment segment(a, b);
  for (std::size_t k = first_disc; k < bodies_.size(); ++k) {
    if (depth<Point>(bodies_[k], segment) > 0 && k != touched_a && k != touched_b) return k;
  }
  return no_body;
}

/// Another disc that cuts the arc on `body` from `at` through `angle` to `left`; one called up before any other.
std::size_t TautSearch::cutter_of_arc(std::size_t body, const Point& at, const Point& left, double angle,
                                      Turn turn) const {
  const Disc& own = bodies_[body];
  const Point begin = at - own.center, end = left - own.center;
  for (std::size_t k = first_disc; k < bodies_.size(); ++k) {
    if (k != body && cuts_arc<Point>(bodies_[k], own, begin, end, angle, turn)) return k;
  }
  return no_body;
}

/// A disc that cuts the line by which one arrives, or the arc before it.
std::size_t TautSearch::cutter_of(const Arrival& arrival) const {
  const std::size_t before = body_before(arrival);
  const std::size_t cutter = cutter_of_line(arrival.left, arrival.at, before, arrival.body);
  if (cutter != no_body || arrival.angle == 0) return cutter;
  const Arrival& last = arrivals_[arrival.from];
  return cutter_of_arc(before, last.at, arrival.left, arrival.angle, last.turn);
}

/// The arrival at `body` from the one before; `travelled` is NaN when no line leads there, infinite when it cannot be
/// part of a way shorter than the best so far.
TautSearch::Arrival TautSearch::arrive(std::uint32_t from, std::size_t body, Turn turn) const {
  const auto there = static_cast<std::uint32_t>(body);
  if (from == none) {
    const TouchingLine line = touching_line<Point>(bodies_[start_body], 1, bodies_[body], turn);
    return {line.from, line.to, 0, line.length, none, there, turn};
  }
  const Arrival& last = arrivals_[from];
  const Disc& own = bodies_[last.body];
  const TouchingLine line = touching_line<Point>(own, last.turn, bodies_[body], turn);
  if (!(line.length >= 0)) return {line.from, line.to, 0, nan, from, there, turn};
  if (best_ < infinity) {
    const double chord = distance(last.at, line.from);  // the arc is no shorter
    if (last.travelled + chord + line.length + distance(line.to, bodies_[goal_body].center) >= best_) {
      return {line.from, line.to, 0, infinity, from, there, turn};
    }
  }
  double angle = swept<Point>(last.at - own.center, line.from - own.center, last.turn);
  if (angle > 2 * pi - tolerance::full_turn) angle = 0;
  return {line.from, line.to, angle, last.travelled + own.radius * angle + line.length, from, there, turn};
}

void TautSearch::lay_line(std::uint32_t from, std::size_t body, Turn turn) {
  const Arrival arrival = arrive(from, body, turn);
  const double bound = arrival.travelled + distance(arrival.at, bodies_[goal_body].center);
  if (!(bound < best_)) return;  // or there is no line
  const Label& least = label(arrival);
  if (least.search == searches_ && least.travelled <= arrival.travelled) return;
  queue_.push_back({bound, static_cast<std::uint32_t>(arrivals_.size())});
  std::push_heap(queue_.begin(), queue_.end(), later);
  arrivals_.push_back(arrival);
}

void TautSearch::lay_lines_to(std::size_t body) {
  for (const Turn turn : {1, -1}) lay_line(none, body, turn);
  for (const std::uint32_t from : gone_on_) {
    if (arrivals_[from].body == body) continue;
    for (const Turn turn : {1, -1}) lay_line(from, body, turn);
  }
}

/// Takes part from now on. The disc that stood in its place in the list takes its own.
std::size_t TautSearch::call_up(std::size_t body) {
  std::swap(bodies_[body], bodies_[called_]);
  return called_++;
}

/// Notes an arrival that nothing cuts, as one to go on from or as the end of the shortest way so far.
void TautSearch::accept(std::uint32_t index) {
  const Arrival& arrival = arrivals_[index];
  label(arrival) = {searches_, arrival.travelled};
  if (arrival.body == goal_body) {
    best_ = arrival.travelled;
    best_end_ = index;
  } else {
    gone_on_.push_back(index);
  }
}

/// Lays the way round one disc alone and notes what of it nothing cuts. False when it is cut; the disc that cuts it is
/// called up.
bool TautSearch::round_one(std::size_t body, Turn turn) {
  const auto try_line = [&](std::uint32_t from, std::size_t to, Turn turn_there) {
    arrivals_.push_back(arrive(from, to, turn_there));
    const std::size_t cutter = cutter_of(arrivals_.back());
    if (cutter == no_body) {
      accept(static_cast<std::uint32_t>(arrivals_.size() - 1));
    } else if (cutter >= called_) {
      call_up(cutter);
    }
    return cutter == no_body;
  };
  return try_line(none, body, turn) && try_line(static_cast<std::uint32_t>(arrivals_.size() - 1), goal_body, 1);
}

/// Step 3 of the header, for the first two discs called up. False when there is a gap or that way is cut.
bool TautSearch::round_both() {
  const Disc &first = bodies_[first_disc], &second = bodies_[first_disc + 1];
  const double apart = first.radius + second.radius - 3 * tolerance::clearance;
  if ((first.center - second.center).squaredNorm() >= apart * apart) return false;
  const Point &start = bodies_[start_body].center, &goal = bodies_[goal_body].center;
  const BothWays round_first = both_ways_round(start, goal, first), round_second = both_ways_round(start, goal, second);
  const auto longer = [&](Turn turn) {
    const double one = round_first.turning(turn).length(), two = round_second.turning(turn).length();
    return one >= two ? std::pair(one, first_disc) : std::pair(two, first_disc + 1);
  };
  const auto left = longer(-1), right = longer(1);
  return left.first < right.first ? round_one(left.second, -1) : round_one(right.second, 1);
}

/// Step 4 of the header.
void TautSearch::round_many() {
  for (std::size_t body = first_disc; body < called_; ++body) lay_lines_to(body);
  while (!queue_.empty() && queue_.front().bound < best_) {
    std::pop_heap(queue_.begin(), queue_.end(), later);
    const std::uint32_t index = queue_.back().arrival;
    queue_.pop_back();
    const Arrival arrival = arrivals_[index];
    const Label& least = label(arrival);
    if (least.search == searches_ && least.travelled <= arrival.travelled) continue;
    if (const std::size_t cutter = cutter_of(arrival); cutter != no_body) {
      if (cutter >= called_) lay_lines_to(call_up(cutter));
      continue;
    }
    accept(index);
    if (arrival.body == goal_body) continue;
    lay_line(index, goal_body, 1);
    for (std::size_t next = first_disc; next < called_; ++next) {
      if (next == arrival.body) continue;
      for (const Turn turn : {1, -1}) lay_line(index, next, turn);
    }
  }
}

/// Lays out what a search needs; no disc is called up yet.
void TautSearch::begin(const Point& start, const Point& goal, std::span<const Disc> discs) {
  bodies_.clear();
  bodies_.push_back({start, 0});
  bodies_.push_back({goal, 0});
  for (const Disc& disc : discs) {
    const Disc body = shrunk<Point>(disc, start, goal);
    if (body.radius >= tolerance::least_disc) bodies_.push_back(body);
  }
  called_ = first_disc;
  arrivals_.clear();
  queue_.clear();
  gone_on_.clear();
  ++searches_;
  labels_.resize(std::max(labels_.size(), 4 * bodies_.size() * bodies_.size()));
  best_ = infinity;
  best_end_ = none;
}

/// The index of the arrival at the goal; straight when that line is clear, none when there is no way shorter than
/// `limit`.
std::uint32_t TautSearch::search(const Point& start, const Point& goal, std::span<const Disc> discs, double limit) {
  begin(start, goal, discs);
  const Segment straight_line(start, goal);
  std::size_t deepest = no_body;
  double most = 0;
  for (std::size_t body = first_disc; body < bodies_.size(); ++body) {
    if (const double cut = depth<Point>(bodies_[body], straight_line); cut > most) {
      deepest = body;
      most = cut;
    }
  }
  if (deepest == no_body) return straight;
  if (limit < infinity && least_round(bodies_[deepest], straight_line) >= limit) return none;

  call_up(deepest);
  const Point& center = bodies_[first_disc].center;
  const Turn shorter = cross(start - center, goal - center) >= 0 ? 1 : -1;  // it sweeps less than 180 degrees
  if (!round_one(first_disc, shorter) && !round_both()) {
    best_ = limit;
    round_many();
  }
  return best_ < limit ? best_end_ : none;
}

/// Of strings of `most_side_by_side` discs at most. NaN for those that are not settled.
SHORTEDGE_BY_REGISTERS void TautSearch::first_steps(std::span<const String> strings, std::span<double> lengths,
                                                    std::vector<Unsettled>& unsettled) {
  Strings group;
  unsettled.clear();
  for (std::size_t first = 0; first < strings.size(); first += lanes) {
    const auto string = [&](std::size_t lane) -> const String& {
      return strings[std::min(first + lane, strings.size() - 1)];
    };
    group.take(string);
    const Wide deepest = group.deepest();
    const WideMask bent = deepest >= 0;
    Wide length = group.straight(), cutter = -1.0;
    if (any(bent)) {
      const Strings::Way way = group.round(deepest, group.shorter(group.disc(deepest)));
      length = blend(bent, blend(way.cutter < 0, way.length, Wide(nan)), length);
      cutter = blend(bent, way.cutter, cutter);
    }
    for (std::size_t lane = 0; lane < lanes && first + lane < strings.size(); ++lane) {
      lengths[first + lane] = length[lane];
      if (cutter[lane] < 0) continue;
      unsettled.push_back(
          {first + lane, static_cast<std::size_t>(deepest[lane]), static_cast<std::size_t>(cutter[lane])});
    }
  }
  std::size_t kept = 0;
  for (std::size_t first = 0; first < unsettled.size(); first += lanes) {
    std::array<Unsettled, lanes> his;
    for (std::size_t lane = 0; lane < lanes; ++lane)
      his[lane] = unsettled[std::min(first + lane, unsettled.size() - 1)];
    group.take([&](std::size_t lane) -> const String& { return strings[his[lane].string]; });
    const Wide length =
        group.round_both(Wide::each([&](std::size_t lane) { return static_cast<double>(his[lane].first); }),
                         Wide::each([&](std::size_t lane) { return static_cast<double>(his[lane].second); }));
    for (std::size_t lane = 0; lane < lanes && first + lane < unsettled.size(); ++lane) {
      lengths[his[lane].string] = length[lane];
      if (std::isnan(length[lane])) unsettled[kept++] = his[lane];
    }
  }
  unsettled.resize(kept);
}

void TautSearch::lengths(std::span<const String> strings, std::span<double> lengths) {
  const auto few = [](const String& string) { return string.discs.size() <= most_side_by_side; };
  if (!std::all_of(strings.begin(), strings.end(), few)) {
    for (std::size_t i = 0; i < strings.size(); ++i) {
      lengths[i] = length(strings[i].start, strings[i].goal, strings[i].discs);
    }
    return;
  }
  first_steps(strings, lengths, unsettled_);
  for (const Unsettled& unsettled : unsettled_) {
    const String& string = strings[unsettled.string];
    begin(string.start, string.goal, string.discs);
    for (const std::size_t which : {unsettled.first, unsettled.second}) {
      const Disc disc = shrunk<Point>(string.discs[which], string.start, string.goal);
      const auto same = [&](const Disc& body) { return body.center == disc.center && body.radius == disc.radius; };
      const auto body = std::find_if(bodies_.begin() + static_cast<std::ptrdiff_t>(called_), bodies_.end(), same);
      call_up(static_cast<std::size_t>(body - bodies_.begin()));
    }
    round_many();
    lengths[unsettled.string] = best_;
  }
}

double TautSearch::length(const Point& start, const Point& goal, std::span<const Disc> discs) {
  if (discs.size() <= most_side_by_side) {
    const String string{start, goal, discs};
    double length = nan;
    lengths({&string, 1}, {&length, 1});
    return length;
  }
  const std::uint32_t end = search(start, goal, discs, infinity);
  return end == straight ? distance(start, goal) : end == none ? infinity : arrivals_[end].travelled;
}

const Route& TautSearch::route(const Point& start, const Point& goal, std::span<const Disc> discs, double limit) {
  const std::uint32_t end = search(start, goal, discs, limit);
  route_.stretches.clear();
  route_.bend = end == none ? nan : 0;
  if (end == none) {
    route_.length = infinity;
  } else if (end == straight) {
    route_.length = distance(start, goal);
    if (route_.length > 0) route_.stretches.push_back({start, goal, route_.length, 0, {start, 0}});
  } else {
    route_.length = arrivals_[end].travelled;
    for (std::uint32_t at = end; at != none; at = arrivals_[at].from) {  // from the end to the beginning
      const Arrival& arrival = arrivals_[at];
      const double line = distance(arrival.left, arrival.at);
      if (line > 0) route_.stretches.push_back({arrival.left, arrival.at, line, 0, {arrival.left, 0}});
      if (arrival.angle == 0) continue;
      const Arrival& last = arrivals_[arrival.from];
      const Disc& disc = bodies_[last.body];
      route_.stretches.push_back({last.at, arrival.left, disc.radius * arrival.angle, last.turn, disc});
      route_.bend += arrival.angle;
    }
    std::reverse(route_.stretches.begin(), route_.stretches.end());
  }
  return route_;
}

RoutePoint Route::point(double ahead) const {
  auto stretch = stretches.begin();
  for (; stretch + 1 != stretches.end() && ahead > stretch->length; ++stretch) ahead -= stretch->length;
  const double run = std::clamp(ahead, 0.0, stretch->length);
  if (stretch->turn == 0) {
    const Point direction = (stretch->to - stretch->from) / stretch->length;
    return {stretch->from + run * direction, direction};
  }
  const Disc& disc = stretch->disc;
  const Point radius = Eigen::Rotation2Dd(stretch->turn * run / disc.radius) * (stretch->from - disc.center);
  return {disc.center + radius, stretch->turn * quarter_turn(radius) / disc.radius};
}

TautPath taut_path(const Point& start, const Point& goal, std::span<const Disc> discs) {
  TautSearch search;
  const Route& route = search.route(start, goal, discs);
  if (std::isinf(route.length)) return {infinity, nan, {}};
  std::vector<Point> points{start};
  if (route.stretches.empty()) points.push_back(goal);
  for (const Stretch& stretch : route.stretches) {
    const double angle = stretch.turn == 0 ? 0 : stretch.length / stretch.disc.radius;
    const int chords = std::max(1, static_cast<int>(std::ceil(degrees(angle) / 3)));
    for (int k = 1; k < chords; ++k) {
      points.emplace_back(stretch.disc.center +
                          Eigen::Rotation2Dd(stretch.turn * angle * k / chords) * (stretch.from - stretch.disc.center));
    }
    points.push_back(stretch.to);
  }
  return {route.length, route.bend, std::move(points)};
}

}  // namespace shortedge
