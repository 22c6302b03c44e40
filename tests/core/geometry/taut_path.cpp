#include "geometry/taut_path.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "oracles.hpp"
#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;
using oracles::polygon_path, oracles::Scenery;
using scenes::Random;

namespace {

double length(const Point& start, const Point& goal, const std::vector<Disc>& discs) {
  return taut_path(start, goal, discs).length;
}

bool same(double a, double b) { return a == b || std::abs(a - b) < 1e-9; }

/// A belt round discs, each turned its own way: touching lines and the arcs between them.
double belt(const std::vector<Disc>& discs, const std::vector<Turn>& turns) {
  const std::size_t n = discs.size();
  std::vector<TouchingLine> lines;
  double sum = 0;
  for (std::size_t i = 0; i < n; ++i) {
    lines.push_back(touching_line(discs[i], turns[i], discs[(i + 1) % n], turns[(i + 1) % n]));
    sum += lines.back().length;
  }
  for (std::size_t i = 0; i < n; ++i) {
    const Point& center = discs[i].center;
    sum += discs[i].radius * swept(lines[(i + n - 1) % n].to - center, lines[i].from - center, turns[i]);
  }
  return sum;
}

/// Start and goal apart, up to `most` discs among them.
Scenery random_scenery(Random& random, int most) {
  Scenery scene{random.point(6), random.point(6), {}};
  for (int k = random.whole(1, most); k > 0; --k) scene.discs.push_back({random.point(5), random.number(0.2, 1.6)});
  return scene;
}

/// Start and goal on either side of the discs and well outside them.
Scenery random_outside(Random& random, int most) {
  Scenery scene = random_scenery(random, most);
  scene.start.x() = -5;
  scene.goal.x() = 5;
  for (Disc& disc : scene.discs) {
    disc.radius =
        std::min({disc.radius, 0.9 * distance(disc.center, scene.start), 0.9 * distance(disc.center, scene.goal)});
  }
  return scene;
}

}  // namespace

TEST_CASE("strings pulled taut round one disc") {
  // Computed: tangents and arc.
  CHECK(length({-2, 0}, {2, 0}, {{{0, 0}, 1}}) == Approx(2 * std::sqrt(3.0) + pi / 3).epsilon(1e-14));
  CHECK(length({-2, 0}, {2, 0}, {{{0, 0}, 1}}) == Approx(4.511299).epsilon(2e-7));
  CHECK(length({-5, 0}, {5, 0}, {{{0, 0}, 3}}) == Approx(8 + 3 * (pi - 2 * std::acos(0.6))).epsilon(1e-14));
  CHECK(length({-5, 0}, {5, 0}, {{{0, 0}, 3}}) == Approx(11.861007).epsilon(1e-7));
  // This string clears the disc; the formula without that test gives 2.9405.
  const TautPath clear = taut_path({-2, 0}, {0, 2}, std::vector<Disc>{{{0, 0}, 1}});
  CHECK(clear.length == Approx(2 * std::sqrt(2.0)).epsilon(1e-14));
  CHECK(clear.bend == 0);
  CHECK(taut_path({-2, 0}, {2, 0}, std::vector<Disc>{{{0, 0}, 1}}).bend == Approx(pi / 3).epsilon(1e-14));
}

TEST_CASE("belts round two and three discs") {
  // A college problem's crossed belt, diameters 18 and 12, centres 30 apart; an open one, radii 6 and 21, centres 30
  // (inputs read, answers computed); three unit discs with centres 6, 9 and 13 apart (read).
  CHECK(belt({{{0, 0}, 9}, {{30, 0}, 6}}, {1, -1}) == Approx(30 * std::sqrt(3.0) + 20 * pi).epsilon(1e-14));
  CHECK(belt({{{0, 0}, 6}, {{30, 0}, 21}}, {1, 1}) == Approx(2 * std::sqrt(675.0) + 32 * pi).epsilon(1e-14));
  const double x = (36.0 + 169 - 81) / 12;  // 6 from the first, 13 from the third
  const std::vector<Disc> three{{{0, 0}, 1}, {{6, 0}, 1}, {{x, std::sqrt(169 - x * x)}, 1}};
  REQUIRE(distance(three[1].center, three[2].center) == Approx(9));
  CHECK(belt(three, {1, 1, 1}) == Approx(28 + 2 * pi).epsilon(1e-14));
}

