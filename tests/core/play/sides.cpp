#include "play/sides.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "acted.hpp"

using namespace shortedge;
using scenes::Acted, scenes::along, scenes::from, scenes::Path, scenes::Random, scenes::stands;

namespace {

struct Lineman {
  Slot slot;
  Path path;
};

/// Passer 0, then the linemen from 1 on, one frame every 0.1 s for half a second.
Acted line_of(const std::vector<Lineman>& linemen) {
  Acted stage;
  stage.back(stands(0, 6));
  for (const Lineman& man : linemen) stage.blocks(man.slot, man.path);
  stage.act(0.5, 10);
  return stage;
}

std::vector<int> sides(const Acted& stage) {
  std::vector<int> found;
  for (std::size_t man = 1; man < stage.play.men.size(); ++man) found.push_back(stage.play.men[man].line_side);
  return found;
}

std::array<std::int32_t, 2> guards(std::int32_t left, std::int32_t right) { return {left, right}; }

/// The side of a back at that place, beside guards at -1.5 and 1.5 and the passer where he is told; mirrored or not.
int back_at(double u, double passer = 0, bool mirror = false) {
  const double sign = mirror ? -1 : 1;
  Acted stage = line_of({{Slot::LG, stands(-1.5, 1)}, {Slot::C, stands(0, 1)}, {Slot::RG, stands(1.5, 1)}});
  const std::size_t back = stage.blocks(Slot::none, stands(sign * u, 4));
  stage.act(0.1, 10);
  return static_cast<int>(sign) * side_of_man(stage.play, stage.motion, 1, back, {sign * passer, 6});
}

}  // namespace

TEST_CASE("a lineman is of the side of the centre he stood on, and the next to the centre is the guard") {
  const Acted stage = line_of({{Slot::LT, stands(-3, 1)},
                               {Slot::LG, stands(-1.5, 1)},
                               {Slot::C, stands(0, 1)},
                               {Slot::RG, stands(1.5, 1)},
                               {Slot::RT, stands(3, 1)}});
  CHECK(sides(stage) == std::vector{-1, -1, 0, 1, 1});
  CHECK(stage.play.guards == guards(2, 4));
}

TEST_CASE("an unbalanced line: the listed slot is a name") {
  // Both tackles right, the one listed left outermost; and the left side has its guard alone.
  Acted over = line_of({{Slot::LT, stands(4.5, 1)},
                        {Slot::LG, stands(-1.5, 1)},
                        {Slot::C, stands(0, 1)},
                        {Slot::RG, stands(1.5, 1)},
                        {Slot::RT, stands(3, 1)}});
  CHECK(sides(over) == std::vector{1, -1, 0, 1, 1});
  CHECK(over.play.guards == guards(2, 4));
  // Nobody left of the centre but the right tackle, who is that side's guard then.
  Acted other = line_of({{Slot::LT, stands(3, 1)},
                         {Slot::LG, stands(1.5, 1)},
                         {Slot::C, stands(0, 1)},
                         {Slot::RG, stands(4.5, 1)},
                         {Slot::RT, stands(-1.5, 1)}});
  CHECK(sides(other) == std::vector{1, 1, 0, 1, -1});
  CHECK(other.play.guards == guards(5, 2));
  // All to the left of him: the right has no guard.
  Acted none = line_of({{Slot::C, stands(4, 1)}, {Slot::RG, stands(2.5, 1)}, {Slot::RT, stands(1, 1)}});
  CHECK(sides(none) == std::vector{0, -1, -1});
  CHECK(none.play.guards == guards(2, -1));
  // As a whole play reads it from people.
  scenes::Script script = scenes::five_and_passer();
  script.men[1].path = stands(4.8, 0.8);
  const Game game = scenes::Input(script).game(Orientation::trust);
  const ReadyPlay ready = scenes::ready(game);
  CHECK(scenes::man_called(game, ready.play, "LT").line_side == 1);
  CHECK(scenes::man_called(game, ready.play, "LT").slot == Slot::LT);
  CHECK(scenes::man_called(game, ready.play, "LG").line_side == -1);
}

