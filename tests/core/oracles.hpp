#pragma once
/// Slow and plain answers that tests and fuzz targets compare with.

#include <algorithm>
#include <cmath>
#include <vector>

#include "geometry/disc.hpp"
#include "geometry/speed_profile.hpp"

namespace shortedge::oracles {

struct Scenery {
  Point start, goal;
  std::vector<Disc> discs;
};

/// The shortest way along the corners of polygons about the discs that keeps `clear` of their centres, by Dijkstra.
/// `corner` is the corners' distance from the centre. Both in units of a disc's radius.
inline double polygon_path(const Scenery& scene, double corner, double clear) {
  constexpr int sides = 60;
  std::vector<Point> nodes{scene.start, scene.goal};
  for (const Disc& disc : scene.discs) {
    for (int k = 0; k < sides; ++k) {
      const double angle = 2 * pi * k / sides;
      nodes.push_back(disc.center + corner * disc.radius * Point(std::cos(angle), std::sin(angle)));
    }
  }
  const auto free = [&](const Point& a, const Point& b) {
    return std::all_of(scene.discs.begin(), scene.discs.end(),
                       [&](const Disc& disc) { return distance_to_segment(disc.center, a, b) >= clear * disc.radius; });
  };
  std::vector<double> reached(nodes.size(), infinity);
  std::vector<bool> done(nodes.size(), false);
  reached[0] = 0;
  while (true) {
    std::size_t at = nodes.size();
    for (std::size_t i = 0; i < nodes.size(); ++i) {
      if (!done[i] && reached[i] < infinity && (at == nodes.size() || reached[i] < reached[at])) at = i;
    }
    if (at == nodes.size() || at == 1) return reached[1];
    done[at] = true;
    for (std::size_t i = 1; i < nodes.size(); ++i) {
      const double there = reached[at] + distance(nodes[at], nodes[i]);
      if (!done[i] && there < reached[i] && free(nodes[at], nodes[i])) reached[i] = there;
    }
  }
}

/// Least time on a grid of `cells` a piece: on squared speeds, d(v^2)/dx = 2 (vmax - v) / tau forward (Heun's method)
/// and 2 a_brake backward; v_i <= cap.
inline double grid_time(const std::vector<Piece>& pieces, double start, const Runner& runner, int cells) {
  std::vector<double> step, most{runner.sprint.vmax};  // of a cell; greatest speed at the grid's points
  for (const Piece& piece : pieces) {
    for (int i = 0; i < cells; ++i) {
      step.push_back(piece.length / cells);
      most.back() = std::min(most.back(), piece.cap);
      most.push_back(std::min(piece.cap, runner.sprint.vmax));
    }
  }
  for (std::size_t i = step.size(); i-- > 0;) {
    most[i] = std::min(most[i], std::sqrt(most[i + 1] * most[i + 1] + 2 * runner.a_brake * step[i]));
  }
  double speed = std::min(start, most[0]), time = 0;
  const auto gain = [&](double v) { return 2 * (runner.sprint.vmax - v) / runner.sprint.tau; };
  for (std::size_t i = 0; i < step.size(); ++i) {
    const double guess = std::sqrt(speed * speed + step[i] * gain(speed));
    const double next = std::min(most[i + 1], std::sqrt(speed * speed + step[i] * (gain(speed) + gain(guess)) / 2));
    time += 2 * step[i] / (speed + next);
    speed = next;
  }
  return time;
}

}  // namespace shortedge::oracles
