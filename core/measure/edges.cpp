#include "measure/edges.hpp"

#include <algorithm>

namespace shortedge {

namespace {

std::optional<std::size_t> in_wall(const Wall& wall, const Blocking& blocking) {
  if (!blocking.blocker) return std::nullopt;
  const auto at = std::find_if(wall.men.begin(), wall.men.end(),
                               [&](const WallMan& man) { return man.standing.man == blocking.blocker->man; });
  if (at == wall.men.end()) return std::nullopt;
  return static_cast<std::size_t>(at - wall.men.begin());
}

}  // namespace

Edge find_edge(const Wall& wall, const Point& passer, std::span<const RusherLook> looks, int side, double takeover) {
  const std::size_t end = side < 0 ? wall.left : wall.right;
  const auto more_exposed = [&](std::size_t a, const std::optional<std::size_t>& b) {
    if (!b) return true;
    const RusherLook &one = looks[a], &other = looks[*b];
    if (one.outside_exposure != other.outside_exposure) return one.outside_exposure > other.outside_exposure;
    return one.ways.outside_time < other.ways.outside_time;
  };
  std::optional<std::size_t> most, against_end;
  for (std::size_t i = 0; i < looks.size(); ++i) {
    const Blocking& blocking = looks[i].blocking;
    if (blocking.side != side) continue;
    const std::optional<std::size_t> man = in_wall(wall, blocking);
    if (!man && !blocking.past) continue;
    if (more_exposed(i, most)) most = i;
    if (!blocking.past && man == end && more_exposed(i, against_end)) against_end = i;
  }
  Edge edge{end, most && looks[*most].outside_exposure >= takeover ? most : against_end};
  if (edge.rusher) {
    const Blocking& blocking = looks[*edge.rusher].blocking;
    const std::optional<std::size_t> man = in_wall(wall, blocking);
    if (man && blocker_side(*blocking.blocker, passer) == side) edge.edge_man = *man;
  }
  return edge;
}

}  // namespace shortedge
