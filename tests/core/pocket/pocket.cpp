#include "pocket/pocket.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "geometry/disc.hpp"
#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;
using scenes::FrameScene;

namespace {

struct Shaped {
  Wall wall;
  Pocket pocket;
};

Shaped shape(const Scene& scene, double cushion = 1) {
  Shaped shaped;
  find_wall(scene, Rules(), shaped.wall);
  shape_pocket(scene, shaped.wall, cushion, shaped.pocket);
  return shaped;
}

Status status(const FrameScene& scene, double first_u = 0) {
  const Shaped shaped = shape(scene);
  return status_of(scene, shaped.wall, shaped.pocket, first_u);
}

double room_of(const Pocket& pocket, const Scene& scene) {
  Room room;
  return passer_room(pocket, scene, room);
}

double distance_to_ring(const Ring& ring, const Point& at) {
  double least = infinity;
  for (std::size_t k = 0; k < ring.size(); ++k) {
    least = std::min(least, distance_to_segment(at, ring[k], ring[(k + 1) % ring.size()]));
  }
  return least;
}

FrameScene random_scene(scenes::Random& random) {
  FrameScene scene({random.number(-2, 2), random.number(2, 8)});
  for (int slot = 1; slot <= 5; ++slot) {
    if (random.whole(0, 9) == 0) continue;
    scene.protector(static_cast<Slot>(slot), {1.6 * (slot - 3) + random.number(-1.5, 1.5), random.number(0, 7)});
  }
  for (int k = random.whole(0, 5); k > 0; --k) scene.rusher({random.number(-7, 7), random.number(-1, 9)});
  return scene;
}

}  // namespace

TEST_CASE("a pocket by hand") {
  FrameScene scene({0, 5});
  scene.line();
  const Shaped shaped = shape(scene);
  const auto& [wall, pocket] = shaped;
  CHECK(pocket.encloses);
  CHECK(pocket.ring.size() == 7);
  // Between u -3 and 3: 3 yd from the tackles' depth back to the corners, and above it trapezoids of 0, 1 and 1.5 yd.
  CHECK(area(pocket.ring) == Approx(6 * 3 + 2 * (1.5 * 0.5 + 1.5 * 1.25)).epsilon(1e-14));
  CHECK(pocket_depth(pocket, scene.passer) == Approx(3.5).epsilon(1e-14));
  CHECK(wall.u_max() - wall.u_min() == 6);
  scene.passer = {0.75, 5};  // straight upfield between centre and guard
  CHECK(pocket_depth(shape(scene).pocket, scene.passer) == Approx(3.25).epsilon(1e-14));
}

TEST_CASE(
    "men exactly opposite leave a gap of 180 degrees, whatever their decimals; a little forward they leave none") {
  // Spec of the pocket: no two neighbours 180 degrees or more apart. Places are decimals, as tables have them.
  scenes::Random random(84);
  const auto decimal = [](int hundredths) { return hundredths / 100.0; };
  for (int i = 0; i < 20000; ++i) {
    const int u = random.whole(-300, 300), v = random.whole(200, 900), out = random.whole(100, 230);
    const int deep = random.whole(-out / 5, out / 5);
    const auto at = [&](int across, int back) { return Point(decimal(u + across), decimal(v + back)); };
    const auto encloses = [&](int forward) {
      FrameScene scene(at(0, 0));
      scene.protector(Slot::LG, at(-out, -deep - forward))
          .protector(Slot::C, at(-out / 2, out / 4))
          .protector(Slot::RG, at(out, deep - forward));
      return shape(scene).pocket.encloses;
    };
    CAPTURE(i);
    CHECK_FALSE(encloses(0));
    CHECK(encloses(1));
  }
}

TEST_CASE("the corners behind stand a cushion behind the deepest of passer and wall") {
  FrameScene scene({0, 5});
  scene.line();
  scene.protectors[0].at = {-3, 6};
  const Pocket pocket = shape(scene, 1.25).pocket;
  std::vector<Point> rear;
  for (std::size_t k = 0; k < pocket.ring.size(); ++k) {
    if (pocket.corners[k] < 0) rear.push_back(pocket.ring[k]);
  }
  REQUIRE(rear.size() == 2);
  CHECK(distance(rear[0], {-3, 7.25}) < 1e-15);  // in order of bearing: the left one first
  CHECK(distance(rear[1], {3, 7.25}) < 1e-15);
}

TEST_CASE("the passer's room is the part nearer to him than to any rusher") {
  FrameScene scene({0, 5});
  scene.line();
  const double whole = 23.25;
  CHECK(room_of(shape(scene).pocket, scene) == Approx(whole).epsilon(1e-14));
  FrameScene nose = scene;
  nose.rusher({0, -1});  // the bisector is v = 2: it cuts off a triangle of 3 by 0.5
  CHECK(room_of(shape(nose).pocket, nose) == Approx(whole - 0.75).epsilon(1e-14));
  FrameScene side = scene;
  side.rusher({4, 5});  // the bisector is u = 2: beyond it a yard by 3, and a slope of 2/3 above
  CHECK(room_of(shape(side).pocket, side) == Approx(whole - 3 - 1.0 / 3).epsilon(1e-14));
  FrameScene sack = scene;
  sack.rusher(scene.passer);
  CHECK(room_of(shape(sack).pocket, sack) == 0);
}

