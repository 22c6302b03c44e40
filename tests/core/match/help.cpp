#include "match/help.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "acted.hpp"

using namespace shortedge;
using scenes::Acted, scenes::along, scenes::Path, scenes::stands;

namespace {

/// A rusher who stands at (4, 2), the passer at (0, 8), and a man on his path; help of the man over the play.
std::optional<Help> help(Path path, double rate = 20, std::size_t counts_to = 1000) {
  Acted stage;
  stage.back(stands(0, 8));
  const std::size_t man = stage.blocks(Slot::none, std::move(path)), rusher = stage.rushes(stands(4, 2));
  stage.play.men[rusher].counts_to = counts_to;
  stage.act(3, rate);
  return help_of(stage.play, stage.motion, 1.2, man, rusher, 0, stage.play.frames() - 1);
}

double seconds(std::size_t frame) { return 0.05 * static_cast<double>(frame); }

}  // namespace

TEST_CASE("a man who stays with a rusher helps from the first to the last frame within meet") {
  const auto found = help(along({{0, {8, 2}}, {0.5, {5, 2}}, {1.5, {5, 2}}, {2, {9, 2}}, {3, {9, 2}}}));
  REQUIRE(found);
  CHECK(std::abs(seconds(found->first) - 0.5) <= 0.1);
  CHECK(std::abs(seconds(found->last) - 1.5) <= 0.1);
  CHECK(std::abs(found->seconds - 1.0) <= 0.1);
  CHECK(found->side == 1);  // outside of him, and the passer is to his left
  CHECK(help(stands(3.2, 2))->side == -1);
}

TEST_CASE("who runs by is no help, however near; who goes by slowly enough is") {
  const auto by = [](double speed) {
    return along({{0, {4 - speed, 2.2}}, {2, {4 + speed, 2.2}}, {3, {4 + speed, 2.2}}});
  };
  CHECK(!help(by(7)));
  CHECK(!help(by(5.7)));
  CHECK(help(by(5.2)));
  CHECK(!help(by(7), 10));
  CHECK(help(by(2.5), 5));  // within meet for 0.95 s
}

TEST_CASE("a bump shorter than 0.2 s is no help, nor one of a rusher who counts no longer") {
  const auto bump = [](double until) {
    return along({{0, {9, 2}}, {1, {5.1, 2}}, {until, {5.1, 2}}, {until + 0.3, {9, 2}}, {3, {9, 2}}});
  };
  CHECK(!help(bump(1.05)));
  CHECK(help(bump(1.3)));
  CHECK(!help(bump(1.3), 20, 22));
}

TEST_CASE("several stretches: from the first that was help to the last") {
  const auto found = help(along({{0, {5, 2}},
                                 {0.5, {5, 2}},
                                 {0.7, {9, 2}},
                                 {1.6, {9, 2}},
                                 {2, {5, 2}},
                                 {2.5, {5, 2}},
                                 {2.7, {9, 2}},
                                 {3, {9, 2}}}));
  REQUIRE(found);
  CHECK(found->first == 0);
  CHECK(std::abs(seconds(found->last) - 2.5) <= 0.1);
  CHECK(std::abs(found->seconds - 1.05) <= 0.1);
}
