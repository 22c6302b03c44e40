#pragma once
/// The pocket of one frame: its ring, whether it encloses the passer, and its figures.
///
/// Corners: the wall's men and two rear corners, below the wall's outermost men at the greatest depth of passer and
/// wall plus `cushion`; sorted by bearing round the passer. Where no two neighbours are 180 degrees or more apart the
/// ring is star-shaped about the passer, so simple, with him inside; sorted by bearing it is counter-clockwise in (u,
/// v). The trade has no definition of pocket width or depth; these are this project's own.

#include "base/columns.hpp"
#include "geometry/ring.hpp"
#include "pocket/wall.hpp"

namespace shortedge {

/// What stands at a corner of the ring: an index into Wall::men, or one of the corners behind.
enum Corner : std::ptrdiff_t { rear_left = -1, rear_right = -2 };

struct Pocket {
  Ring ring;                            ///< empty when the wall is
  std::vector<std::ptrdiff_t> corners;  ///< what stands at each point of the ring
  std::vector<double> ranks;            ///< of each one's bearing (bearing_rank), increasing
  bool encloses = false;                ///< three men or more, the passer between the outermost, no gap of 180 degrees
};

void shape_pocket(const Scene& scene, const Wall& wall, double cushion, Pocket& pocket);

/// Distance from the passer to the ring in direction `toward` (a unit vector), and the edge it leaves by: from corner
/// `edge` to the next, the last one being the edge across bearing 180. Of an enclosing pocket only.
struct Exit {
  double distance;
  std::size_t edge;
};
Exit leave_pocket(const Pocket& pocket, const Point& passer, const Point& toward);

/// yd, from the passer straight upfield to the ring: the room to step up. Of an enclosing pocket only.
double pocket_depth(const Pocket& pocket, const Point& passer);

/// yd^2, the part of the ring nearer to the passer than to any rusher: cut by the bisectors; all of it with none.
/// Leaves that part in `room`, whose memory is kept.
struct Room {
  Ring ring, spare;
};
double passer_room(const Pocket& pocket, const Scene& scene, Room& room);

/// First that fits: missing, outside (in front of the line of scrimmage, or not enclosed and more than 3 yd across from
/// `first_u`, where he was first seen), thin (under three men in the wall), collapsed (not enclosed), ok.
Status status_of(const Scene& scene, const Wall& wall, const Pocket& pocket, double first_u);

}  // namespace shortedge