TEST_CASE("random pockets: simple, counter-clockwise, the passer inside, left where they say") {
  scenes::Random random(81);
  int enclosing = 0;
  for (int i = 0, n = scenes::cases(4000, 400000); i < n; ++i) {
    const FrameScene scene = random_scene(random);
    const auto [wall, pocket] = shape(scene);
    CAPTURE(i);
    // Enclosed: three men, the passer between the outermost, no half-plane free of corners.
    bool gap = false;
    for (std::size_t k = 0; k < pocket.ring.size(); ++k) {
      const Point a = pocket.ring[k] - scene.passer, b = pocket.ring[(k + 1) % pocket.ring.size()] - scene.passer;
      gap = gap || cross(a, b) <= 0;
    }
    CHECK(pocket.encloses ==
          (wall.men.size() >= 3 && wall.u_min() < scene.passer.x() && scene.passer.x() < wall.u_max() && !gap));
    if (!pocket.encloses) continue;
    ++enclosing;
    CHECK(is_valid(pocket.ring));
    CHECK(covers(pocket.ring, scene.passer));
    CHECK(pocket.ring.size() == wall.men.size() + 2);
    const double angle = random.number(-pi, pi);
    const Point toward(std::cos(angle), std::sin(angle));
    const Exit exit = leave_pocket(pocket, scene.passer, toward);
    const Point out = scene.passer + exit.distance * toward;
    CHECK(distance_to_ring(pocket.ring, out) < 1e-9);
    CHECK(distance_to_segment(out, pocket.ring[exit.edge], pocket.ring[(exit.edge + 1) % pocket.ring.size()]) < 1e-9);
    CHECK(covers(pocket.ring, scene.passer + (exit.distance - 1e-6) * toward));
    CHECK_FALSE(covers(pocket.ring, scene.passer + (exit.distance + 1e-6) * toward));
    CHECK(pocket_depth(pocket, scene.passer) == leave_pocket(pocket, scene.passer, {0, -1}).distance);
  }
  CHECK(enclosing > 500);
}

TEST_CASE("the passer's room by counting") {
  scenes::Random random(82);
  int counted = 0;
  for (int i = 0; i < 60 && counted < 12; ++i) {
    const FrameScene scene = random_scene(random);
    const Pocket pocket = shape(scene).pocket;
    if (!pocket.encloses || scene.rushers.empty()) continue;
    ++counted;
    constexpr int steps = 200;
    constexpr double half = 11, cell = 2 * half / steps;
    const scenes::Move askew{0.7, scene.passer};  // else whole rows fall in or out where an edge runs along the grid
    double room = 0, whole = 0;
    for (int a = 0; a < steps; ++a) {
      for (int b = 0; b < steps; ++b) {
        const Point at = askew({-half + (a + 0.5) * cell, -half + (b + 0.5) * cell});
        if (!covers(pocket.ring, at)) continue;
        whole += cell * cell;
        const double mine = distance(at, scene.passer);
        room += std::none_of(scene.rushers.begin(), scene.rushers.end(),
                             [&](const Rushing& rusher) { return distance(at, rusher.at) < mine; }) *
                cell * cell;
      }
    }
    // A cell's area is 0.012; some 230 lie on an outline of 25 yd, each in or out as a coin falls: sigma is below 0.1.
    CHECK(std::abs(whole - area(pocket.ring)) < 0.3);
    CHECK(std::abs(room - room_of(pocket, scene)) < 0.3);
  }
  CHECK(counted == 12);
}

TEST_CASE("statuses, the first that fits") {
  FrameScene scene({0, 5});
  scene.line();
  CHECK(status(scene) == Status::ok);
  CHECK(status(scene, 8) == Status::ok);  // enclosed, a moved pocket stays a pocket

  SUBCASE("missing") {
    scene.passer = absent();
    Wall wall;
    Pocket pocket;
    CHECK(status_of(scene, wall, pocket, 0) == Status::missing);
  }
  SUBCASE("outside: over the line of scrimmage") {
    scene.passer = {0, -0.01};
    CHECK(status(scene) == Status::outside);
  }
  SUBCASE("outside: away from where he was, with no pocket round him") {
    scene.passer = {3.5, 5};
    CHECK(status(scene, 0) == Status::outside);
    CHECK(status(scene, 0.5) == Status::collapsed);  // 3 yd exactly
  }
  SUBCASE("thin") {
    FrameScene two({0, 5});
    two.protector(Slot::LG, {-1.5, 2}).protector(Slot::RG, {1.5, 2});
    CHECK(status(two) == Status::thin);
    CHECK(status(two, 3.5) == Status::outside);
    CHECK(status(FrameScene({0, 5})) == Status::thin);
  }
  SUBCASE("collapsed: the passer beside the wall") {
    scene.passer = {3, 5};
    CHECK(status(scene) == Status::collapsed);
  }
  SUBCASE("collapsed: nobody before him") {
    FrameScene behind({0, 1});
    behind.protector(Slot::LG, {-2, 2}).protector(Slot::C, {0.5, 1.2}).protector(Slot::RG, {2, 2});
    CHECK(status(behind) == Status::collapsed);
  }
}
