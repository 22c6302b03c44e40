#include "measure/edges.hpp"

#include <algorithm>

#include "rush/corner.hpp"

namespace shortedge {

namespace {

bool in_wall(const Wall& wall, const Standing& who) {
  return std::any_of(wall.men.begin(), wall.men.end(), [&](const WallMan& man) { return man.standing.man == who.man; });
}

class EdgeFinder {
 public:
  EdgeFinder(const Wall& wall, std::span<const RusherLook> looks, int side, double takeover)
      : wall_(wall),
        looks_(looks),
        side_(side),
        takeover_(takeover),
        end_(wall.men[side < 0 ? wall.left : wall.right].standing) {}

  Edge find() const {
    std::optional<std::size_t> rusher = most_exposed([&](const RusherLook& look) { return takes(look); });
    if (!rusher) rusher = most_exposed([&](const RusherLook& look) { return of_this_side(look) && is_end(look); });
    const bool end_has_one =
        std::any_of(looks_.begin(), looks_.end(), [&](const RusherLook& look) { return is_end(look); });
    if (!rusher && !end_has_one) {
      rusher = most_exposed([&](const RusherLook& look) { return of_this_side(look) && on_a_helper(look); });
    }
    Edge edge{end_, rusher};
    if (rusher && looks_[*rusher].blocking.blocker) edge.edge_man = *looks_[*rusher].blocking.blocker;
    return edge;
  }

 private:
  template <class Wanted>
  std::optional<std::size_t> most_exposed(Wanted&& wanted) const {
    std::optional<std::size_t> most;
    for (std::size_t i = 0; i < looks_.size(); ++i) {
      if (wanted(looks_[i]) && (!most || more_exposed(looks_[i], looks_[*most]))) most = i;
    }
    return most;
  }
  static bool more_exposed(const RusherLook& one, const RusherLook& other) {
    if (one.outside_exposure != other.outside_exposure) return one.outside_exposure > other.outside_exposure;
    return one.ways.outside_time < other.ways.outside_time;
  }

  bool is_end(const RusherLook& look) const { return look.blocking.blocker && look.blocking.blocker->man == end_.man; }
  bool on_a_helper(const RusherLook& look) const {
    const std::optional<Standing>& man = look.blocking.blocker;
    return man && man->slot == Slot::none && in_wall(wall_, *man);
  }
  /// And not past inside.
  bool of_this_side(const RusherLook& look) const {
    const Placed& placed = look.blocking.placed;
    return placed.side == side_ && !(placed.past && !placed.outside);
  }
  bool takes(const RusherLook& look) const {
    const auto& [free, blocker, placed, between, range, engaged, helpers] = look.blocking;
    if (placed.side != side_ || !placed.outside) return false;
    if (free) return look.outside_exposure >= takeover_;
    if (!blocker) return false;
    if (placed.past) return look.outside_exposure >= shown_exposure;
    return look.outside_exposure >= takeover_ && (is_end(look) || (engaged && in_wall(wall_, *blocker)));
  }

  const Wall& wall_;
  std::span<const RusherLook> looks_;
  int side_;
  double takeover_;
  Standing end_;
};

}  // namespace

bool outside_the_wall(const Wall& wall, const Point& rusher, const Point& passer, int side) {
  if (wall.men.empty()) return true;
  return outside_by(rusher, wall.men[side < 0 ? wall.left : wall.right].standing.at, passer, side) <= 0;
}

Edge find_edge(const Wall& wall, std::span<const RusherLook> looks, int side, double takeover) {
  return EdgeFinder(wall, looks, side, takeover).find();
}

}  // namespace shortedge
