#pragma once
/// Measures of a ring. Area, containment and validity are Boost.Geometry's.

#include "geometry/point.hpp"

namespace shortedge {

/// Square units of the ring; positive for a counter-clockwise ring, 0 with fewer than three corners.
double area(const Ring& ring);

/// True for a point inside the ring or on it. The ring must be simple.
bool covers(const Ring& ring, const Point& point);

/// True for a simple counter-clockwise ring of at least three corners without spikes.
bool is_valid(const Ring& ring);

}  // namespace shortedge
