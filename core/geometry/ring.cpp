#include "geometry/ring.hpp"

#include <boost/geometry/algorithms/area.hpp>
#include <boost/geometry/algorithms/covered_by.hpp>
#include <boost/geometry/algorithms/is_valid.hpp>
#include <boost/geometry/strategies/strategies.hpp>

namespace shortedge {

double area(const Ring& ring) { return boost::geometry::area(ring); }
bool covers(const Ring& ring, const Point& point) { return boost::geometry::covered_by(point, ring); }
bool is_valid(const Ring& ring) { return boost::geometry::is_valid(ring); }

}  // namespace shortedge
