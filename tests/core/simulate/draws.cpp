#include "simulate/draws.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <cstring>

#include "simulate/formations.hpp"

using namespace shortedge;

namespace {

/// Mean and standard deviation of many.
struct Sample {
  double sum = 0, squares = 0, count = 0;
  void add(double value) { sum += value, squares += value * value, ++count; }
  double mean() const { return sum / count; }
  double spread() const { return std::sqrt(squares / count - mean() * mean()); }
};

/// Within five standard errors; the cut at three standard deviations narrows a normal's spread by 0.25 %.
void check(const Sample& sample, double mean, double spread) {
  CHECK(std::abs(sample.mean() - mean) <= 5 * spread / std::sqrt(sample.count));
  CHECK(std::abs(sample.spread() / spread - 0.9975) <= 5 / std::sqrt(2 * sample.count));
}

bool same(const ProtectorDraw& a, const ProtectorDraw& b) {
  return a.reaction == b.reaction && a.kick_speed == b.kick_speed && a.run_speed == b.run_speed && a.tau == b.tau &&
         a.grip == b.grip && a.chip_hits == b.chip_hits && a.chip_hold == b.chip_hold;
}
bool same(const RusherDraw& a, const RusherDraw& b) {
  return a.reaction == b.reaction && a.top_speed == b.top_speed && a.tau == b.tau && a.strength == b.strength &&
         a.plan == b.plan && a.off == b.off;
}

}  // namespace

TEST_CASE("draws have the means and spreads they are said to have") {
  const Formation formation = scenes::base_case();
  const Assumptions a;
  Sample thrown, reaction, end, inside, tau, drives, across, along, kick, run, grip, hold, set, hits, outside, power,
      hands, exchanges, early, feels;
  const int count = scenes::cases(10000, 200000);
  for (int n = 0; n < count; ++n) {
    const Draw drawn = draw(formation, a, 84, static_cast<std::uint64_t>(n));
    thrown.add(drawn.passer.throw_off);
    const RusherDraw& rusher = drawn.rushers[0];
    reaction.add(std::log(rusher.reaction));
    end.add(rusher.top_speed);
    inside.add(drawn.rushers[1].top_speed);
    tau.add(rusher.tau);
    drives.add(rusher.strength);
    across.add(rusher.off.x());
    along.add(rusher.off.y());
    const ProtectorDraw& protector = drawn.protectors[4];
    set.add(std::log(protector.reaction));
    kick.add(std::log(protector.kick_speed));
    run.add(protector.run_speed);
    grip.add(protector.grip);
    hold.add(std::log(protector.chip_hold));
    hits.add(protector.chip_hits);
    outside.add(rusher.plan == RushPlan::outside);
    power.add(rusher.plan == RushPlan::power);
    hands.add(rusher.moves[0].hands < a.hands_won);
    exchanges.add(protector.exchanges);
    early.add(drawn.passer.early);
    feels.add(drawn.passer.feels);
  }
  check(thrown, 0, 1);
  check(reaction, std::log(a.rusher_reaction), a.reaction_spread);
  check(end, a.end_speed, a.end_speed * a.speed_spread);
  check(inside, a.inside_speed, a.inside_speed * a.speed_spread);
  check(tau, a.tau, a.tau * a.tau_spread);
  check(drives, 0, a.strength_spread);
  check(across, 0, a.spread_across);
  check(along, 0, a.spread_along);
  check(set, std::log(a.protector_reaction), a.reaction_spread);
  check(kick, std::log(a.kick_speed), a.kick_spread);
  check(run, a.run_speed, a.run_speed * a.speed_spread);
  check(grip, a.grip, a.grip * a.grip_spread);
  check(hold, std::log(a.chip_hold), a.chip_spread);
  const auto happens = [&](const Sample& of, double share) {
    CHECK(std::abs(of.mean() - share) <= 5 * std::sqrt(share * (1 - share) / count));
  };
  happens(hits, a.chip_hit);
  happens(outside, a.end_outside);
  happens(power, a.end_power);
  happens(hands, a.hands_won);
  happens(exchanges, a.man_changes);
  happens(early, a.early_throws);
  happens(feels, a.steps_first);
}

TEST_CASE("a man's own figures replace the assumed ones") {
  Formation formation = scenes::base_case();
  formation.protectors[4].kick_speed = 3;
  formation.protectors[4].run_speed = 7;
  formation.protectors[4].tau = 1.1;
  formation.rushers[3].top_speed = 8;
  formation.rushers[3].tau = 0.7;
  const Draw drawn = no_chance(formation, {});
  CHECK(drawn.protectors[4].kick_speed == 3);
  CHECK(drawn.protectors[4].run_speed == 7);
  CHECK(drawn.protectors[4].tau == 1.1);
  CHECK(drawn.rushers[3].top_speed == 8);
  CHECK(drawn.rushers[3].tau == 0.7);
  CHECK(drawn.rushers[0].top_speed == Assumptions().end_speed);
  CHECK(drawn.rushers[1].top_speed == Assumptions().inside_speed);
  CHECK(drawn.protectors[0].kick_speed == Assumptions().kick_speed);
  // The same chance: his draw scales.
  const Draw by_chance = draw(formation, {}, 85, 3), assumed = draw(scenes::base_case(), {}, 85, 3);
  CHECK(by_chance.protectors[4].kick_speed ==
        doctest::Approx(3 / Assumptions().kick_speed * assumed.protectors[4].kick_speed));
}

TEST_CASE("the same seed and number give the same draw, others another") {
  const Formation formation = scenes::base_case();
  const Draw one = draw(formation, {}, 86, 7), again = draw(formation, {}, 86, 7);
  CHECK(one.passer.throw_off == again.passer.throw_off);
  for (std::size_t i = 0; i < 5; ++i) CHECK(same(one.protectors[i], again.protectors[i]));
  for (std::size_t j = 0; j < 4; ++j) CHECK(same(one.rushers[j], again.rushers[j]));
  CHECK(one.passer.throw_off != draw(formation, {}, 86, 8).passer.throw_off);
  CHECK(one.passer.throw_off != draw(formation, {}, 87, 7).passer.throw_off);
}

TEST_CASE("men who stand elsewhere, or one more protector at the end, leave the others' draws") {
  const Draw one = draw(scenes::base_case(), {}, 88, 5), moved = draw(scenes::base_case(1.0), {}, 88, 5);
  const Draw more = draw(scenes::with_chip(), {}, 88, 5);
  CHECK(one.passer.throw_off == more.passer.throw_off);
  for (std::size_t i = 0; i < 5; ++i) {
    CHECK(same(one.protectors[i], moved.protectors[i]));
    CHECK(same(one.protectors[i], more.protectors[i]));
  }
  for (std::size_t j = 0; j < 4; ++j) {
    CHECK(same(one.rushers[j], moved.rushers[j]));
    CHECK(same(one.rushers[j], more.rushers[j]));
  }
}
