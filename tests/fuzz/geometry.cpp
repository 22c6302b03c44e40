// The geometry kernels against areas, symmetries and brute force.

#include <algorithm>
#include <cmath>
#include <vector>

#include "geometry/clip.hpp"
#include "geometry/ring.hpp"
#include "geometry/speed_profile.hpp"
#include "geometry/taut_path.hpp"
#include "geometry/way_round.hpp"
#include "oracles.hpp"
#include "target.hpp"

using namespace shortedge;
using fuzz::must, fuzz::Source;
using oracles::Scenery;

namespace {

Point point(Source& source, double half) {
  const double u = source.number(-half, half);
  return {u, source.number(-half, half)};
}

/// Half-planes share a ring out between them: the parts' areas sum to the whole, and each keeps to its side.
void cut(Source& source) {
  Ring ring;
  for (int k = source.whole(0, 9); k > 0; --k) ring.push_back(point(source, 60));
  const Point a = point(source, 60), b = point(source, 60);
  if (a == b) return;
  const HalfPlane here = source.whole(0, 1) ? nearer_to(a, b) : HalfPlane{a, b - a}, there{here.on, -here.outward};
  Ring one = ring, other = ring, spare;
  clip(one, here, spare);
  clip(other, there, spare);
  must(std::abs(area(one) + area(other) - area(ring)) < 1e-9, "the parts of a ring sum to the whole");
  for (const Point& corner : one)
    must((corner - here.on).dot(here.outward) <= 1e-9 * here.outward.norm(), "a part keeps to its side");
  Ring again = one;
  clip(again, here, spare);
  must(std::abs(area(again) - area(one)) < 1e-9, "cutting twice is cutting once");
}

double length(const Scenery& scene) { return taut_path(scene.start, scene.goal, scene.discs).length; }

/// Discs as large as they count, changed by so much.
Scenery grown(Scenery scene, double by) {
  for (Disc& disc : scene.discs) {
    disc.radius = std::min({disc.radius, distance(disc.center, scene.start), distance(disc.center, scene.goal)});
    disc.radius = std::max(0.0, disc.radius + by);
  }
  return scene;
}

bool same(double a, double b) { return a == b || std::abs(a - b) < 1e-8; }

/// Whether the discs leave no gap, and hold no end, that a change of 1e-7 yd would open or shut: there the length jumps
/// by definition, and rounding decides.
bool decided(const Scenery& scene) {
  return std::abs(length(grown(scene, 1e-7)) - length(grown(scene, -1e-7))) < 1e-4 ||
         std::isinf(length(grown(scene, -1e-7)));
}

void string(Source& source) {
  Scenery scene{point(source, 6), point(source, 6), {}};
  const bool brute = source.whole(0, 15) == 0;
  for (int k = source.whole(0, brute ? 3 : 10); k > 0; --k) {
    const Point center = point(source, 5);
    scene.discs.push_back({center, source.number(0, 1.6)});
  }
  const double taut = length(scene);
  must(taut >= distance(scene.start, scene.goal) - 1e-12, "a string is at least as long as the straight line");
  const TautSearch::String alone{scene.start, scene.goal, scene.discs}, back{scene.goal, scene.start, scene.discs};
  const std::vector<TautSearch::String> strings{alone, back, alone, alone, alone};
  std::vector<double> lengths(strings.size());
  TautSearch().lengths(strings, lengths);
  const auto rounded = [](double a, double b) { return a == b || std::abs(a - b) < 1e-12; };
  must(lengths[0] == lengths[2] && lengths[0] == lengths[4] && rounded(lengths[0], taut) &&
           rounded(lengths[1], length({scene.goal, scene.start, scene.discs})),
       "a string is as long side by side");
  Scenery more = scene;
  const Point center = point(source, 5);
  more.discs.push_back({center, source.number(0, 1.6)});
  if (!decided(scene)) return;
  must(same(taut, length({scene.goal, scene.start, scene.discs})), "a string is as long backwards");
  Scenery mirrored = scene;
  for (Point* at : {&mirrored.start, &mirrored.goal}) at->x() = -at->x();
  for (Disc& disc : mirrored.discs) disc.center.x() = -disc.center.x();
  must(same(taut, length(mirrored)), "a string is as long in the mirror");
  must(!decided(more) || length(more) >= taut - 1e-8, "one more disc makes no string shorter");
  if (brute && std::isfinite(taut)) {
    const Scenery counted = grown(scene, 0);
    const bool outside = std::all_of(counted.discs.begin(), counted.discs.end(), [&](const Disc& disc) {
      return std::min(distance(disc.center, scene.start), distance(disc.center, scene.goal)) > 1.05 * disc.radius;
    });
    if (!outside) return;
    const double inner = std::cos(pi / 60);  // of the oracle's 60 sides
    must(taut <= oracles::polygon_path(counted, 1 / inner, 1 - 1e-9) + 1e-8, "no way round polygons is shorter");
    must(taut >= oracles::polygon_path(counted, 1, inner - 1e-9) - 1e-8,
         "no string is shorter than round inscribed polygons");
  }
}

void round_one(Source& source) {
  const Point start = point(source, 6), goal = point(source, 6), center = point(source, 5);
  const Disc disc{center, std::min(source.number(0, 1.6), distance(center, goal))};
  if (start == center) return;
  const WayRound left = way_round(start, goal, disc, 1), right = way_round(start, goal, disc, -1);
  for (const WayRound& way : {left, right}) {
    must(way.entry >= 0 && way.exit >= 0 && way.turn >= 0 && way.turn <= 2 * pi, "a way's parts are not negative");
    must(way.length() >= distance(way.start, goal) - 1e-9, "a way is at least as long as the straight line");
  }
  const Point flip(-1, 1);
  const WayRound mirror =
      way_round(start.cwiseProduct(flip), goal.cwiseProduct(flip), {center.cwiseProduct(flip), disc.radius}, -1);
  must(same(mirror.length(), left.length()), "left is right in the mirror");
  const double gap = distance(start, center) - disc.radius;
  if (gap > 1e-6 && disc.radius > 1e-6 && distance(goal, center) > disc.radius + 1e-6) {
    const Scenery scene{start, goal, {disc}};
    must(same(std::min(left.length(), right.length()), length(scene)), "the lesser way is the string round that disc");
  }
}

void sprint(Source& source) {
  std::vector<Piece> pieces;
  for (int k = source.whole(0, 6); k > 0; --k) {
    const double long_ = source.number(0, 5);
    pieces.push_back({long_, source.number(0.5, 12)});
  }
  const double vmax = source.number(6, 11), tau = source.number(0.6, 1.3), brake = source.number(3, 9);
  const Runner runner{{vmax, tau}, brake};
  const double start = source.number(0, 11);
  const Run run = least_time(pieces, start, runner);
  must(run.time >= 0 && run.end_speed >= 0 && run.end_speed <= std::max(vmax, start),
       "a time and a speed are not negative");
  if (pieces.size() <= Paths::pieces) {
    Paths paths;
    paths.count = 3;
    for (std::size_t k = 0; k < paths.count; ++k) {
      for (std::size_t piece = 0; piece < Paths::pieces; ++piece) {
        paths.length[piece][k] = piece < pieces.size() ? pieces[piece].length : 0;
        paths.cap[piece][k] = piece < pieces.size() ? pieces[piece].cap : 1;
      }
      paths.speed[k] = start;
    }
    least_times(paths, runner);
    must(paths.time[0] == run.time && paths.time[2] == run.time && paths.speed[1] == run.end_speed,
         "a path takes as long side by side");
  }
  std::vector<Piece> longer = pieces, lifted = pieces;
  if (longer.size() < 8) longer.push_back({1, 6});
  must(least_time(longer, start, runner).time >= run.time - 1e-9, "a longer path takes no less");
  for (Piece& piece : lifted) piece.cap += 1;
  must(least_time(lifted, start, runner).time <= run.time + 1e-9, "a higher cap takes no longer");
  std::vector<Piece> solid;
  for (const Piece& piece : pieces) {
    if (piece.length > 0) solid.push_back(piece);
  }
  if (!solid.empty())
    must(std::abs(oracles::grid_time(solid, start, runner, 2000) - least_time(solid, start, runner).time) < 2e-3,
         "the time is the fine grid's");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  Source source(data, size);
  switch (source.whole(0, 3)) {
    case 0: cut(source); break;
    case 1: string(source); break;
    case 2: round_one(source); break;
    default: sprint(source);
  }
  return 0;
}
