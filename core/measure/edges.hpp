#pragma once
/// Who sets each edge of the pocket, and against whom.
///
/// Candidates of a side are the rushers of that side whose blocker is in the wall or whom nobody is before. The edge
/// belongs to the one with the greatest outside exposure, if that is `takeover` or more; else to the most exposed of
/// those not past whose blocker is the wall's end; else to nobody. So the end man sets the edge until another man's is
/// clearly shorter.

#include <optional>
#include <span>

#include "pocket/pocket.hpp"
#include "rush/blocker.hpp"
#include "rush/ways.hpp"

namespace shortedge {

/// What is known of one rusher when the edges are found.
struct RusherLook {
  Rushing rusher;
  Blocking blocking;
  Ways ways;
  double outside_exposure = nan, inside_exposure = nan;
  double cutoff_ratio = nan, corner_held = nan, short_edge = nan, path_length = nan;
};

struct Edge {
  std::size_t edge_man;               ///< index into Wall::men
  std::optional<std::size_t> rusher;  ///< index into the looks
};

/// yd, from the passer out to the edge man, and his reach beyond. `side` is -1 or +1.
inline double edge_width(const Point& edge_man, const Point& passer, int side, double reach) {
  return (edge_man.x() - passer.x()) * side + reach;
}

/// Of an ok frame. `side` is -1 or +1; `looks` in order of the rushers' ids.
Edge find_edge(const Wall& wall, const Point& passer, std::span<const RusherLook> looks, int side, double takeover);

}  // namespace shortedge