TEST_CASE("sides are counted from where the centre stood, not from the ball") {
  CHECK(sides(line_of({{Slot::C, stands(0.5, 1)}, {Slot::LG, stands(0.4, 1)}, {Slot::RG, stands(0.6, 1)}})) ==
        std::vector{0, -1, 1});
  // As far across as he: right.
  CHECK(sides(line_of({{Slot::C, stands(0.5, 1)}, {Slot::LG, stands(0.5, 2)}})) == std::vector{0, 1});
}

TEST_CASE("without a centre the ball's spot stands for him") {
  const Acted stage = line_of(
      {{Slot::LT, stands(-2, 1)}, {Slot::LG, stands(-0.1, 1)}, {Slot::RG, stands(0, 1)}, {Slot::RT, stands(2, 1)}});
  CHECK(sides(stage) == std::vector{-1, -1, 1, 1});
  CHECK(stage.play.guards == guards(2, 3));
  // The same where the centre is never seen.
  CHECK(sides(line_of(
            {{Slot::C, [](double) { return absent(); }}, {Slot::LG, stands(-0.1, 1)}, {Slot::RG, stands(0.1, 1)}})) ==
        std::vector{0, -1, 1});
}

TEST_CASE("where he stood is the first frame that has him; where he goes later tells nothing") {
  // The left guard pulls across, the centre steps right past the right guard.
  const Acted moved = line_of({{Slot::LG, along({{0, {-1.5, 1}}, {0.4, {4, 1}}})},
                               {Slot::C, along({{0, {0, 1}}, {0.4, {2, 1}}})},
                               {Slot::RG, stands(1.5, 1)}});
  CHECK(sides(moved) == std::vector{-1, 0, 1});
  // Unseen at the snap: where he is first seen, each man for himself.
  const Acted late = line_of({{Slot::LG, from(0.2, along({{0, {-1.5, 1}}, {0.2, {1, 1}}, {0.4, {-2, 1}}}))},
                              {Slot::C, from(0.1, along({{0, {3, 1}}, {0.1, {0.8, 1}}, {0.3, {3, 1}}}))},
                              {Slot::RG, stands(0.7, 1)}});
  CHECK(sides(late) == std::vector{1, 0, -1});
  CHECK(late.play.guards == guards(3, 1));
  // Who is never seen is no side's guard.
  const Acted unseen =
      line_of({{Slot::LG, [](double) { return absent(); }}, {Slot::C, stands(0, 1)}, {Slot::RT, stands(3, 1)}});
  CHECK(unseen.play.guards == guards(-1, 3));
}

TEST_CASE(
    "two men listed as centres have no side, and who stood nearer to the ball is the centre; of as near ones the lower "
    "id") {
  // The second stands nearer: 0.6 is right of him, though left of the first. Where the nearer is not seen, the other is
  // he.
  const std::vector<Lineman> two{
      {Slot::C, stands(1, 1)}, {Slot::C, stands(0.5, 1)}, {Slot::LG, stands(0.6, 1)}, {Slot::LT, stands(-1, 1)}};
  CHECK(sides(line_of(two)) == std::vector{0, 0, 1, -1});
  std::vector<Lineman> other = two;
  other[1].path = [](double) { return absent(); };
  CHECK(sides(line_of(other)) == std::vector{0, 0, -1, -1});
  std::swap(other[0], other[1]);
  CHECK(sides(line_of(other)) == std::vector{0, 0, -1, -1});
  // As near: the lower id; and so of guards.
  const Acted stage = line_of({{Slot::C, stands(1, 1)},
                               {Slot::C, stands(-1, 1)},
                               {Slot::LG, stands(0.5, 1)},
                               {Slot::LT, stands(0.5, 2)},
                               {Slot::RG, stands(1.5, 1)}});
  CHECK(sides(stage) == std::vector{0, 0, -1, -1, 1});
  CHECK(stage.play.guards == guards(3, 5));
}

