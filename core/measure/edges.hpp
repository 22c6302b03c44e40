#pragma once
/// Who sets each edge of the pocket, and against whom.
///
/// A rusher takes the edge of the side he is on (rush/blocker.hpp: his man's side; of a free one, the passer's he is
/// on) when he is outside his man, or free and outside the wall's end, and
/// - past his man, with an outside exposure of 0.2 or more (rush/corner.hpp: shown_exposure); or
/// - not past him, with one of `takeover` or more, and his man is the wall's end, or is in the wall and engaged; or
/// - free, with one of `takeover` or more.
/// The edge belongs to the most exposed of those (ties: the quicker outside way, then the lower id). Else to the rusher
/// of the wall's end, of that side and not past inside, the most exposed of several; else, when nobody is the end's, to
/// the most exposed of those, likewise, whose man is of that side, in the wall and no lineman: the back who took the
/// edge for him. Else to nobody. So a rusher on a centre, or inside his man, or who beat him inside, is no edge. The
/// edge man is the rusher's man, in the wall or not: a guard when his tackle is out, a back who takes the edge. Of a
/// free rusher, or with nobody, he is the wall's end.

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
  Standing edge_man;
  std::optional<std::size_t> rusher;  ///< index into the looks
};

/// yd, from the passer out to the edge man, and his reach beyond. `side` is -1 or +1.
inline double edge_width(const Point& edge_man, const Point& passer, int side, double reach) {
  return (edge_man.x() - passer.x()) * side + reach;
}

/// Whether a free rusher is outside the wall's end on his side: that man does not stand outside his straight line. Yes
/// when there is no wall.
bool outside_the_wall(const Wall& wall, const Point& rusher, const Point& passer, int side);

/// Of an ok frame. `side` is -1 or +1; `looks` in order of the rushers' ids.
Edge find_edge(const Wall& wall, std::span<const RusherLook> looks, int side, double takeover);

}  // namespace shortedge
