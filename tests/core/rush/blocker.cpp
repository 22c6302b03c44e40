#include "rush/blocker.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "scenes.hpp"

using namespace shortedge;
using scenes::FrameScene;

namespace {
Blocking blocking(const FrameScene& scene, const Rules& rules = {}) {
  return find_blocker(scene, scene.rushers.front(), rules);
}
}  // namespace

TEST_CASE("the nearest protector blocks") {
  FrameScene scene({0, 5});
  scene.line().rusher({3.5, 2});
  const Blocking found = blocking(scene);
  REQUIRE(found.blocker);
  CHECK(found.blocker->man == 4);  // RT
  CHECK(found.range == doctest::Approx(std::hypot(0.5, 1)));
  CHECK(found.engaged);
  CHECK(found.side == 1);
  CHECK_FALSE(found.past);
}

TEST_CASE("of two as near the one nearer the passer blocks, then the lower id") {
  FrameScene scene({0, 5});
  scene.protector(Slot::LG, {-1, 2}).protector(Slot::C, {1, 4}).rusher({-1, 4});
  CHECK(blocking(scene).blocker->man == 1);
  FrameScene even({0, 5});
  even.protector(Slot::LG, {-1, 2}).protector(Slot::RG, {1, 2}).rusher({0, 2});
  CHECK(blocking(even).blocker->man == 0);
}

TEST_CASE("engaged at meet exactly; helpers within engage, blocker and passer not counted") {
  FrameScene scene({0, 5});
  scene.protector(Slot::C, {0, 0})
      .protector(Slot::RG, {1.5, 1.25})
      .mate({-1.5, 1.25})
      .mate({0, 2.76})
      .rusher({0, 1.25});
  Rules rules;
  rules.meet = 1.25;
  const Blocking found = blocking(scene, rules);
  CHECK(found.blocker->man == 0);
  CHECK(found.engaged);
  CHECK(found.helpers == 2);  // 1.5 away on either side; the back at 1.51 is not
  rules.meet = 1.2499;
  CHECK_FALSE(blocking(scene, rules).engaged);
}

TEST_CASE("sides: tackles and guards their own, the centre none, others by the passer") {
  const Point passer(2, 5);
  CHECK(blocker_side({0, Slot::LT, {4, 2}}, passer) == -1);  // even when he stands right of the passer
  CHECK(blocker_side({0, Slot::LG, {0, 2}}, passer) == -1);
  CHECK(blocker_side({0, Slot::RG, {0, 2}}, passer) == 1);
  CHECK(blocker_side({0, Slot::RT, {0, 2}}, passer) == 1);
  CHECK(blocker_side({0, Slot::C, {4, 2}}, passer) == 0);
  CHECK(blocker_side({0, Slot::none, {1.9, 2}}, passer) == -1);
  CHECK(blocker_side({0, Slot::none, {2, 2}}, passer) == 1);
}

TEST_CASE("past his blocker a rusher takes his own side") {
  FrameScene scene({0, 5});
  scene.protector(Slot::LT, {-1, 3}).rusher({0.5, 4});
  CHECK(blocking(scene).past);
  CHECK(blocking(scene).side == 1);
  FrameScene even({0, 5});
  even.protector(Slot::C, {0, 3}).rusher({-2, 5});  // as far from the passer as the centre
  CHECK(blocking(even).past);
  CHECK(blocking(even).side == -1);
}

TEST_CASE("no protector: no blocker, helpers all the same") {
  FrameScene scene({0, 5});
  scene.mate({1, 1}).rusher({1, 2});
  const Blocking found = blocking(scene);
  CHECK_FALSE(found.blocker);
  CHECK(std::isnan(found.range));
  CHECK_FALSE(found.engaged);
  CHECK(found.helpers == 1);
}
