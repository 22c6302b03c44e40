#include "geometry/clip.hpp"

#include <utility>

namespace shortedge {

HalfPlane nearer_to(const Point& a, const Point& b) { return {(a + b) / 2, b - a}; }

void clip(Ring& ring, const HalfPlane& half_plane, Ring& spare) {
  spare.clear();
  if (ring.empty()) return;
  auto height = [&](const Point& point) { return (point - half_plane.on).dot(half_plane.outward); };
  Point before = ring.back();
  double before_height = height(before);
  for (const Point& point : ring) {
    const double point_height = height(point);
    if ((before_height > 0) != (point_height > 0)) {
      const double share = before_height / (before_height - point_height);
      spare.push_back(before + share * (point - before));
    }
    if (point_height <= 0) spare.push_back(point);
    before = point;
    before_height = point_height;
  }
  std::swap(ring, spare);
}

}  // namespace shortedge