TEST_CASE("a crossed belt depends on the sum of the radii alone") {
  Random random(31);
  for (int i = 0; i < 1000; ++i) {
    const Point a = random.point(5), b = random.point(5);
    const double sum = random.number(0, 0.99) * distance(a, b), share = random.number(0, 1),
                 other = random.number(0, 1);
    CHECK(belt({{a, share * sum}, {b, (1 - share) * sum}}, {1, -1}) ==
          Approx(belt({{a, other * sum}, {b, (1 - other) * sum}}, {1, -1})).epsilon(1e-11));
  }
}

TEST_CASE("a touching line touches, on the side it turns, and runs backwards") {
  Random random(32);
  int none = 0;
  for (int i = 0; i < 4000; ++i) {
    const Disc a{random.point(4), random.number(0, 2)}, b{random.point(4), random.number(0, 2)};
    const Turn turn_a = random.whole(0, 1) ? 1 : -1, turn_b = random.whole(0, 1) ? 1 : -1;
    const double between = distance(a.center, b.center);
    const bool exists = between > std::abs(turn_b * b.radius - turn_a * a.radius);
    const TouchingLine line = touching_line(a, turn_a, b, turn_b);
    if (!exists) {
      ++none;
      CHECK(std::isnan(line.length));
      continue;
    }
    const Point along = line.to - line.from;
    CHECK(along.norm() == Approx(line.length).epsilon(1e-9));
    CHECK(distance(line.from, a.center) == Approx(a.radius).epsilon(1e-9));
    CHECK(distance(line.to, b.center) == Approx(b.radius).epsilon(1e-9));
    CHECK(cross(along, a.center - line.from) == Approx(turn_a * a.radius * line.length).epsilon(1e-7));
    CHECK(cross(along, b.center - line.to) == Approx(turn_b * b.radius * line.length).epsilon(1e-7));
    const TouchingLine back = touching_line(b, -turn_b, a, -turn_a);
    CHECK(distance(back.from, line.to) < 1e-12);
    CHECK(distance(back.to, line.from) < 1e-12);
  }
  CHECK(none > 100);
}

TEST_CASE("reversing, mirroring and moving leave the length as it is; it is never under the straight distance") {
  Random random(33);
  int bent = 0, shut = 0;
  for (int i = 0, n = scenes::cases(3000, 1000000); i < n; ++i) {
    const Scenery scene = random_scenery(random, 10);
    const double taut = length(scene.start, scene.goal, scene.discs);
    bent += taut > distance(scene.start, scene.goal) + 1e-9;
    shut += std::isinf(taut);
    CAPTURE(i);
    CHECK(taut >= distance(scene.start, scene.goal) - 1e-12);
    CHECK(same(taut, length(scene.goal, scene.start, scene.discs)));

    const scenes::Move move{random.number(-pi, pi), random.point(20)};
    std::vector<Disc> mirror, moved;
    for (const Disc& disc : scene.discs) {
      mirror.push_back({scenes::mirrored(disc.center), disc.radius});
      moved.push_back({move(disc.center), disc.radius});
    }
    CHECK(same(taut, length(scenes::mirrored(scene.start), scenes::mirrored(scene.goal), mirror)));
    CHECK(same(taut, length(move(scene.start), move(scene.goal), moved)));

    std::vector<Disc> more = scene.discs;
    more.push_back({random.point(5), random.number(0.2, 1.6)});
    CHECK(length(scene.start, scene.goal, more) >= taut - 1e-9);
  }
  CHECK(bent > 1000);
  CHECK(shut > 0);
}

