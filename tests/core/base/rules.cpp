#include "base/rules.hpp"

#include <doctest/doctest.h>

#include <set>

#include "base/units.hpp"
#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;

TEST_CASE("reach and body are the survey's men") {
  // US Army 2012 survey, men of 115 kg and 1.83 m or more (computed from its open data): half shoulders 0.29 m, a disc
  // of the body's area 0.215 m; 0.445 m of blocking posture from memory. Two decimals.
  CHECK(Rules().reach == Approx((0.215 + 0.445 + 0.29) / metres_per_yard).epsilon(0.005));
  CHECK(Rules().body == Approx((0.215 + 0.29) / metres_per_yard).epsilon(0.015));
}

TEST_CASE("the defaults are valid, and every rule can be reached by name") {
  CHECK_NOTHROW(Rules().validate());
  Rules rules;
  std::set<std::string_view> names;
  Rules::for_each(rules, [&](std::string_view name, double& value, std::string_view unit, std::string_view says) {
    names.insert(name);
    CHECK_FALSE(says.empty());
    CHECK((name == "takeover" ? unit.empty() : !unit.empty()));
    value *= 2;
  });
  CHECK(names.size() == 14);
  CHECK(rules.reach == 2 * Rules().reach);
  CHECK(rules.a_brake == 2 * Rules().a_brake);
}

TEST_CASE("a rule that cannot be is refused by name, value and what is accepted") {
  const std::set<std::string_view> zero_allowed{"reach", "body", "engage", "meet", "arm", "bow", "takeover"};
  Rules rules;
  Rules::for_each(rules, [&](std::string_view name, double& value, std::string_view unit, std::string_view) {
    CAPTURE(name);
    const double valid = value;
    const bool zero = zero_allowed.contains(name);
    for (const double wrong : {-1.0, scenes::infinity, -scenes::infinity, scenes::nan}) {
      value = wrong;
      const std::string text = scenes::refusal([&] { rules.validate(); });
      CHECK(scenes::contains(text, std::string("rule ") + std::string(name) + " is " + shown(wrong)));
      CHECK(scenes::contains(text, unit));
      CHECK(scenes::contains(text, zero ? "not negative" : "greater than 0"));
    }
    value = 0;
    CHECK(scenes::refusal([&] { rules.validate(); }).empty() == zero);
    value = valid;
  });
}

TEST_CASE("the first wrong rule is named") {
  Rules rules;
  rules.meet = -2;
  rules.tau = 0;
  CHECK(scenes::refusal([&] { rules.validate(); }) == "rule meet is -2 yd; it must be finite and not negative");
  rules.meet = 1.2;
  CHECK(scenes::refusal([&] { rules.validate(); }) == "rule tau is 0 s; it must be finite and greater than 0");
}
