#include "simulate/draws.hpp"

#include <algorithm>
#include <boost/random/mersenne_twister.hpp>
#include <boost/random/normal_distribution.hpp>
#include <boost/random/uniform_01.hpp>
#include <cmath>

namespace shortedge {

namespace {

constexpr double most_off = 3;  // standard deviations: no man is stranger than that

/// Standard normal numbers and uniform ones; or the middle of both, for no chance.
class Chance {
 public:
  Chance() = default;
  Chance(std::uint64_t seed, std::uint64_t number)
      : by_chance_(true), engine_(seed * 0x9e3779b97f4a7c15u + (number + 1) * 0xd1b54a32d192ed03u) {}

  double off() { return by_chance_ ? std::clamp(normal_(engine_), -most_off, most_off) : 0; }
  double share() { return by_chance_ ? uniform_(engine_) : 0.5; }
  double normal(double mean, double spread) { return mean * (1 + spread * off()); }
  double lognormal(double median, double spread) { return median * std::exp(spread * off()); }

 private:
  bool by_chance_ = false;
  boost::random::mt19937_64 engine_;
  boost::random::normal_distribution<double> normal_;
  boost::random::uniform_01<double> uniform_;
};

double own(double value, double assumed) { return std::isnan(value) ? assumed : value; }

RushPlan plan_of(const Rusher& man, double share, const Assumptions& a) {
  if (man.plan != RushPlan::drawn) return man.plan;
  const double outside = man.inside ? a.inside_outside : a.end_outside;
  const double power = man.inside ? a.inside_power : a.end_power;
  return share <= outside ? RushPlan::outside : share <= outside + power ? RushPlan::power : RushPlan::inside;
}

Draw draw_from(Chance chance, const Formation& formation, const Assumptions& a) {
  Draw drawn{};
  drawn.passer.throw_off = chance.off();
  drawn.passer.second_read = chance.share();
  drawn.passer.early = chance.share() < a.early_throws;
  drawn.passer.feels = chance.share() < a.steps_first;
  drawn.passer.early_takes = chance.lognormal(a.early_takes, a.early_spread);
  for (std::size_t i = 0; i < formation.rushers.size(); ++i) {
    const Rusher& man = formation.rushers[i];
    RusherDraw& rusher = drawn.rushers[i];
    rusher.reaction = chance.lognormal(a.rusher_reaction, a.reaction_spread);
    rusher.top_speed = chance.normal(own(man.top_speed, man.inside ? a.inside_speed : a.end_speed), a.speed_spread);
    rusher.tau = chance.normal(own(man.tau, a.tau), a.tau_spread);
    rusher.strength = a.strength_spread * chance.off();
    const double across = a.spread_across * chance.off();
    rusher.off = {across, a.spread_along * chance.off()};
    rusher.plan = plan_of(man, chance.share(), a);
    chance.share();  // kept for a rule to come
    for (MoveDraw& move : rusher.moves) {
      move.way = chance.share();
      move.hands = chance.share();
      move.next_off = chance.off();
    }
  }
  for (std::size_t i = 0; i < formation.protectors.size(); ++i) {
    const Protector& man = formation.protectors[i];
    ProtectorDraw& protector = drawn.protectors[i];
    protector.reaction = chance.lognormal(a.protector_reaction, a.reaction_spread);
    protector.kick_speed = chance.lognormal(own(man.kick_speed, a.kick_speed), a.kick_spread);
    protector.run_speed = chance.normal(own(man.run_speed, a.run_speed), a.speed_spread);
    protector.tau = chance.normal(own(man.tau, a.tau), a.tau_spread);
    protector.grip = chance.normal(a.grip, a.grip_spread);
    protector.strength = a.strength_spread * chance.off();
    protector.exchanges = chance.share() < a.man_changes;
    protector.chip_hits = chance.share() < a.chip_hit;
    protector.chip_hold = chance.lognormal(a.chip_hold, a.chip_spread);
  }
  return drawn;
}

}  // namespace

Draw draw(const Formation& formation, const Assumptions& assumptions, std::uint64_t seed, std::uint64_t number) {
  return draw_from(Chance(seed, number), formation, assumptions);
}

Draw no_chance(const Formation& formation, const Assumptions& assumptions) {
  return draw_from(Chance(), formation, assumptions);
}

}  // namespace shortedge