TEST_CASE("a back is of the side he stands on, outside that side's guard; inside the guards he has none") {
  for (const bool mirror : {false, true}) {
    CAPTURE(mirror);
    CHECK(back_at(1.6, 0, mirror) == 1);
    CHECK(back_at(5, 0, mirror) == 1);
    CHECK(back_at(1.4, 0, mirror) == 0);
    CHECK(back_at(1.5, 0, mirror) == 0);  // as far out is not farther
    CHECK(back_at(-1.4, 0, mirror) == 0);
    CHECK(back_at(-1.6, 0, mirror) == -1);
    // The passer's side of him counts, and the guard of that side.
    CHECK(back_at(2, 3, mirror) == 0);
    CHECK(back_at(2, 1.9, mirror) == 1);
    CHECK(back_at(-3, -4, mirror) == 0);
    CHECK(back_at(-3, -2, mirror) == -1);
  }
  CHECK(back_at(2, 2) == 1);    // straight before the passer: right
  CHECK(back_at(-2, -2) == 0);  // right of him, and inside the right guard
}

TEST_CASE("a guard who is gone hides nobody, and he hides where he is now") {
  Acted stage = line_of({{Slot::LG, stands(-1.5, 1)},
                         {Slot::C, stands(0, 1)},
                         {Slot::RG, along({{0, {1.5, 1}}, {0.1, {1.5, 1}}, {0.2, {4, 1}}})}});
  stage.paths[3] = [path = stage.paths[3]](double time) { return time > 0.35 ? absent() : path(time); };
  const std::size_t back = stage.blocks(Slot::none, stands(2, 4)), inner = stage.blocks(Slot::none, stands(1, 4));
  stage.act(0.5, 10);
  const auto side = [&](std::size_t frame, std::size_t man) {
    return side_of_man(stage.play, stage.motion, frame, man, {0, 6});
  };
  CHECK(side(0, back) == 1);
  CHECK(side(2, back) == 0);  // the guard has gone out past him
  CHECK(side(4, back) == 1);
  CHECK(side(0, inner) == 0);
  CHECK(side(4, inner) == 1);
  stage.play.guards[1] = -1;
  CHECK(side(0, inner) == 1);  // a line without one
}

TEST_CASE("who is not there has no side, but a lineman's is his for the play") {
  Acted stage = line_of({{Slot::LG, from(0.2, stands(-1.5, 1))}, {Slot::C, stands(0, 1)}});
  const std::size_t back = stage.blocks(Slot::none, from(0.2, stands(2, 4)));
  stage.act(0.5, 10);
  const auto side = [&](std::size_t frame, std::size_t man, const Point& passer) {
    return side_of_man(stage.play, stage.motion, frame, man, passer);
  };
  CHECK(side(0, back, {0, 6}) == 0);
  CHECK(side(3, back, absent()) == 0);
  CHECK(side(3, back, {0, 6}) == 1);
  CHECK(side(0, 1, absent()) == -1);
  CHECK(side(3, 1, {-5, 6}) == -1);  // wherever the passer is
  CHECK(side(3, 2, {-5, 6}) == 0);
}

