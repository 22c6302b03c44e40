#include "pocket/wall.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "scenes.hpp"

using namespace shortedge;
using scenes::FrameScene;

namespace {

Wall wall_of(const FrameScene& scene, const Rules& rules = {}) {
  Wall wall;
  find_wall(scene, rules, wall);
  return wall;
}

std::vector<std::size_t> men(const Wall& wall) {
  std::vector<std::size_t> found;
  for (const WallMan& man : wall.men) found.push_back(man.standing.man);
  return found;
}

using Men = std::vector<std::size_t>;

}  // namespace

TEST_CASE("the linemen are the wall, left to right") {
  FrameScene scene({0, 5});
  scene.line();
  const Wall wall = wall_of(scene);
  CHECK(men(wall) == Men{0, 1, 2, 3, 4});
  CHECK(wall.center == 2);
  CHECK(wall.left == 0);
  CHECK(wall.right == 4);
  CHECK(wall.u_min() == -3);
  CHECK(wall.u_max() == 3);
  const auto from_passer = [](const WallMan& man) { return bearing({0, 5}, man.standing.at); };
  for (std::size_t i = 1; i < wall.men.size(); ++i) CHECK(from_passer(wall.men[i]) > from_passer(wall.men[i - 1]));
  CHECK(wall_of(FrameScene({0, 5})).men.empty());
}

TEST_CASE("another protector belongs to it within engage of a rusher") {
  FrameScene scene({0, 5});
  scene.line().protector(Slot::none, {4.5, 4}).rusher({4.5, 2.5});
  CHECK(men(wall_of(scene)) == Men{0, 1, 2, 3, 4, 5});  // 1.5 exactly
  Rules rules;
  rules.engage = 1.49;
  CHECK(men(wall_of(scene, rules)) == Men{0, 1, 2, 3, 4});
}

TEST_CASE("men downfield, on the passer or behind him do not") {
  // Of the left guard, each time.
  const auto with = [](const Point& guard) {
    FrameScene scene({0, 5});
    scene.protector(Slot::LT, {-3, 3})
        .protector(Slot::C, {0, 1.5})
        .protector(Slot::RG, {1.5, 2})
        .protector(Slot::LG, guard);
    return wall_of(scene).men.size() == 4;
  };
  CHECK(with({-1.5, -3}));
  CHECK_FALSE(with({-1.5, -3.01}));
  CHECK_FALSE(with({-0.03, 4.97}));
  CHECK(with({-0.04, 4.96}));
  CHECK(with({-2, 6.99}));
  CHECK_FALSE(with({-2, 7.01}));  // farther back than 135 degrees: riding his rusher past the passer
}

TEST_CASE("a man kicked out is detached, and all beyond him") {
  FrameScene scene({0, 5});
  scene.protector(Slot::LT, {-3, 3})
      .protector(Slot::LG, {-1.5, 2})
      .protector(Slot::C, {0, 1.5})
      .protector(Slot::RG, {1.5, 2})
      .protector(Slot::RT, {5.1, 3})
      .protector(Slot::none, {6, 3})
      .rusher({6.5, 2.5});
  const auto detached = [](const Wall& of) {
    Men found;
    for (const Standing& man : of.detached) found.push_back(man.man);
    return found;
  };
  const Wall wall = wall_of(scene);
  CHECK(men(wall) == Men{0, 1, 2, 3});
  CHECK(wall.u_max() == 1.5);
  CHECK(detached(wall) == Men{4, 5});
  Wall again = wall;
  find_wall(scene, Rules(), again);
  CHECK(detached(again) == Men{4, 5});  // of this frame, not of those before
  scene.protectors[0].at.x() = -5.1;
  CHECK(detached(wall_of(scene)) == Men{0, 4, 5});
  scene.protectors[0].at.x() = -3;
  scene.protectors[4].at.x() = 5;  // 3.5 exactly
  CHECK(men(wall_of(scene)) == Men{0, 1, 2, 3, 4, 5});
  CHECK(detached(wall_of(scene)).empty());
  Rules rules;
  rules.detach = 1.6;
  CHECK(men(wall_of(scene, rules)) == Men{0, 1, 2, 3});
}

TEST_CASE("the wall is counted from C, else from the lineman nearest the ball, else from the nearest man") {
  FrameScene with_center({0, 5});
  with_center.protector(Slot::LG, {-0.5, 2}).protector(Slot::C, {-4.5, 1.5}).protector(Slot::RG, {3, 2});
  CHECK(men(wall_of(with_center)) == Men{1});  // LG is 4 yd from C, so LG and RG are detached
  // Two men are listed as centre: the one nearer to the ball is he, of as near ones the lower id.
  for (const bool first : {true, false}) {
    FrameScene two({0, 5});
    two.protector(Slot::C, {first ? -0.5 : -4.5, 1.5})
        .protector(Slot::C, {first ? 4.5 : 0.5, 1.5})
        .protector(Slot::RG, {1, 2});
    CHECK(men(wall_of(two)) == (first ? Men{0, 2, 1} : Men{1, 2}));
    CHECK(wall_of(two).men[wall_of(two).center].standing.man == (first ? 0 : 1));
  }
  FrameScene even({0, 5});
  even.protector(Slot::C, {-2, 1.5}).protector(Slot::C, {2, 1.5});
  CHECK(men(wall_of(even)) == Men{0});
  FrameScene without({0, 5});
  without.protector(Slot::LT, {-4.5, 2})
      .protector(Slot::RG, {0.8, 2})
      .protector(Slot::none, {-0.2, 1.5})
      .rusher({-0.2, 1});
  CHECK(men(wall_of(without)) == Men{2, 1});
  CHECK(wall_of(without).center == 1);  // RG, though the back stands nearer the ball
  FrameScene backs({0, 5});
  backs.protector(Slot::none, {-2, 2}).protector(Slot::none, {0.9, 2}).rusher({-2, 1}).rusher({0.9, 1});
  CHECK(wall_of(backs).center == 1);
}

TEST_CASE("of men at one bearing only the nearest stays, and the centre is chosen again") {
  FrameScene scene({0, 5});
  scene.protector(Slot::LT, {-3, 3})
      .protector(Slot::C, {1, 2})
      .protector(Slot::RG, {0.5, 3.5})
      .protector(Slot::RT, {3, 3});
  const Wall wall = wall_of(scene);
  CHECK(men(wall) == Men{0, 2, 3});
  CHECK(wall.center == 1);
  CHECK(wall.men[wall.center].standing.slot == Slot::RG);
}

TEST_CASE("order is by bearing, width by place across") {
  // The left tackle has been driven back beside the passer; the guard stands farther out but is before him.
  FrameScene scene({0, 5});
  scene.protector(Slot::LT, {-1.5, 5.5})
      .protector(Slot::LG, {-2.5, 3})
      .protector(Slot::C, {0, 1.5})
      .protector(Slot::RG, {1.5, 2});
  const Wall wall = wall_of(scene);
  CHECK(men(wall) == Men{0, 1, 2, 3});
  CHECK(wall.left == 1);
  CHECK(wall.u_min() == -2.5);
}
