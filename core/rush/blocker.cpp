#include "rush/blocker.hpp"

#include <algorithm>
#include <cmath>

#include "base/tolerances.hpp"
#include "geometry/disc.hpp"
#include "rush/corner.hpp"

namespace shortedge {

Placed placed_now(const Point& rusher, const Point& blocker, const Point& passer, int side) {
  return {side, is_past(rusher, blocker, passer), side != 0 && outside_by(rusher, blocker, passer, side) <= 0};
}

Placed PassedSide::see(const Point& rusher, std::size_t man, const Point& blocker, const Point& passer, int side) {
  Placed placed = placed_now(rusher, blocker, passer, side);
  if (placed.past && past_ && man == man_) {
    placed.outside = side != 0 && outside_;
    if (side != 0 && side_ != 0) placed.side = side_;
  } else {
    outside_ = placed.outside;
    side_ = side;
  }
  past_ = placed.past;
  man_ = man;
  return placed;
}

std::optional<Standing> man_between(const Scene& scene, const Point& rusher, const Standing* blocker, double body) {
  const Standing* found = nullptr;
  double nearest = infinity, from_passer = infinity;
  const double goal = distance(rusher, scene.passer);
  for (const Standing& man : scene.protectors) {
    if (blocker && man.man == blocker->man) continue;
    const double range = distance(rusher, man.at);
    if (range > nearest || range > goal + body) continue;
    const double to_passer = distance(man.at, scene.passer);
    const double radius = std::min({body, range, to_passer});
    if (radius < tolerance::least_disc) continue;
    if (distance_to_segment(man.at, rusher, scene.passer) >= radius - tolerance::line_slack) continue;
    if (range == nearest && to_passer >= from_passer) continue;
    nearest = range;
    from_passer = to_passer;
    found = &man;
  }
  return found ? std::optional(*found) : std::nullopt;
}

}  // namespace shortedge