TEST_CASE("a route is lines and arcs that join without a kink, clear of the discs, and as long as it says") {
  Random random(37);
  TautSearch search;
  int arcs = 0, from_rim = 0;
  for (int i = 0; i < 2000; ++i) {
    Scenery scene = i % 2 ? random_outside(random, 8) : random_scenery(random, 8);
    scene.discs[0].radius = 1.04;
    if (i % 4 == 0) scene.start = scene.discs[0].center + Point(0.3, -0.8);  // a rusher up against his man
    const Route& route = search.route(scene.start, scene.goal, scene.discs);
    CAPTURE(i);
    CHECK(route.stretches.empty() == std::isinf(route.length));
    CHECK(std::isnan(route.bend) == std::isinf(route.length));
    if (route.stretches.empty()) continue;
    CHECK(distance(route.stretches.front().from, scene.start) < 1e-12);
    CHECK(distance(route.stretches.back().to, scene.goal) < 1e-12);
    from_rim += route.stretches.front().turn != 0;

    double sum = 0, turned = 0;
    Point last_at = scene.start, last_direction(0, 0);
    for (const Stretch& stretch : route.stretches) {
      CHECK(stretch.length > 0);
      const RoutePoint in = route.point(sum + 1e-12 * stretch.length), middle = route.point(sum + stretch.length / 2);
      sum += stretch.length;
      const RoutePoint out = route.point(sum * (1 - 1e-15));
      CHECK(distance(stretch.from, last_at) < 1e-9);
      if (last_direction != Point(0, 0) && stretch.length > 1e-6) CHECK(distance(in.direction, last_direction) < 1e-6);
      if (stretch.turn == 0) {
        CHECK(distance(stretch.from, stretch.to) == Approx(stretch.length).epsilon(1e-12));
        CHECK(distance(middle.at, (stretch.from + stretch.to) / 2) < 1e-12);
      } else {
        ++arcs;
        const Disc& disc = stretch.disc;
        turned += stretch.length / disc.radius;
        CHECK(distance(middle.at, disc.center) == Approx(disc.radius).epsilon(1e-12));
        CHECK(cross(middle.at - disc.center, middle.direction) * stretch.turn == Approx(disc.radius).epsilon(1e-9));
      }
      for (const Disc& disc : scene.discs) {
        const double radius =
            std::min({disc.radius, distance(disc.center, scene.start), distance(disc.center, scene.goal)});
        CHECK(distance(middle.at, disc.center) > radius - 1e-8);
      }
      last_at = stretch.to;
      if (stretch.length > 1e-6) last_direction = out.direction;
    }
    CHECK(sum == Approx(route.length).epsilon(1e-9));
    CHECK(turned == Approx(route.bend).epsilon(1e-9));
  }
  CHECK(arcs > 1000);
  CHECK(from_rim > 50);
}

TEST_CASE("a route under a limit is the shortest where that is short enough, and none where it is not") {
  Random random(38);
  TautSearch search, limited;
  int found = 0, too_long = 0;
  for (int i = 0; i < 4000; ++i) {
    const Scenery scene = i % 2 ? random_outside(random, 8) : random_scenery(random, 8);
    const Route whole = search.route(scene.start, scene.goal, scene.discs);
    if (!(whole.bend > 0)) continue;
    const double straight = distance(scene.start, scene.goal), over = whole.length - straight;
    for (const double share : {0.3, 0.9, 0.999999, 1.000001, 1.1, 3.0}) {
      const double limit = straight + share * over;
      const Route& route = limited.route(scene.start, scene.goal, scene.discs, limit);
      CAPTURE(i);
      CAPTURE(share);
      if (share < 1) {
        CHECK(std::isinf(route.length));
        CHECK(route.stretches.empty());
        ++too_long;
      } else {
        CHECK(std::abs(route.length - whole.length) <= 1e-9);
        ++found;
      }
    }
  }
  CHECK(found > 1000);
  CHECK(too_long > 1000);
}

