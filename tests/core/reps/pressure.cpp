#include "reps/pressure.hpp"

#include <doctest/doctest.h>

#include "acted.hpp"

using namespace shortedge;
using doctest::Approx;
using scenes::Acted, scenes::along, scenes::Path, scenes::stands;

namespace {

/// When the pressures of one rusher begin; the passer stands 7 yd deep.
std::vector<double> begins(const Path& rusher, double throw_time = scenes::nan, double rate = 20,
                           const Path& passer = stands(0, 7), std::size_t counts_from = 0) {
  Acted stage;
  stage.back(passer);
  const std::size_t man = stage.rushes(rusher);
  stage.play.men[man].counts_from = counts_from;
  stage.act(3, rate, throw_time);
  return pressures(stage.play, stage.motion, rep_span(stage.play, stage.motion), man);
}

/// A wall round a passer 7 yd deep; the guards where they are told.
Acted wall(const Path& left_guard, const Path& right_guard) {
  Acted stage;
  stage.back(stands(0.2, 7));
  stage.blocks(Slot::LT, stands(-3.5, 4));
  stage.blocks(Slot::LG, left_guard);
  stage.blocks(Slot::C, stands(-3, 3));  // helping outside: the two guards are in front of the passer
  stage.blocks(Slot::RG, right_guard);
  stage.blocks(Slot::RT, stands(3.5, 4));
  return stage;
}

Push pushed(Acted& stage, double end = 3, double throw_time = scenes::nan) {
  stage.act(end, 10, throw_time);
  Tables tables;
  measure(stage.play, stage.motion, stage.who_has_whom(), Rules(), tables);
  return interior_push(stage.play, stage.motion, tables.frames.pocket_depth, Rules(),
                       rep_span(stage.play, stage.motion));
}

}  // namespace

TEST_CASE("pressure begins when a rusher comes within two yards for a tenth of a second") {
  // He walks at 2 yd/s (closest approach far off), and is 2 yd from the passer at 1.5 s.
  const Path walks = along({{0, {0, 2}}, {2, {0, 6}}});
  REQUIRE(!begins(walks).empty());

  CHECK(begins(walks).front() == Approx(1.5));
  CHECK(begins(along({{0, {0, 1}}, {2, {0, 4.9}}})).empty());  // 2.1 yd away
}

TEST_CASE("a moment within two yards is no pressure") {
  // At 20 frames a second: within 2 yd in one frame, in two, in three (0.1 s from first to last). He stays 1.9 yd off.
  const auto brushes = [](double from, double to) {
    return [=](double time) { return time > from - 0.01 && time < to + 0.01 ? Point(1.9, 7) : Point(2.6, 7); };
  };
  // Standing before and after; the steps themselves have no velocity, as central differences reach 0.1 ms.
  CHECK(begins(brushes(1.5, 1.5)).empty());
  CHECK(begins(brushes(1.5, 1.55)).empty());
  REQUIRE(begins(brushes(1.5, 1.6)).size() == 1);
  CHECK(begins(brushes(1.5, 1.6)).front() == Approx(1.5));
}

TEST_CASE("each stretch within two yards is a pressure of its own") {
  const auto twice = [](double time) {
    return (time > 0.99 && time < 1.31) || time > 1.99 ? Point(1.9, 7) : Point(2.6, 7);
  };
  const std::vector<double> found = begins(twice);
  REQUIRE(found.size() == 2);
  CHECK(found[0] == Approx(1));
  CHECK(found[1] == Approx(2));
}

TEST_CASE("a rusher half a second from passing within a yard is pressure, one who will miss by more is not") {
  // 8 yd/s: half a second is 4 yd. From 1 s on he is 4 yd away and less; his straight line misses by 0.5 yd or by 1.5.
  const auto aims = [](double miss) {
    return along({{0, {12, 7 + miss}}, {1.5, {0, 7 + miss}}, {1.6, {-0.8, 7 + miss}}});
  };
  const std::vector<double> found = begins(aims(0.5), 1.6);
  REQUIRE(!found.empty());
  CHECK(found.front() == Approx(1));
  CHECK(begins(aims(0.9), 1.6).front() == Approx(1));
  CHECK(begins(aims(1.1), 1.6).front() ==
        Approx(1.3));                         // he comes within 2 yd at 1.5 - sqrt(2^2 - 1.1^2) / 8 = 1.291 s
  CHECK(begins(aims(1.5), 1.6).size() == 1);  // only the one of within two yards
  // He is within 2 yd from 1.5 - sqrt(2^2 - 1.5^2) / 8 = 1.335 s on: the next frame.
  CHECK(begins(aims(1.5), 1.6).front() == Approx(1.35));
}