TEST_CASE("every man's side, written down once more") {
  Random random(73);
  const Slot slots[] = {Slot::LT, Slot::LG, Slot::C, Slot::RG, Slot::RT};
  int inside = 0, outside = 0, crossed = 0, pulled = 0;
  for (int i = 0, n = scenes::cases(500, 5000); i < n; ++i) {
    Acted stage;
    stage.back(stands(random.number(-2, 2), 6));
    const int missing = random.whole(0, 9);
    for (int k = 0; k < 5; ++k) {
      if (k == missing) continue;
      stage.blocks(slots[k], from(random.whole(0, 3) ? 0 : 0.2,
                                  along({{0, {random.number(-4, 4), 1}}, {0.4, {random.number(-4, 4), 3}}})));
    }
    for (int k = 0; k < 2; ++k) stage.blocks(Slot::none, stands(random.number(-4, 4), 4));
    stage.act(0.4, 10);
    const Play& play = stage.play;
    const auto stood = [&](std::size_t man) {
      std::size_t frame = 0;
      while (!present(stage.motion.at(frame, man))) ++frame;
      return stage.motion.at(frame, man).x();
    };
    double center = 0;
    for (std::size_t man = 1; man < play.men.size(); ++man) {
      if (play.men[man].slot == Slot::C) center = stood(man);
    }
    const auto line_side = [&](std::size_t man) {
      return play.men[man].slot == Slot::C ? 0 : stood(man) >= center ? 1 : -1;
    };
    for (std::size_t frame = 0; frame < play.frames(); ++frame) {
      const Point& passer = stage.motion.at(frame, 0);
      for (std::size_t man = 1; man < play.men.size(); ++man) {
        CAPTURE(i);
        CAPTURE(frame);
        CAPTURE(man);
        const int found = side_of_man(play, stage.motion, frame, man, passer);
        if (play.men[man].is_lineman()) {
          // Across to the other side, outside its guard, on that side of the passer and in front of him: he has pulled.
          const int own = line_side(man);
          int wanted = own;
          std::vector<std::pair<double, std::size_t>> others;
          for (std::size_t mate = 1; mate < play.men.size(); ++mate) {
            if (play.men[mate].is_lineman() && own != 0 && line_side(mate) == -own) {
              others.emplace_back(std::abs(stood(mate) - center), mate);
            }
          }
          if (!others.empty()) {
            const Point &at = stage.motion.at(frame, man),
                        &inner = stage.motion.at(frame, std::min_element(others.begin(), others.end())->second);
            const bool there = present(at) && present(inner) && at.y() < passer.y();
            if (there && own * at.x() < own * passer.x() && own * at.x() < own * inner.x()) wanted = -own;
          }
          CHECK(found == wanted);
          pulled += wanted != own;
          const bool right = play.men[man].slot == Slot::RG || play.men[man].slot == Slot::RT;
          crossed += found == (right ? -1 : 1);
          continue;
        }
        const double u = stage.motion.at(frame, man).x();
        const int side = u >= passer.x() ? 1 : -1;
        std::vector<std::pair<double, std::size_t>> next;
        for (std::size_t other = 1; other < play.men.size(); ++other) {
          if (play.men[other].is_lineman() && line_side(other) == side)
            next.emplace_back(std::abs(stood(other) - center), other);
        }
        bool farther = true;
        if (!next.empty()) {
          const Point& guard = stage.motion.at(frame, std::min_element(next.begin(), next.end())->second);
          farther = !present(guard) || side * u > side * guard.x();
        }
        CHECK(found == (farther ? side : 0));
        ++(farther ? outside : inside);
      }
    }
  }
  CHECK(inside > 500);
  CHECK(outside > 500);
  CHECK(crossed > 500);
  CHECK(pulled > 100);
}

TEST_CASE("a guard who has pulled is of the side he pulled to, farther out than its guard and in front of the passer") {
  for (const double sign : {1.0, -1.0}) {
    const Path pulls = along({{0, {1.5 * sign, 1}},
                              {0.1, {1.5 * sign, 1}},
                              {0.2, {-1.4 * sign, 3}},
                              {0.3, {-1.6 * sign, 3}},
                              {0.4, {-1.6 * sign, 6.5}},
                              {0.5, {sign, 3}}});
    const Slot near = sign > 0 ? Slot::RG : Slot::LG, far = sign > 0 ? Slot::LG : Slot::RG;
    Acted stage = line_of({{far, stands(-1.5 * sign, 1)}, {Slot::C, stands(0, 1)}, {near, pulls}});
    const int stood = static_cast<int>(sign);
    const auto side = [&](std::size_t frame, const Point& passer) {
      return side_of_man(stage.play, stage.motion, frame, 3, passer);
    };
    CHECK(side(0, {0, 6}) == stood);
    CHECK(side(2, {0, 6}) == stood);  // not yet past the other guard
    CHECK(side(3, {0, 6}) == -stood);
    CHECK(side(3, {-2 * sign, 6}) == stood);  // not on that side of the passer
    CHECK(side(4, {0, 6}) == stood);          // behind him
    CHECK(side(5, {0, 6}) == stood);          // back again
    CHECK(side(3, absent()) == stood);
    CHECK(side_of_man(stage.play, stage.motion, 3, 2, {0, 6}) == 0);  // the centre has none
    stage.play.guards[sign > 0 ? 0 : 1] = -1;
    CHECK(side(3, {0, 6}) == stood);  // nobody to be farther out than
  }
}
