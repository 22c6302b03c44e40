// Whether a protector meets his rusher, against Apollonius: with constant speeds, no reach, no delay and legs that
// answer at once he does exactly when the ratio of speeds is at least the cut-off ratio.

#include <doctest/doctest.h>

#include <cmath>

#include "rush/cutoff.hpp"
#include "simulate/formations.hpp"

using namespace shortedge;

namespace {

constexpr double rusher_speed = 8;  // yd/s
const Point passer(0, 6);

Assumptions bare(double step) {
  Assumptions a = scenes::plain();
  a.rusher_reaction = a.protector_reaction = a.hitch = 0;
  a.tau = 0.001;
  a.response = 2 * step;
  a.close_in = 1e-4;
  a.a_lat = a.a_brake = 1e9;
  // He turns to run at once, in no time and at the same speed: no set, no junction.
  a.opens_at = a.turn_seconds = 0;
  a.settle = 3;
  a.reach = a.reach_open = a.body = a.arm = a.bow = 0;
  a.keep_off = a.passer_room = a.push = a.push_power = a.push_open = a.strength_spread = a.grip = 0;
  return a;
}

/// yd, the least distance of the two before the rusher is at the passer.
double least_range(const Point& rusher, const Point& protector, double share, double step) {
  Formation formation = scenes::one_on_one(protector, rusher, passer);
  formation.protectors[0].slot = Slot::C;  // of no side: none is inward
  formation.rushers[0].top_speed = rusher_speed;
  formation.protectors[0].kick_speed = formation.protectors[0].run_speed = share * rusher_speed;
  const double there = distance(rusher, passer) / rusher_speed;
  const scenes::Watched seen = scenes::watch(formation, bare(step), passer.y(), there, 0.02, step);
  double least = scenes::infinity;
  for (std::size_t frame = 0; frame < seen.frames(); ++frame) {
    least = std::min(least, distance(seen.protector(frame, 0), seen.rusher(frame, 0)));
    if (distance(seen.rusher(frame, 0), passer) <= rusher_speed * step) break;
  }
  return least;
}

struct Case {
  Point rusher, protector;
  double ratio;
};

/// Cases far enough apart for a miss to show; before the passer (Apollonius' circle touches the line) and at him.
std::vector<Case> cases(int count) {
  scenes::Random random(91);
  std::vector<Case> all;
  int at_passer = 0, before = 0;
  while (before < count || at_passer < count) {
    const Point rusher(random.number(-9, 9), random.number(-3, 3)), protector = random.point(9);
    const double ratio = cutoff_ratio(rusher, protector, passer);
    if (ratio < 0.2 || ratio > 0.95 || distance(rusher, protector) < 3 || distance(protector, passer) < 3) continue;
    const Point to_protector = protector - rusher, to_passer = passer - rusher;
    const bool touches = to_protector.squaredNorm() <= to_protector.dot(to_passer);
    // How far they are apart when the rusher passes the place to meet, for each part of the speed that is lacking.
    if (touches && std::abs(cross(to_protector, to_passer)) < 2 * to_passer.norm()) continue;
    int& have = touches ? before : at_passer;
    if (have >= count) continue;
    ++have;
    all.push_back({rusher, protector, ratio});
  }
  return all;
}

}  // namespace

TEST_CASE("the protector meets the rusher exactly when the ratio of speeds is at least the cut-off ratio") {
  // Legs answer within two steps, so both are some steps late: what counts as met, and the margin of the ratio on
  // either side, shrink with the step.
  struct Level {
    double step, margin;
    int count;
  };
  for (const Level& level :
       {Level{1e-3, 0.05, scenes::cases(20, 1000)}, Level{2.5e-4, 0.0125, scenes::cases(4, 250)}}) {
    const double met = 4 * rusher_speed * level.step;  // yd: 0.032 and 0.008
    for (const Case& of : cases(level.count)) {
      CAPTURE(of.rusher.x());
      CAPTURE(of.rusher.y());
      CAPTURE(of.protector.x());
      CAPTURE(of.protector.y());
      CAPTURE(of.ratio);
      CHECK(least_range(of.rusher, of.protector, of.ratio * (1 + level.margin), level.step) <= met);
      CHECK(least_range(of.rusher, of.protector, of.ratio * (1 - level.margin), level.step) > met);
    }
  }
}
