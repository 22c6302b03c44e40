#include "geometry/taut_path.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "base/tolerances.hpp"

namespace shortedge {

namespace {

constexpr std::size_t start_body = 0, goal_body = 1, first_disc = 2;
constexpr Turn turns[] = {1, -1};

constexpr auto later = [](const auto& a, const auto& b) { return a.bound > b.bound; };

}  // namespace

std::size_t TautSearch::index(std::size_t body, Turn turn, std::size_t from_body, Turn from_turn) const {
  return (body * 2 + (turn < 0)) * bodies_.size() * 2 + from_body * 2 + (from_turn < 0);
}

/// Is the segment cut by a disc other than those it touches?
bool TautSearch::cut(const Point& a, const Point& b, std::size_t touched_a, std::size_t touched_b) const {
  for (std::size_t k = first_disc; k < bodies_.size(); ++k) {
    if (k == touched_a || k == touched_b) continue;
    if (distance_to_segment(bodies_[k].center, a, b) < bodies_[k].radius - tolerance::clearance) return true;
  }
  return false;
}

/// Is the arc on `body` from `arrival` through `angle` cut by another disc?
bool TautSearch::cut(std::size_t body, const Point& arrival, double angle, Turn turn) const {
  const Disc& own = bodies_[body];
  for (std::size_t k = first_disc; k < bodies_.size(); ++k) {
    if (k == body) continue;
    const Disc& other = bodies_[k];
    const Point between = other.center - own.center;
    const double d = between.norm();
    if (d >= own.radius + other.radius - tolerance::clearance || d + other.radius <= own.radius) continue;
    if (d + own.radius <= other.radius) return true;
    const double half = std::acos(std::clamp(
        (own.radius * own.radius + d * d - other.radius * other.radius) / (2 * own.radius * d), -1.0, 1.0));
    // The other disc covers the directions middle - half to middle + half, counted from the arrival.
    const double middle = swept(arrival - own.center, between, turn);
    const bool ahead = middle - half < angle - tolerance::clearance && middle + half > tolerance::clearance;
    const bool behind = middle - 2 * pi + half > tolerance::clearance;
    if (ahead || behind) return true;
  }
  return false;
}

/// Tries every line that leaves `body` after turning round it from the arrival.
void TautSearch::leave(std::size_t arrival, std::size_t body, Turn turn) {
  const Arrival from = arrival == none ? Arrival{0, 0, bodies_[start_body].center, none, true} : arrivals_[arrival];
  const Disc& own = bodies_[body];
  for (std::size_t next = goal_body; next < bodies_.size(); ++next) {
    if (next == body) continue;
    for (Turn next_turn : turns) {
      if (next == goal_body && next_turn < 0) continue;
      const TouchingLine line = touching_line(own, turn, bodies_[next], next_turn);
      if (!(line.length >= 0)) continue;
      double angle = 0;
      if (body != start_body) {
        angle = swept(from.at - own.center, line.from - own.center, turn);
        if (angle > 2 * pi - tolerance::full_turn) angle = 0;
      }
      const double travelled = from.travelled + own.radius * angle + line.length;
      const std::size_t to = index(next, next_turn, body, turn);
      if (arrivals_[to].travelled <= travelled) continue;
      if (cut(line.from, line.to, body, next) || (angle > 0 && cut(body, from.at, angle, turn))) continue;
      arrivals_[to] = {travelled, from.bend + angle, line.to, arrival, false};
      queue_.push_back({travelled + distance(line.to, bodies_[goal_body].center), to});
      std::push_heap(queue_.begin(), queue_.end(), later);
    }
  }
}

/// The index of the arrival at the goal; straight when that line is clear, none when the way is shut.
std::size_t TautSearch::search(const Point& start, const Point& goal, std::span<const Disc> discs) {
  bodies_.assign({Disc{start, 0}, Disc{goal, 0}});
  for (const Disc& disc : discs) {
    const double radius = std::min({disc.radius, distance(disc.center, start), distance(disc.center, goal)});
    if (radius >= tolerance::least_disc) bodies_.push_back({disc.center, radius});
  }
  if (!cut(start, goal, start_body, goal_body)) return straight;

  arrivals_.assign(bodies_.size() * bodies_.size() * 4, {infinity, 0, absent(), none, false});
  queue_.clear();
  leave(none, start_body, 1);
  while (!queue_.empty()) {
    std::pop_heap(queue_.begin(), queue_.end(), later);
    const std::size_t arrival = queue_.back().arrival;
    queue_.pop_back();
    if (arrivals_[arrival].done) continue;
    arrivals_[arrival].done = true;
    const std::size_t body_turn = arrival / (bodies_.size() * 2);
    if (body_turn / 2 == goal_body) return arrival;
    leave(arrival, body_turn / 2, body_turn % 2 ? -1 : 1);
  }
  return none;
}

double TautSearch::length(const Point& start, const Point& goal, std::span<const Disc> discs) {
  const std::size_t end = search(start, goal, discs);
  return end == straight ? distance(start, goal) : end == none ? infinity : arrivals_[end].travelled;
}

TautPath taut_path(const Point& start, const Point& goal, std::span<const Disc> discs) {
  TautSearch search;
  const std::size_t end = search.search(start, goal, discs);
  if (end == TautSearch::straight) return {distance(start, goal), 0, {start, goal}};
  if (end == TautSearch::none) return {infinity, nan, {}};

  // Back along the arrivals; between two of them lies the arc on the earlier one's disc.
  std::vector<Point> points{goal};
  for (std::size_t at = end; search.arrivals_[at].from != TautSearch::none; at = search.arrivals_[at].from) {
    const TautSearch::Arrival& arrival = search.arrivals_[at];
    const std::size_t body_turn = arrival.from / (search.bodies_.size() * 2);
    const Disc& disc = search.bodies_[body_turn / 2];
    const Turn turn = body_turn % 2 ? -1 : 1;
    const TautSearch::Arrival& before = search.arrivals_[arrival.from];
    const double angle = arrival.bend - before.bend;
    const int chords = std::max(1, static_cast<int>(std::ceil(degrees(angle) / 3)));
    for (int k = chords; k >= 0; --k) {
      points.push_back(disc.center + Eigen::Rotation2Dd(turn * angle * k / chords) * (before.at - disc.center));
    }
  }
  points.push_back(start);
  std::reverse(points.begin(), points.end());
  return {search.arrivals_[end].travelled, search.arrivals_[end].bend, std::move(points)};
}

}  // namespace shortedge
