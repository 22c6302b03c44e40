#pragma once
/// Who blocks a rusher in one frame, and who helps.

#include <optional>

#include "base/rules.hpp"
#include "play/scene.hpp"

namespace shortedge {

struct Blocking {
  std::optional<Standing> blocker;  ///< the nearest protector (ties: nearer the passer, then the lower id)
  double range = nan;               ///< yd, to him
  bool engaged = false;             ///< within `meet` of him
  int helpers = 0;                  ///< other offensive players than passer and blocker within `engage` of the rusher
  bool past = false;                ///< the rusher is no farther from the passer than the blocker
  int side = 0;  ///< LT, LG -1; RG, RT +1; centre 0; others by the passer; when past the rusher's own, by the passer
};

/// The side of the passer a point is on: -1 left, +1 right or straight.
int side_from(const Point& passer, const Point& at);

/// A blocker's own side; of one who is no lineman 0 while the passer is absent.
int blocker_side(const Standing& blocker, const Point& passer);

/// Whose outside a way is: the blocker's own side, or the rusher's, by the passer, when he is past.
int way_side(const Point& rusher, const Standing& blocker, const Point& passer);

/// The passer must be present.
Blocking find_blocker(const Scene& scene, const Rushing& rusher, const Rules& rules);

}  // namespace shortedge
