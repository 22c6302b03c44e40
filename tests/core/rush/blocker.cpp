#include "rush/blocker.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <tuple>
#include <vector>

#include "scenes.hpp"

using namespace shortedge;
using scenes::FrameScene, scenes::Random;

namespace {

constexpr double body = 0.56;
const Point passer(0, 7);

/// What PassedSide is shown of one frame.
struct Seen {
  Point rusher;
  std::size_t man;
  Point at;
  int side;
};

std::vector<bool> outside_of_each(const std::vector<Seen>& frames) {
  PassedSide passed;
  std::vector<bool> outside;
  for (const Seen& seen : frames)
    outside.push_back(passed.see(seen.rusher, seen.man, seen.at, passer, seen.side).outside);
  return outside;
}

/// Upfield of the passer, on the man's outside when `out` is above 0; a tackle on the right at (3, 4).
Seen right_tackle(const Point& rusher, int side = 1) { return {rusher, 1, {3, 4}, side}; }

std::optional<std::size_t> between(const FrameScene& scene, std::size_t blocker, double radius = body) {
  const auto found = man_between(scene, scene.rushers.front().at, &scene.protectors[blocker], radius);
  return found ? std::optional(found->man) : std::nullopt;
}

}  // namespace

TEST_CASE("by places alone: past when no farther from the passer, outside when the man is not outside his line") {
  const Point man(3, 4);
  const Placed wide = placed_now({5, 2}, man, passer, 1);
  CHECK(wide.side == 1);
  CHECK_FALSE(wide.past);
  CHECK(wide.outside);
  CHECK_FALSE(placed_now({2, 1}, man, passer, 1).outside);
  CHECK(placed_now({2, 1}, man, passer, -1).outside);  // the same line is outside of a man of the left side
  CHECK_FALSE(placed_now({5, 2}, man, passer, 0).outside);
  CHECK_FALSE(placed_now({2, 1}, man, passer, 0).outside);
  // As far as he is past; a hair farther is not.
  CHECK(placed_now({0, 2}, {0, 12}, passer, 1).past);
  CHECK_FALSE(placed_now({0, 2 - 1e-9}, {0, 12}, passer, 1).past);
  // On his line is outside; so is the rusher on the passer himself.
  CHECK(placed_now({0, 0}, {0, 4}, passer, 1).outside);
  CHECK(placed_now(passer, man, passer, 1).outside);
  CHECK(placed_now(passer, man, passer, 1).past);
}

TEST_CASE("who got past inside stays inside, though he runs behind the man; who got past outside stays outside") {
  // Across the tackle's face to (1, 5), then behind him to (3, 7.5), where his line is outside of the man.
  const std::vector<Seen> across{right_tackle({2.6, 2.5}), right_tackle({1, 5}), right_tackle({2, 6.5}),
                                 right_tackle({3, 7.5})};
  REQUIRE(placed_now({3, 7.5}, {3, 4}, passer, 1).outside);
  REQUIRE(placed_now({3, 7.5}, {3, 4}, passer, 1).past);
  CHECK(outside_of_each(across) == std::vector{false, false, false, false});
  // Round him, and then inside of him from behind.
  const std::vector<Seen> round{right_tackle({4.5, 3}), right_tackle({3.6, 5.4}), right_tackle({1, 5.5}),
                                right_tackle({1, 5})};
  REQUIRE_FALSE(placed_now({1, 5}, {3, 4}, passer, 1).outside);
  CHECK(outside_of_each(round) == std::vector{true, true, true, true});
}

TEST_CASE("what counts is the first frame past him, not the last before, and a new stretch begins anew") {
  // Inside of him before he is past, outside in the first frame past: outside.
  CHECK(outside_of_each({right_tackle({2, 1.5}), right_tackle({3.6, 5.4}), right_tackle({1, 5})}) ==
        std::vector{false, true, true});
  // The man gets before him again; then he goes by on the other side.
  CHECK(outside_of_each({right_tackle({1, 5}), right_tackle({2.6, 2.5}), right_tackle({3.6, 5.4}),
                         right_tackle({1, 5})}) == std::vector{false, false, true, true});
  CHECK(outside_of_each({right_tackle({3.6, 5.4}), right_tackle({5, 2}), right_tackle({1, 5}),
                         right_tackle({3.6, 5.4})}) == std::vector{true, true, false, false});
}

