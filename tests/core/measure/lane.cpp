#include "measure/lane.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "scenes.hpp"

using namespace shortedge;
using scenes::FrameScene;

namespace {

/// Gap letters as the trade counts them (common practice): A between centre and guard, B between guard and tackle, C
/// outside the tackle.
LaneAt lane(const FrameScene& scene, const Point& rusher) {
  Wall wall;
  Pocket pocket;
  find_wall(scene, Rules(), wall);
  shape_pocket(scene, wall, 1, pocket);
  REQUIRE(pocket.encloses);
  return find_lane(pocket, wall, scene.passer, rusher);
}

void check_lane(const FrameScene& scene, const Point& rusher, Lane letter, Side side) {
  CAPTURE(rusher.x());
  CAPTURE(rusher.y());
  const LaneAt found = lane(scene, rusher);
  CHECK(found.lane == letter);
  CHECK(found.side == side);
}

}  // namespace

TEST_CASE("the gaps of five linemen") {
  FrameScene scene({0, 5});
  scene.line();
  for (const double sign : {-1.0, 1.0}) {
    const Side side = side_of(sign);
    check_lane(scene, {sign * 0.75, -1}, Lane::A, side);
    check_lane(scene, {sign * 4.5, -1}, Lane::B, side);
    check_lane(scene, {sign * 6, 4}, Lane::C, side);
    check_lane(scene, {sign * 1, 9}, Lane::rear, side);
    check_lane(scene, {sign * 1, 4}, Lane::in, side);
  }
  check_lane(scene, {0, 9}, Lane::rear, Side::right);  // straight behind counts as right
  check_lane(scene, {0, 4}, Lane::in, Side::right);
  check_lane(scene, {0, 5}, Lane::in, Side::right);    // on the passer
  check_lane(scene, {-3, 4.5}, Lane::in, Side::left);  // on the ring
}

TEST_CASE("who stands on the ring is in, whatever the decimals of his place") {
  // The ring's sides run straight back from the outermost men, its rear straight across: common in tables of decimals.
  scenes::Random random(86);
  for (int i = 0; i < 5000; ++i) {
    const auto decimal = [&](double low, double high) { return std::round(1000 * random.number(low, high)) / 1000; };
    const Point left(decimal(-3, -1), decimal(3, 5)), right(decimal(1, 3), decimal(3, 5)),
        passer(decimal(-0.9, 0.9), decimal(6, 9));
    FrameScene scene(passer);
    scene.protector(Slot::LG, left).protector(Slot::C, {decimal(-0.5, 0.5), 1.5}).protector(Slot::RG, right);
    const double rear = passer.y() + 1, share = random.number(0.01, 0.99);
    for (const Point& end : {left, right}) {
      CHECK(lane(scene, {end.x(), std::round(1000 * std::lerp(end.y(), rear, share)) / 1000}).lane == Lane::in);
      CHECK(lane(scene, {end.x() + (end.x() < 0 ? -0.001 : 0.001), end.y() + 1}).lane != Lane::in);
    }
    CHECK(lane(scene, {std::round(1000 * std::lerp(left.x(), right.x(), share)) / 1000, rear}).lane == Lane::in);
  }
}

TEST_CASE("a side is counted from the centre, wherever the passer stands") {
  FrameScene scene({-1.6, 5});
  scene.line();
  check_lane(scene, {0.75, 0}, Lane::A, Side::right);
  check_lane(scene, {-1.1, 0}, Lane::A, Side::left);  // right of the passer, left of the centre
}

TEST_CASE("a tight end in the wall: C between him and the tackle") {
  FrameScene scene({0, 5});
  scene.line().protector(Slot::none, {4.5, 3.5}).rusher({4.7, 3});
  check_lane(scene, {7.5, 1.5}, Lane::C, Side::right);
  check_lane(scene, {4.5, -1}, Lane::B, Side::right);  // the gaps inside keep their letters
  FrameScene left({0, 5});
  left.line().protector(Slot::none, {-4.5, 3.5}).rusher({-4.7, 3});
  check_lane(left, {-7.5, 1.5}, Lane::C, Side::left);
}

TEST_CASE("an unbalanced line: C between its outer two, D outside the third, and outside a fourth") {
  for (const double sign : {-1.0, 1.0}) {
    const Slot tackle = sign < 0 ? Slot::LT : Slot::RT;
    const Side side = side_of(sign);
    FrameScene scene({0, 5});
    scene.line().protector(tackle, {sign * 4.5, 3.5});
    check_lane(scene, {sign * 7.5, 1.5}, Lane::C, side);
    check_lane(scene, {sign * 8, 5}, Lane::D, side);
    check_lane(scene, {-sign * 6, 4}, Lane::C, side_of(-sign));  // two linemen on the other side
    scene.protector(tackle, {sign * 6, 3.8});
    check_lane(scene, {sign * 9, 3.1}, Lane::D, side);  // between the third and the fourth
    check_lane(scene, {sign * 9, 5}, Lane::D, side);
  }
}

TEST_CASE("a back who has stepped up between linemen is no step of the count") {
  for (const double sign : {-1.0, 1.0}) {
    FrameScene scene({0, 5});
    scene.line().protector(Slot::none, {sign * 0.8, 2.4}).rusher({sign * 0.8, 2});
    check_lane(scene, {sign * 0.4, -1}, Lane::A, side_of(sign));
    check_lane(scene, {sign * 1.6, -1}, Lane::A, side_of(sign));
    check_lane(scene, {sign * 4.5, -1}, Lane::B, side_of(sign));
  }
}

TEST_CASE("with the tackle detached the gap outside the guard is B") {
  FrameScene scene({0, 5});
  scene.line();
  scene.protectors[4].at = {6, 3};
  check_lane(scene, {6, 3}, Lane::B, Side::right);
  check_lane(scene, {-6, 4}, Lane::C, Side::left);
}

TEST_CASE("mirrored, left is right") {
  scenes::Random random(91);
  for (int i = 0; i < 2000; ++i) {
    FrameScene scene({random.number(-1, 1), random.number(4, 7)}), mirror(scenes::mirrored(scene.passer));
    constexpr Slot slots[] = {Slot::LT, Slot::LG, Slot::C, Slot::RG, Slot::RT};
    std::vector<Point> places;
    for (int k = 0; k < 5; ++k) places.push_back({1.6 * (k - 2) + random.number(-0.5, 0.5), random.number(1, 4)});
    for (std::size_t k = 0; k < 5; ++k) {
      scene.protector(slots[k], places[k]);
      mirror.protector(slots[4 - k], scenes::mirrored(places[k]));
    }
    const Point rusher(random.number(-8, 8), random.number(-2, 10));
    const LaneAt one = lane(scene, rusher), other = lane(mirror, scenes::mirrored(rusher));
    CHECK(one.lane == other.lane);
    CHECK(sign(one.side) == -sign(other.side));
  }
}
