#include "simulate/formation.hpp"

#include <doctest/doctest.h>

#include "simulate/formations.hpp"

using namespace shortedge;
using scenes::contains;

namespace {

/// What a base case changed by `change` is refused with.
template <class Change>
std::string refused(Change&& change) {
  Formation formation = scenes::base_case();
  change(formation);
  return scenes::refusal([&] { formation.validate(); });
}

}  // namespace

TEST_CASE("formations that stand are taken") {
  CHECK(refused([](Formation&) {}).empty());
  for (const Formation& formation : {scenes::with_chip(), scenes::with_stunts(), scenes::slot_blitz()}) {
    CHECK(scenes::refusal([&] { formation.validate(); }).empty());
  }
  scenes::Random random(83);
  CHECK(scenes::refusal([&] { scenes::crowd(random, 11, 11).validate(); }).empty());
  CHECK(refused([](Formation& f) { f.protectors.clear(); }).empty());
}

TEST_CASE("formations that cannot be are refused by name, with what was found") {
  CHECK(contains(refused([](Formation& f) { f.rushers.clear(); }),
                 "5 protectors and 0 rushers; accepted: 0 to 11 and 1 to 11"));
  CHECK(contains(refused([](Formation& f) { f.rushers.resize(12, f.rushers[0]); }), "5 protectors and 12 rushers"));
  CHECK(
      contains(refused([](Formation& f) { f.protectors.resize(12, f.protectors[0]); }), "12 protectors and 4 rushers"));
  CHECK(contains(refused([](Formation& f) { f.rushers[2].at = {0, scenes::nan}; }), "rusher 2 is at (0, nan) yd"));
  CHECK(contains(refused([](Formation& f) { f.protectors[1].at = {31, 0}; }),
                 "protector 1 is at (31, 0) yd; accepted: within 30 yd"));
  CHECK(contains(refused([](Formation& f) { f.rushers[1].path = {{40, 0}}; }), "path of rusher 1 is at (40, 0) yd"));
  CHECK(contains(refused([](Formation& f) { f.passer = {0, -1}; }),
                 "the passer is at v = -1 yd; accepted: behind the line"));
  CHECK(contains(refused([](Formation& f) { f.rushers[0].at = f.protectors[0].at + Point(0.05, 0); }),
                 "protector 0 and rusher 0 stand within 0.1 yd of one another"));
  CHECK(contains(refused([](Formation& f) { f.protectors[2].at = f.passer; }),
                 "the passer and protector 2 stand within 0.1 yd"));
  CHECK(contains(refused([](Formation& f) { f.protectors[0].man = 4; }), "protector 0 has rusher 4; there are 4"));
  CHECK(contains(refused([](Formation& f) { f.protectors[0].man = -2; }), "protector 0 has rusher -2"));
  CHECK(contains(refused([](Formation& f) { f.protectors[2].man = 1; }), "rusher 1 is had by two men"));
  CHECK(contains(refused([](Formation& f) { f.protectors[2].job = Job::chip; }), "protector 2 chips nobody"));
  CHECK(contains(refused([](Formation& f) { f.protectors[3].kick_speed = 0; }), "protector 3: kick speed is 0 yd/s"));
  CHECK(contains(refused([](Formation& f) { f.protectors[3].run_speed = 16; }),
                 "protector 3: run speed is 16 yd/s; accepted: above 0, at most 15"));
  CHECK(contains(refused([](Formation& f) { f.rushers[3].top_speed = scenes::infinity; }),
                 "rusher 3: top speed is inf yd/s"));
  CHECK(contains(refused([](Formation& f) { f.rushers[3].tau = -1; }),
                 "rusher 3: tau is -1 s; accepted: above 0, at most 3"));
}

TEST_CASE("a lineman's side is his name's, another's where he stands") {
  const Formation formation = scenes::with_chip();
  const int sides[] = {-1, -1, 0, 1, 1, 1};
  for (std::size_t i = 0; i < 6; ++i) CHECK(side_of(formation.protectors[i]) == sides[i]);
  Protector crossed = formation.protectors[0];
  crossed.at = {2, 1};
  CHECK(side_of(crossed) == -1);
}

TEST_CASE("assumptions outside their bounds are refused with name, value and unit") {
  const auto refused_with = [](double Assumptions::* which, double value) {
    Assumptions assumptions;
    assumptions.*which = value;
    return scenes::refusal([&] { assumptions.validate(); });
  };
  CHECK(scenes::refusal([] { Assumptions().validate(); }).empty());
  CHECK(contains(refused_with(&Assumptions::kick_speed, 0), "kick_speed is 0 yd/s; accepted: 0.1 to 15 yd/s"));
  CHECK(contains(refused_with(&Assumptions::tau, -1), "tau is -1 s; accepted: 0.001 to 3 s"));
  CHECK(contains(refused_with(&Assumptions::speed_spread, 0.5), "speed_spread is 0.5; accepted: 0 to 0.3"));
  CHECK(contains(refused_with(&Assumptions::reach, scenes::nan), "reach is nan yd"));
  // Each in turn, just beyond any bound there is.
  int count = 0;
  Assumptions assumptions;
  Assumptions::for_each(assumptions,
                        [&](std::string_view name, double& value, std::string_view unit, std::string_view says) {
                          for (const double bad : {-1e10, 1e10, scenes::nan}) {
                            const double kept = value;
                            value = bad;
                            const std::string text = scenes::refusal([&] { assumptions.validate(); });
                            value = kept;
                            CHECK(contains(text, "assumption " + std::string(name) + " is "));
                            if (!unit.empty()) CHECK(contains(text, std::string(unit)));
                          }
                          CHECK(!says.empty());
                          ++count;
                        });
  CHECK(count > 30);
}