TEST_CASE("pressure counts from 0.8 s, and to the throw") {
  const Path beside = along({{0, {1.5, 7}}});
  REQUIRE(begins(beside).size() == 1);
  CHECK(begins(beside).front() == Approx(0.8));
  const Path arrives = along({{0, {0, 2.1}}, {2, {0, 6.1}}});  // two yards away at 1.45 s, and a second from him
  CHECK(begins(arrives, 1.5).empty());                         // as the ball leaves
  CHECK(begins(arrives, 1.6).size() == 1);
  CHECK(begins(beside, scenes::nan, 20, stands(0, 1.5)).empty());  // under centre and never three yards deep
  REQUIRE(begins(beside, scenes::nan, 20, stands(0, 7), 30).size() == 1);
  CHECK(begins(beside, scenes::nan, 20, stands(0, 7), 30).front() == Approx(1.5));  // he counts from then on
}

TEST_CASE("the push is what the guard in front of the passer is walked back in half a second") {
  // At u = 0.2 the wall's edge runs between guards at u = -1.3 and 1.7: its depth there is the mean of theirs.
  const Path stays = stands(-1.3, 2.5), walked = along({{1, {1.7, 2.5}}, {2, {1.7, 4.1}}, {2.2, {1.7, 4.1}}});
  Acted right = wall(stays, walked);
  const Push push = pushed(right);
  CHECK(push.rate == Approx(1.6 / 2));
  CHECK(push.man == 4);  // the right guard
  CHECK(push.time >= 1 - 1e-9);
  CHECK(push.time <= 1.5 + 1e-9);
  Acted left = wall(along({{1, {-1.3, 2.5}}, {2, {-1.3, 4.1}}}), stands(1.7, 2.5));
  CHECK(pushed(left).man == 2);
  CHECK(pushed(left).rate == Approx(1.6 / 2));
}

TEST_CASE("the push is over half a second: a walk that short counts in full") {
  // 0.8 yd in half a second, then he stands; the pocket loses half of it, as the other guard stays.
  Acted stage = wall(stands(-1.3, 2.5), along({{1, {1.7, 2.5}}, {1.5, {1.7, 3.3}}}));
  const Push push = pushed(stage);
  CHECK(push.rate == Approx(0.4 / 0.5));
  CHECK(push.time == Approx(1));
}

TEST_CASE("a pocket that stands is pushed by nobody, and a push after the end of reps is none") {
  Acted stands_fast = wall(stands(-1.3, 2.5), stands(1.7, 2.5));
  CHECK(pushed(stands_fast).rate == 0);
  CHECK(!pushed(stands_fast).man);
  CHECK(std::isnan(pushed(stands_fast).time));
  Acted late = wall(stands(-1.3, 2.5), along({{2, {1.7, 2.5}}, {2.8, {1.7, 4.1}}}));
  CHECK(pushed(late, 3, 2).rate == 0);
  CHECK(pushed(late).rate > 1);
  CHECK(std::isnan(pushed(late, 0.4).rate));  // shorter than half a second: not known
}

TEST_CASE("without a pocket there is no push to tell of") {
  Acted nobody_home;
  nobody_home.back([](double) { return absent(); });
  nobody_home.blocks(Slot::C, stands(0, 2));
  CHECK(std::isnan(pushed(nobody_home).rate));
  Acted thin;
  thin.back(stands(0, 7));
  thin.blocks(Slot::LG, stands(-1, 3));
  thin.blocks(Slot::RG, stands(1, 3));
  CHECK(std::isnan(pushed(thin).rate));
}