TEST_CASE("strings side by side are as long as alone, to the bit, however many and among however many discs") {
  Random random(39);
  TautSearch search, alone;
  int bent = 0;
  for (int i = 0; i < 1500; ++i) {
    std::vector<Scenery> scenes;
    for (int k = random.whole(0, 11); k > 0; --k) {
      scenes.push_back(random.whole(0, 1) ? random_outside(random, 8) : random_scenery(random, 8));
      if (random.whole(0, 3) == 0) scenes.back().discs[0] = {scenes.back().start + random.point(0.7), 1.04};
      if (random.whole(0, 9) == 0) scenes.back().discs.clear();
      if (random.whole(0, 60) == 0) scenes.back() = random_scenery(random, 20);
      if (random.whole(0, 60) == 0) scenes.back().start = scenes.back().goal;
    }
    std::vector<TautSearch::String> strings;
    for (const Scenery& scene : scenes) strings.push_back({scene.start, scene.goal, scene.discs});
    std::vector<double> lengths(strings.size());
    search.lengths(strings, lengths);
    for (std::size_t k = 0; k < scenes.size(); ++k) {
      CAPTURE(i);
      CAPTURE(k);
      CHECK(lengths[k] == alone.length(scenes[k].start, scenes[k].goal, scenes[k].discs));
      CHECK(same(lengths[k], alone.route(scenes[k].start, scenes[k].goal, scenes[k].discs).length));
      bent += lengths[k] > distance(scenes[k].start, scenes[k].goal);
    }
  }
  CHECK(bent > 3000);
}

TEST_CASE("where two ways are as short, the length is the same alone, among others and of the route") {
  const Scenery scene{{-6, 0}, {2.5, 0}, {{{1.5, 0}, 0.56}, {{2, 0}, 1.04}, {{-2.5, 0}, 1.04}}};
  const std::vector<TautSearch::String> strings(7, {scene.start, scene.goal, scene.discs});
  std::vector<double> lengths(strings.size());
  TautSearch search;
  search.lengths(strings, lengths);
  for (const double length : lengths) CHECK(length == search.length(scene.start, scene.goal, scene.discs));
  CHECK(std::abs(search.route(scene.start, scene.goal, scene.discs).length - lengths[0]) < 1e-12);
}

TEST_CASE("points along a route round one disc") {
  // Tangents of 4 and an arc of 3 (pi - 2 acos 0.6) about the origin, by hand; at half way it is on top of the disc.
  TautSearch search;
  const std::vector<Disc> discs{{{0, 0}, 3}};
  const Route& route = search.route({-5, 0}, {5, 0}, discs);
  REQUIRE(route.stretches.size() == 3);
  CHECK(route.stretches[0].length == Approx(4).epsilon(1e-14));
  CHECK(route.stretches[2].length == Approx(4).epsilon(1e-14));
  CHECK(route.length == Approx(8 + 3 * (pi - 2 * std::acos(0.6))).epsilon(1e-14));
  const RoutePoint top = route.point(route.length / 2);
  CHECK(std::abs(top.at.y()) == Approx(3).epsilon(1e-12));
  CHECK(distance(top.direction, {1, 0}) < 1e-12);
  CHECK(distance(route.point(-1).at, {-5, 0}) < 1e-12);
  CHECK(distance(route.point(100).at, {5, 0}) < 1e-12);
  CHECK(distance(route.point(2).at, (Point(-5, 0) + route.stretches[0].to) / 2) < 1e-12);
  CHECK(search.route({0, 0}, {0, 0}, {}).stretches.empty());
}

TEST_CASE("a search used again gives what a new one gives") {
  Random random(34);
  TautSearch search;
  for (int i = 0; i < 500; ++i) {
    const Scenery scene = random_scenery(random, 8);
    CHECK(search.length(scene.start, scene.goal, scene.discs) == length(scene.start, scene.goal, scene.discs));
  }
}

TEST_CASE("the length lies between the shortest ways round polygons inside and outside the discs") {
  // Any way along circumscribed polygons that clears the discs is a way; any way clears the inscribed polygons, whose
  // shortest way runs over their corners, and clears the circles inscribed in them.
  Random random(35);
  const double inner = std::cos(pi / 60);
  int bent = 0;
  for (int i = 0, n = scenes::cases(40, 4000); i < n; ++i) {
    const Scenery scene = random_outside(random, 5);
    const double taut = length(scene.start, scene.goal, scene.discs);
    CAPTURE(i);
    CHECK(taut <= polygon_path(scene, 1 / inner, 1 - 1e-9) + 1e-9);
    CHECK(taut >= polygon_path(scene, 1, inner - 1e-9) - 1e-9);
    bent += taut > distance(scene.start, scene.goal) + 1e-9 && std::isfinite(taut);
  }
  CHECK(bent > 10);
}

