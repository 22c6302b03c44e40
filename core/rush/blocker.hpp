#pragma once
/// How a rusher stands to the man who has him, and who else is there. Who has him is decided over the whole play
/// (match/match.hpp), so he may be far away, or beaten.

#include <optional>

#include "base/rules.hpp"
#include "play/scene.hpp"

namespace shortedge {

/// A rusher and the man who has him.
struct Placed {
  int side = 0;          ///< the man's: -1 left, +1 right, 0 none
  bool past = false;     ///< the rusher is no farther from the passer than he
  bool outside = false;  ///< of him; never of one without a side
};

/// By these places alone: outside when the man does not stand outside the rusher's straight line (outside_by <= 0).
Placed placed_now(const Point& rusher, const Point& blocker, const Point& passer, int side);

/// One rusher from frame to frame. As long as he is past a man, he is outside or inside of him as he was when he
/// got past: who beat his man inside does not come to be outside by running behind him. So is the man's side,
/// unless he has none in a frame. Frames in which one of the three is absent are not shown to it; another man
/// begins anew.
class PassedSide {
 public:
  Placed see(const Point& rusher, std::size_t man, const Point& blocker, const Point& passer, int side);

 private:
  std::size_t man_ = 0;
  int side_ = 0;  ///< when he got past
  bool past_ = false, outside_ = false;
};

struct Blocking {
  bool free = false;                ///< nobody has him
  std::optional<Standing> blocker;  ///< who has him; none when he is free, or that man is absent in this frame
  Placed placed;                    ///< of a free rusher: the side of the passer he is on, past
  std::optional<Standing> between;  ///< of one who is past or free: the man on his straight line
  double range = nan;               ///< yd, to the blocker
  bool engaged = false;             ///< within `meet` of him
  int helpers = 0;                  ///< other offensive players than passer and blocker within `engage` of the rusher
};

/// The nearest to the rusher (ties: nearer the passer, then the lower id) of the protectors but `blocker` whose
/// disc his straight line enters, radius `body` shrunk to the distance to either of the two, by more than 1e-6 yd.
/// Discs under 1e-6 do not count.
std::optional<Standing> man_between(const Scene& scene, const Point& rusher, const Standing* blocker, double body);

}  // namespace shortedge
