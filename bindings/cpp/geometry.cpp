// The figures of single points: exposed row by row, broadcast on the Python side.

#include <stdexcept>

#include "arrays.hpp"
#include "base/rules.hpp"
#include "geometry/taut_path.hpp"
#include "rush/closest.hpp"
#include "rush/corner.hpp"
#include "rush/cutoff.hpp"
#include "rush/ways.hpp"
#include "tracking/velocity.hpp"

using namespace shortedge;
using namespace shortedge::python;

namespace {

std::vector<Point> way_points(const WayRound& way, const Point& goal, const Point& center, int side) {
  std::vector<Point> points{way.start};
  if (way.turn > 0) {
    const int chords = std::max(1, static_cast<int>(std::ceil(degrees(way.turn) / 3)));
    const Point out = way.on - center;
    for (int k = 0; k <= chords; ++k) {
      const double angle = side * way.turn * k / chords;
      points.push_back(center + Point(std::cos(angle) * out.x() - std::sin(angle) * out.y(),
                                      std::sin(angle) * out.x() + std::cos(angle) * out.y()));
    }
  }
  points.push_back(goal);
  return points;
}

}  // namespace

void bind_geometry(py::module_& module) {
  module.def("cutoff_ratio", [](const py::array& rusher, const py::array& blocker, const py::array& passer) {
    const Points r = points(rusher, "rusher"), b = points(blocker, "blocker"), q = points(passer, "passer");
    return each_row(rusher, {&blocker, &passer}, [&](auto i) { return cutoff_ratio(row(r, i), row(b, i), row(q, i)); });
  });
  module.def("corner_held", [](const py::array& rusher, const py::array& blocker, const py::array& passer,
                               const py::array& side, double reach) {
    const Points r = points(rusher, "rusher"), b = points(blocker, "blocker"), q = points(passer, "passer");
    const std::span<const std::int64_t> sides = column<std::int64_t>(side, "side");
    return each_row(rusher, {&blocker, &passer, &side}, [&](auto i) {
      return corner_held(row(r, i), row(b, i), row(q, i), static_cast<int>(sides[static_cast<std::size_t>(i)]), reach);
    });
  });
  module.def("closest_approach", [](const py::array& apart, const py::array& velocity) {
    const Points p = points(apart, "apart"), v = points(velocity, "velocity");
    const auto distances =
        each_row(apart, {&velocity}, [&](auto i) { return closest_approach(row(p, i), row(v, i)).distance; });
    const auto times = each_row(apart, {&velocity}, [&](auto i) { return closest_approach(row(p, i), row(v, i)).in; });
    return py::make_tuple(distances, times);
  });
  module.def("fit_velocity", [](const py::array& time, const py::array& place) {
    const Points p = points(place, "place");
    std::vector<Point> places;
    for (Eigen::Index i = 0; i < p.rows(); ++i) places.push_back(row(p, i));
    return to_array(std::span<const Point>(fit_velocity(column<double>(time, "time"), places)));
  });
  module.def("way_round", [](const Point& rusher, const Point& blocker, const Point& passer, int side,
                             const Point& velocity, const Rules& rules) {
    const WayRound way = way_past(rusher, blocker, passer, side, rules.reach);
    py::dict out;
    out["length"] = way.length();
    out["bend"] = degrees(way.turn);
    out["time"] = time_of(way, velocity, rules);
    const std::vector<Point> points =
        std::isinf(way.entry) ? std::vector<Point>() : way_points(way, passer, blocker, side);
    out["points"] = to_array(std::span<const Point>(points));
    return out;
  });
  module.def("taut_path", [](const Point& start, const Point& goal, const py::array& centers, const py::array& reach) {
    const Points at = points(centers, "centers");
    const std::span<const double> radius = column<double>(reach, "reach");
    if (static_cast<std::size_t>(at.rows()) != radius.size())
      throw py::value_error("centers and reach of unequal length");
    std::vector<Disc> discs;
    for (Eigen::Index i = 0; i < at.rows(); ++i) discs.push_back({row(at, i), radius[static_cast<std::size_t>(i)]});
    const TautPath path = taut_path(start, goal, discs);
    py::dict out;
    out["length"] = path.length;
    out["bend"] = degrees(path.bend);
    out["points"] = to_array(std::span<const Point>(path.points));
    return out;
  });
}
