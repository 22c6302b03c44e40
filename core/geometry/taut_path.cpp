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

constexpr auto later = [](const auto& a, const auto& b) { return a.bound > b.bound; };

struct Segment {
  Point from, along;
  double per_length2;  // 1 / length^2; 0 for a point

  Segment(const Point& a, const Point& b) : from(a), along(b - a) {
    const double length2 = along.squaredNorm();
    per_length2 = length2 > 0 ? 1 / length2 : 0;
  }
};

/// How deep the segment cuts into the disc: the squared radius less the squared distance from it to the centre, yd^2;
/// not above 0 when it is clear. Without branches, as they could not be foretold.
double depth(const Disc& disc, const Segment& segment) {
  const double clear = disc.radius - tolerance::clearance;
  const Point to_center = disc.center - segment.from;
  const double share = std::min(std::max(to_center.dot(segment.along) * segment.per_length2, 0.0), 1.0);
  return clear * clear - (to_center - share * segment.along).squaredNorm();
}

/// No way round the disc from one end of the segment to the other is shorter: beside the disc's centre it passes the rim.
double least_round(const Disc& disc, const Segment& segment) {
  const Point to_center = disc.center - segment.from;
  const double length = segment.along.norm(), before = to_center.dot(segment.along) / length, after = length - before;
  if (!(before > 0 && after > 0)) return length;
  const double beside = std::max(0.0, disc.radius - tolerance::clearance - std::abs(cross(segment.along, to_center)) / length);
  return std::sqrt(before * before + beside * beside) + std::sqrt(after * after + beside * beside);
}

/// The disc, no bigger than its distance from start and goal.
Disc shrunk(const Disc& disc, const Point& start, const Point& goal) {
  const double room2 = std::min((disc.center - start).squaredNorm(), (disc.center - goal).squaredNorm());
  return {disc.center, room2 < disc.radius * disc.radius ? std::sqrt(room2) : disc.radius};
}

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
    if (depth(bodies_[k], segment) > 0 && k != touched_a && k != touched_b) return k;
  }
  return no_body;
}

/// Another disc that cuts the arc on `body` from `at` through `angle`; one called up before any other.
std::size_t TautSearch::cutter_of_arc(std::size_t body, const Point& at, double angle, Turn turn) const {
  const Disc& own = bodies_[body];
  for (std::size_t k = first_disc; k < bodies_.size(); ++k) {
    if (k == body) continue;
    const Disc& other = bodies_[k];
    const Point between = other.center - own.center;
    const double d2 = between.squaredNorm(), apart = own.radius + other.radius - tolerance::clearance;
    if (d2 >= apart * apart) continue;
    const double d = std::sqrt(d2);
    if (d + other.radius <= own.radius) continue;
    if (d + own.radius <= other.radius) return k;
    const double half = std::acos(
        std::clamp((own.radius * own.radius + d2 - other.radius * other.radius) / (2 * own.radius * d), -1.0, 1.0));
    // The other disc covers the directions middle - half to middle + half, counted from the arrival.
    const double middle = swept(at - own.center, between, turn);
    const bool ahead = middle - half < angle - tolerance::clearance && middle + half > tolerance::clearance;
    const bool behind = middle - 2 * pi + half > tolerance::clearance;
    if (ahead || behind) return k;
  }
  return no_body;
}

/// A disc that cuts the line by which one arrives, or the arc before it.
std::size_t TautSearch::cutter_of(const Arrival& arrival) const {
  const std::size_t before = body_before(arrival);
  const std::size_t cutter = cutter_of_line(arrival.left, arrival.at, before, arrival.body);
  if (cutter != no_body || arrival.angle == 0) return cutter;
  const Arrival& last = arrivals_[arrival.from];
  return cutter_of_arc(before, last.at, arrival.angle, last.turn);
}

/// The arrival at `body` from the one before; `travelled` is NaN when no line leads there, infinite when it cannot be part
/// of a way shorter than the best so far.
TautSearch::Arrival TautSearch::arrive(std::uint32_t from, std::size_t body, Turn turn) const {
  const auto there = static_cast<std::uint32_t>(body);
  if (from == none) {
    const TouchingLine line = touching_line(bodies_[start_body], 1, bodies_[body], turn);
    return {line.from, line.to, 0, line.length, none, there, turn};
  }
  const Arrival& last = arrivals_[from];
  const Disc& own = bodies_[last.body];
  const TouchingLine line = touching_line(own, last.turn, bodies_[body], turn);
  if (!(line.length >= 0)) return {line.from, line.to, 0, nan, from, there, turn};
  if (best_ < infinity) {
    const double chord = distance(last.at, line.from);  // the arc is no shorter
    if (last.travelled + chord + line.length + distance(line.to, bodies_[goal_body].center) >= best_) {
      return {line.from, line.to, 0, infinity, from, there, turn};
    }
  }
  double angle = swept(last.at - own.center, line.from - own.center, last.turn);
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

/// The index of the arrival at the goal; straight when that line is clear, none when there is no way shorter than `limit`.
std::uint32_t TautSearch::search(const Point& start, const Point& goal, std::span<const Disc> discs, double limit) {
  bodies_.clear();
  bodies_.push_back({start, 0});
  bodies_.push_back({goal, 0});
  const Segment straight_line(start, goal);
  std::size_t deepest = no_body;
  double most = 0;
  for (const Disc& disc : discs) {
    const Disc body = shrunk(disc, start, goal);
    if (body.radius < tolerance::least_disc) continue;
    if (const double cut = depth(body, straight_line); cut > most) {
      deepest = bodies_.size();
      most = cut;
    }
    bodies_.push_back(body);
  }
  if (deepest == no_body) return straight;
  if (limit < infinity && least_round(bodies_[deepest], straight_line) >= limit) return none;

  std::swap(bodies_[deepest], bodies_[first_disc]);
  called_ = first_disc + 1;
  arrivals_.clear();
  queue_.clear();
  gone_on_.clear();
  ++searches_;
  labels_.resize(std::max(labels_.size(), 4 * bodies_.size() * bodies_.size()));
  best_ = infinity;
  best_end_ = none;
  const Point& center = bodies_[first_disc].center;
  const Turn shorter = cross(start - center, goal - center) >= 0 ? 1 : -1;  // it sweeps less than 180 degrees
  if (!round_one(first_disc, shorter) && !round_both()) {
    best_ = limit;
    round_many();
  }
  return best_ < limit ? best_end_ : none;
}

double TautSearch::length(const Point& start, const Point& goal, std::span<const Disc> discs) {
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
      points.emplace_back(stretch.disc.center + Eigen::Rotation2Dd(stretch.turn * angle * k / chords) *
                                                    (stretch.from - stretch.disc.center));
    }
    points.push_back(stretch.to);
  }
  return {route.length, route.bend, std::move(points)};
}

}  // namespace shortedge
