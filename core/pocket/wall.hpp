#pragma once
/// The wall: the men who are the pocket's front and sides in one frame.
///
/// The linemen, and any other protector within `engage` of a rusher; without those more than 3 yd beyond the line, on
/// the passer (0.05 yd), or farther behind him than bearing 135 degrees (a man riding his rusher past the passer). Then
/// from the centre outward the first man more than `detach` farther out than the one before him, and all beyond him,
/// are detached: a tackle kicked out to a wide blitzer no longer sets the pocket's width, the guard does. Of men at one
/// bearing only the nearest stays.

#include "base/rules.hpp"
#include "play/scene.hpp"

namespace shortedge {

struct WallMan {
  Standing standing;
  double rank;  ///< of his bearing from the passer: bearing_rank
};

struct Wall {
  std::vector<WallMan> men;  ///< left to right by bearing
  std::size_t center = 0;    ///< index of the centre; else of the lineman nearest the ball across, else of the man
  std::size_t left = 0, right = 0;  ///< indices of the outermost men, who set the width
  std::vector<Standing> detached;   ///< left to right: who would be of the wall, but stands too far outside

  double u_min() const { return men[left].standing.at.x(); }
  double u_max() const { return men[right].standing.at.x(); }
};

/// The passer must be present. The wall may be empty; then the indices mean nothing.
void find_wall(const Scene& scene, const Rules& rules, Wall& wall);

}  // namespace shortedge