TEST_CASE("another man begins anew, and so does the first when he has him again") {
  const Seen inside = right_tackle({1, 5}), behind = right_tackle({3, 7.5});
  const Seen other{{3, 7.5}, 2, {2.5, 4.5}, 1};  // past him too, and outside of him
  REQUIRE(placed_now(other.rusher, other.at, passer, 1).outside);
  REQUIRE(placed_now(other.rusher, other.at, passer, 1).past);
  CHECK(outside_of_each({inside, behind, other}) == std::vector{false, false, true});
  CHECK(outside_of_each({inside, other, behind}) == std::vector{false, true, true});
  CHECK(outside_of_each({inside, other, inside}) == std::vector{false, true, false});
}

TEST_CASE("of a man without a side he is inside; what was kept comes back with the side") {
  const Seen round = right_tackle({3.6, 5.4}), no_side = right_tackle({3.6, 5.4}, 0), inside = right_tackle({1, 5});
  CHECK(outside_of_each({round, no_side, inside}) == std::vector{true, false, true});
  CHECK(outside_of_each({inside, no_side, round}) == std::vector{false, false, false});
  // Without a side in the first frame past: inside then, and that stays.
  CHECK(outside_of_each({no_side, round}) == std::vector{false, false});
  CHECK(outside_of_each({right_tackle({4, 1}, 0), round}) == std::vector{false, true});  // not past yet in the first
}

TEST_CASE("outside or inside over many frames, against a look back at the whole stretch") {
  Random random(71);
  int kept = 0, changed = 0;
  for (int i = 0, n = scenes::cases(300, 5000); i < n; ++i) {
    std::vector<Seen> frames;
    std::size_t man = 1;
    for (int frame = 0; frame < 12; ++frame) {
      if (random.whole(0, 4) == 0) man = static_cast<std::size_t>(random.whole(1, 2));
      frames.push_back({{random.number(-5, 5), random.number(2, 10)},
                        man,
                        {random.number(-4, 4), random.number(1, 6)},
                        random.whole(0, 5) ? 1 : random.whole(-1, 0)});
    }
    const std::vector<bool> found = outside_of_each(frames);
    for (std::size_t frame = 0; frame < frames.size(); ++frame) {
      const auto past = [&](const Seen& seen) { return (seen.rusher - passer).norm() <= (seen.at - passer).norm(); };
      // How far right of the rusher's line the man stands, by the angle between the two.
      const auto outside = [&](const Seen& seen) {
        const Point line = passer - seen.rusher, off = seen.at - seen.rusher;
        const double angle = std::remainder(std::atan2(off.y(), off.x()) - std::atan2(line.y(), line.x()), 2 * pi);
        return seen.side != 0 && -seen.side * std::sin(angle) <= 0;
      };
      std::size_t first = frame;
      while (first > 0 && past(frames[first]) && past(frames[first - 1]) && frames[first - 1].man == frames[first].man)
        --first;
      const bool wanted = frames[frame].side != 0 && outside(past(frames[frame]) ? frames[first] : frames[frame]);
      CAPTURE(i);
      CAPTURE(frame);
      CHECK(found[frame] == wanted);
      kept += first < frame;
      changed += wanted != outside(frames[frame]);
    }
  }
  CHECK(kept > 300);
  CHECK(changed > 50);
}

