#include "rush/blocker.hpp"

#include <cmath>

#include "rush/corner.hpp"

namespace shortedge {

int side_from(const Point& passer, const Point& at) { return at.x() < passer.x() ? -1 : 1; }

int blocker_side(const Standing& blocker, const Point& passer) {
  switch (blocker.slot) {
    case Slot::LT:
    case Slot::LG:
      return -1;
    case Slot::RG:
    case Slot::RT:
      return 1;
    case Slot::C:
      return 0;
    default:
      return present(passer) ? side_from(passer, blocker.at) : 0;
  }
}

int way_side(const Point& rusher, const Standing& blocker, const Point& passer) {
  return is_past(rusher, blocker.at, passer) ? side_from(passer, rusher) : blocker_side(blocker, passer);
}

Blocking find_blocker(const Scene& scene, const Rushing& rusher, const Rules& rules) {
  Blocking found;
  double nearest2 = infinity;
  const Standing* blocker = nullptr;
  for (const Standing& man : scene.protectors) {
    const double range2 = (rusher.at - man.at).squaredNorm();
    if (range2 > nearest2) continue;
    if (blocker && range2 == nearest2 && distance(man.at, scene.passer) >= distance(blocker->at, scene.passer))
      continue;
    nearest2 = range2;
    blocker = &man;
  }
  for (const Standing& man : scene.offense) {
    const bool is_blocker = blocker && blocker->man == man.man;
    found.helpers += !is_blocker && within(man.at, rusher.at, rules.engage);
  }
  if (!blocker) return found;
  found.blocker = *blocker;
  found.range = std::sqrt(nearest2);
  found.engaged = found.range <= rules.meet;
  found.past = is_past(rusher.at, found.blocker->at, scene.passer);
  found.side = way_side(rusher.at, *found.blocker, scene.passer);
  return found;
}

}  // namespace shortedge
