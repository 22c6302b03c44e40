#pragma once
/// One frame as the pocket and the rush see it: the men who take part and are present.

#include "play/play.hpp"

namespace shortedge {

struct Standing {
  std::size_t man;  ///< index into Play::men
  Slot slot;
  Point at;
};

struct Rushing {
  std::size_t man;
  Point at;
  Point velocity;         ///< NaN when unknown
  std::size_t index = 0;  ///< into Play::rushers
};

/// In order of id. `passer` is NaN when he is missing.
struct Scene {
  Point passer = absent(), passer_velocity = absent();
  std::int32_t center = -1;  ///< Play::center
  std::vector<Standing> protectors;
  std::vector<Rushing> rushers;
  std::vector<Standing> offense;  ///< protectors and the rest of the offence, without the passer
};

/// Fills `scene` (its memory is kept) with the men present at the frame, rushers while they take part.
void look(const Play& play, const Motion& motion, std::size_t frame, Scene& scene);

}  // namespace shortedge
