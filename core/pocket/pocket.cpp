#include "pocket/pocket.hpp"

#include <algorithm>
#include <cmath>

#include "base/tolerances.hpp"
#include "geometry/clip.hpp"

namespace shortedge {

namespace {
constexpr std::size_t fewest_men = 3;
constexpr double left_pocket = 3.0;  // yd across
}  // namespace

void shape_pocket(const Scene& scene, const Wall& wall, double cushion, Pocket& pocket) {
  pocket.ring.clear();
  pocket.corners.clear();
  pocket.ranks.clear();
  pocket.encloses = false;
  if (wall.men.empty()) return;

  double deepest = scene.passer.y();
  for (const WallMan& man : wall.men) deepest = std::max(deepest, man.standing.at.y());
  const auto add = [&](const Point& at, double rank, std::ptrdiff_t corner) {
    const auto place = std::upper_bound(pocket.ranks.begin(), pocket.ranks.end(), rank) - pocket.ranks.begin();
    pocket.ring.insert(pocket.ring.begin() + place, at);
    pocket.corners.insert(pocket.corners.begin() + place, corner);
    pocket.ranks.insert(pocket.ranks.begin() + place, rank);
  };
  for (std::size_t i = 0; i < wall.men.size(); ++i) {
    add(wall.men[i].standing.at, wall.men[i].rank, static_cast<std::ptrdiff_t>(i));
  }
  for (const auto& [u, corner] : {std::pair(wall.u_min(), rear_left), std::pair(wall.u_max(), rear_right)}) {
    const Point at(u, deepest + cushion);
    add(at, bearing_rank(scene.passer, at), corner);
  }

  const std::vector<double>& ranks = pocket.ranks;
  constexpr double half_turn = 2;
  const auto half_or_more = [](double apart) { return apart >= half_turn - tolerance::same_rank; };
  bool gap = half_or_more(ranks.front() + 2 * half_turn - ranks.back());
  for (std::size_t i = 1; i < ranks.size(); ++i) gap = gap || half_or_more(ranks[i] - ranks[i - 1]);
  pocket.encloses =
      wall.men.size() >= fewest_men && wall.u_min() < scene.passer.x() && scene.passer.x() < wall.u_max() && !gap;
}

Exit leave_pocket(const Pocket& pocket, const Point& passer, const Point& toward) {
  // The edge whose ends lie on either side of the direction, its first end in it or clockwise of it.
  const std::size_t corners = pocket.ring.size();
  Point a = pocket.ring.back() - passer;
  std::size_t edge = corners - 1;
  for (std::size_t next = 0; next < corners; ++next) {
    const Point b = pocket.ring[next] - passer;
    if (cross(a, toward) >= 0 && cross(b, toward) < 0) return {cross(a, b) / cross(toward, b - a), edge};
    a = b;
    edge = next;
  }
  return {nan, 0};  // never, round a point the ring encloses
}

double pocket_depth(const Pocket& pocket, const Point& passer) {
  return leave_pocket(pocket, passer, Point(0, -1)).distance;
}

double passer_room(const Pocket& pocket, const Scene& scene, Room& room) {
  room.ring = pocket.ring;
  for (const Rushing& rusher : scene.rushers) {
    if (distance(rusher.at, scene.passer) <= tolerance::same_point) {  // nothing is nearer to the passer
      room.ring.clear();
      return 0;
    }
    clip(room.ring, nearer_to(scene.passer, rusher.at), room.spare);
  }
  return area(room.ring);
}

Status status_of(const Scene& scene, const Wall& wall, const Pocket& pocket, double first_u) {
  if (!present(scene.passer)) return Status::missing;
  if (scene.passer.y() < 0 || (!pocket.encloses && std::abs(scene.passer.x() - first_u) > left_pocket))
    return Status::outside;
  if (wall.men.size() < fewest_men) return Status::thin;
  return pocket.encloses ? Status::ok : Status::collapsed;
}

}  // namespace shortedge