TEST_CASE("the man between is the nearest of those whose disc the straight line enters, and never his own man") {
  FrameScene scene({0, 7});
  scene.protector(Slot::RT, {0, 1})
      .protector(Slot::RG, {0.5, 5})
      .protector(Slot::C, {-0.5, 3})
      .protector(Slot::LG, {0.6, 2})
      .rusher({0, 0});
  CHECK(between(scene, 0) == 2);  // the right tackle has him; the left guard is 0.6 off the line
  CHECK(between(scene, 2) == 0);
  CHECK(man_between(scene, {0, 0}, nullptr, body)->man == 0);  // a free rusher's may be anybody
  CHECK(between(scene, 0, 0.45) == std::nullopt);
  // A line that touches the disc does not enter it, nor does one that dips in by a millionth.
  CHECK(between(scene, 0, 0.5) == std::nullopt);
  CHECK(between(scene, 0, 0.5 + 0.9e-6) == std::nullopt);
  CHECK(between(scene, 0, 0.5 + 1.1e-6) == 2);
  // Nobody behind him or behind the passer.
  FrameScene away({0, 7});
  away.protector(Slot::RT, {3, 3}).protector(Slot::C, {0.2, -0.4}).protector(Slot::RG, {0.2, 7.4}).rusher({0, 0});
  CHECK(between(away, 0) == std::nullopt);
  // Nearer than his disc is wide: it shrinks to his distance. Just before the rusher he stands in the way, not beside
  // him.
  FrameScene near({0, 7});
  near.protector(Slot::RT, {3, 3}).protector(Slot::C, {0.1, 0.2}).rusher({0, 0});
  CHECK(between(near, 0) == 1);
  near.protectors[1].at = {0.3, 0};
  CHECK(between(near, 0) == std::nullopt);
  near.protectors[1].at = {0, 0};  // on the rusher: no disc
  CHECK(between(near, 0) == std::nullopt);
}

TEST_CASE("of two between as near the one nearer the passer counts, then the lower id") {
  FrameScene scene({0, 7});
  scene.protector(Slot::RT, {3, 3})
      .protector(Slot::C, {0.28, 0.96})
      .protector(Slot::RG, {0, 1})
      .protector(Slot::LG, {0, 1})
      .rusher({0, 0});
  REQUIRE(distance({0, 0}, {0.28, 0.96}) == 1);
  CHECK(between(scene, 0) == 2);
  std::swap(scene.protectors[1].at, scene.protectors[2].at);
  CHECK(between(scene, 0) == 1);
}

TEST_CASE("the man between against points along the line") {
  Random random(72);
  int somebody = 0, decided = 0;
  for (int i = 0, n = scenes::cases(1500, 20000); i < n; ++i) {
    FrameScene scene({random.number(-1, 1), random.number(4, 8)});
    for (int k = 0; k < 6; ++k) scene.protector(Slot::none, {random.number(-1.5, 1.5), random.number(-1, 9)});
    scene.rusher({random.number(-2, 2), random.number(-1, 6)});
    const Point &rusher = scene.rushers[0].at, &goal = scene.passer;
    const std::size_t blocker = static_cast<std::size_t>(random.whole(0, 5));
    bool hair = false;
    std::vector<std::tuple<double, double, std::size_t>> entered;
    for (const Standing& man : scene.protectors) {
      if (man.man == blocker) continue;
      double clear = infinity;
      for (int k = 0; k <= 2000; ++k) clear = std::min(clear, (rusher + k / 2000.0 * (goal - rusher) - man.at).norm());
      const double radius = std::min({body, (man.at - rusher).norm(), (man.at - goal).norm()});
      // A disc shrunk to the distance of an end of the line is only touched there, which is no hair.
      if (radius < body && clear >= radius) continue;
      hair = hair || std::abs(clear - radius) < 1e-4;
      if (clear < radius) entered.emplace_back((man.at - rusher).norm(), (man.at - goal).norm(), man.man);
    }
    if (hair) continue;
    ++decided;
    somebody += !entered.empty();
    const std::optional<std::size_t> wanted =
        entered.empty() ? std::nullopt : std::optional(std::get<2>(*std::min_element(entered.begin(), entered.end())));
    CAPTURE(i);
    CHECK(between(scene, blocker) == wanted);
  }
  CHECK(decided > scenes::cases(1500, 20000) * 9 / 10);
  CHECK(somebody > decided / 4);
}