TEST_CASE("the points drawn are the way: clear of the discs, as long, turning as much") {
  Random random(36);
  int bent = 0;
  for (int i = 0; i < 500; ++i) {
    const Scenery scene = random_outside(random, 8);
    const TautPath path = taut_path(scene.start, scene.goal, scene.discs);
    if (std::isinf(path.length)) continue;
    REQUIRE(path.points.size() >= 2);
    CHECK(distance(path.points.front(), scene.start) < 1e-12);
    CHECK(distance(path.points.back(), scene.goal) < 1e-12);
    double drawn = 0, turned = 0;
    Point before(0, 0);
    for (std::size_t k = 1; k < path.points.size(); ++k) {
      const Point &a = path.points[k - 1], &b = path.points[k];
      drawn += distance(a, b);
      if (distance(a, b) > 1e-9) {
        if (k > 1) turned += std::abs(std::atan2(cross(before, b - a), before.dot(b - a)));
        before = b - a;
      }
      for (const Disc& disc : scene.discs) {
        CHECK(distance_to_segment(disc.center, a, b) >=
              disc.radius * std::cos(radians(1.5)) - 1e-9);  // chords of 3 degrees
      }
    }
    CHECK(drawn <= path.length + 1e-9);
    CHECK(drawn >= path.length * 0.9998);  // a chord of 3 degrees is 0.99989 of its arc
    CHECK(turned == Approx(path.bend).epsilon(1e-6));
    bent += path.bend > 0;
  }
  CHECK(bent > 100);
}

TEST_CASE("a ring of men shuts the way") {
  std::vector<Disc> ring;
  for (int k = 0; k < 12; ++k) ring.push_back({3 * Point(std::cos(k * pi / 6), std::sin(k * pi / 6)), 0.9});
  const TautPath shut = taut_path({0, 0}, {10, 0}, ring);
  CHECK(std::isinf(shut.length));
  CHECK(std::isnan(shut.bend));
  CHECK(shut.points.empty());
  ring.erase(ring.begin() + 6);  // one man away, on the far side
  CHECK(std::isfinite(length({0, 0}, {10, 0}, ring)));
}

TEST_CASE("discs that touch leave a way, discs that overlap do not") {
  const auto wall = [](double half_gap) {
    std::vector<Disc> discs;
    for (const double side : {-1.0, 1.0}) {
      for (int k = 0; k < 3; ++k) discs.push_back({{0, side * (1 + half_gap + 1.9 * k)}, 1});
    }
    return discs;
  };
  CHECK(length({-3, 0}, {3, 0}, wall(0)) == Approx(6).epsilon(1e-14));
  CHECK(length({-3, 0}, {3, 0}, wall(0.1)) == 6);
  // Round the end of a wall 5.8 high at least.
  CHECK(length({-3, 0}, {3, 0}, wall(-1e-6)) > 2 * std::hypot(3, 5.8));
}

TEST_CASE("a disc over the start or the goal shrinks to it, and a speck does not count") {
  // On the rim of what is left of it: the man straight ahead of the start is as big as his distance.
  CHECK(length({0, 0}, {5, 0}, {{{0.5, 0}, 1.04}}) == length({0, 0}, {5, 0}, {{{0.5, 0}, 0.5}}));
  CHECK(length({0, 0}, {5, 0}, {{{-0.5, 0}, 3}}) == 5);  // behind him
  CHECK(length({0, 0}, {5, 0}, {{{0, 0}, 1}, {{5, 0}, 1}}) == 5);
  CHECK(length({0, 0}, {5, 0}, {{{2, 0}, 0.9e-6}}) == 5);
  CHECK(length({0, 0}, {5, 0}, {{{2, 0}, 1.1e-6}}) > 5);
  CHECK(length({1, 2}, {1, 2}, {{{1, 2}, 1}}) == 0);
  CHECK(length({0, 0}, {5, 0}, {}) == 5);
}
