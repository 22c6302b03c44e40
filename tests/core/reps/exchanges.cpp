#include "reps/exchanges.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "told.hpp"

using namespace shortedge;
using scenes::along, scenes::defense, scenes::offense, scenes::stands;

namespace {

struct Told : told::Told {
  using told::Told::Told;
  const ExchangesTable& exchanges = tables.exchanges;

  std::optional<std::size_t> row(const std::string& rusher) const {
    std::optional<std::size_t> found;
    for (std::size_t k = 0; k < exchanges.rows(); ++k) {
      if (name(exchanges.rusher[k]) != swapped(rusher)) continue;
      CHECK_FALSE(found);
      found = k;
    }
    return found;
  }
  /// "kind from to crossed_with", with "late" when he was handed over late; nothing without a row.
  std::string says(const std::string& rusher) const {
    const auto k = row(rusher);
    if (!k) return "";
    const auto who = [&](std::int32_t player) { return player < 0 ? std::string("nobody") : swapped(name(player)); };
    return std::string(exchange_words[static_cast<std::size_t>(exchanges.kind[*k])]) + " " +
           who(exchanges.from_man[*k]) + " " + who(exchanges.to_man[*k]) + " " + who(exchanges.crossed_with[*k]) +
           (exchanges.late[*k] ? " late" : "");
  }
};

/// The right end loops inside behind the inside man, who goes out. They are level across at 1.3 s.
scenes::Script twist() {
  scenes::Script script = told::line();
  *told::man(script, "RG") = offense("RG", along({{0, {1.5, 0.8}}, {0.8, {1.6, 1.7}}}));
  *told::man(script, "RT") = offense("RT", along({{0, {3, 0.8}}, {1, {3.3, 2.6}}}));
  script.men.push_back(
      defense("RDT", along({{0, {1.9, -1}}, {0.8, {1.8, 0.8}}, {1.2, {2.2, 0.9}}, {1.7, {3.4, 1.6}}, {3, {3.6, 2}}})));
  script.men.push_back(
      defense("RE", along({{0, {4.2, -1}}, {0.6, {4.2, -0.3}}, {1.2, {2.6, 0.1}}, {1.7, {1.8, 0.8}}, {3, {1.6, 1}}})));
  script.throw_time = 2.6;
  script.end_time = 3;
  return script;
}

}  // namespace

TEST_CASE("a twist is two hand-overs, of the two who crossed") {
  for (const bool mirror : {false, true}) {
    CAPTURE(mirror);
    scenes::Script script = twist();
    if (mirror) told::reflect(script);
    const Told told(script, mirror);
    CHECK(told.exchanges.rows() == 2);
    CHECK(told.says("RDT") == "twist RG RT RE");
    CHECK(told.says("RE") == "twist RT RG RDT");
    for (const char* rusher : {"RDT", "RE"}) {
      const std::size_t k = told.row(rusher).value();
      CHECK(told.exchanges.cross_time[k] == doctest::Approx(1.3).epsilon(0.1));
      CHECK(told.exchanges.time[k] == told.exchanges.cross_time[k]);  // both are over the line then
      CHECK(told.exchanges.cutoff_ratio[k] < 1);
    }
    for (std::size_t row = 0; row < told.reps.rows(); ++row)
      CHECK(told.reps.exchanged[row] == (told.reps.rusher[row] >= 0));
  }
}

TEST_CASE("who loops far is waited for; who is over the line and met half a second later was handed over late") {
  scenes::Script far = twist();
  // He crosses 1 yd beyond the line and comes over it at 2.0 s.
  *told::man(far, "RE") =
      defense("RE", along({{0, {4.2, -1}}, {1.2, {2.6, -1}}, {1.7, {1.8, -1}}, {2, {1.7, 0}}, {2.3, {1.6, 0.8}}}));
  const Told waited(far);
  CHECK(waited.says("RE") == "twist RT RG RDT");
  CHECK(waited.exchanges.time[waited.row("RE").value()] == doctest::Approx(2.0).epsilon(0.06));

  scenes::Script slow = twist();
  // The tackle comes out to him 0.8 s after the two crossed.
  *told::man(slow, "RT") = offense("RT", along({{0, {3, 0.8}}, {1, {2.6, 3.3}}, {1.9, {2.6, 3.3}}, {2.2, {3.3, 2.7}}}));
  slow.throw_time = 3.4;
  slow.end_time = 3.6;
  const Told late(slow);
  CHECK(late.says("RDT") == "twist RG RT RE late");
  CHECK(late.says("RE") == "twist RT RG RDT");
}

TEST_CASE("who is farther from the passer than the man he takes over is late, even if he meets him at once") {
  scenes::Script script = twist();
  // The guard steps up past the looper, and comes back in front of him.
  *told::man(script, "RG") = offense(
      "RG", along({{0, {1.5, 0.8}}, {0.8, {1.7, 1.6}}, {1.4, {2.2, -0.6}}, {1.7, {1.9, 1.2}}, {2.2, {1.8, 1.8}}}));
  const Told told(script);
  const std::size_t k = told.row("RE").value();
  CHECK(told.exchanges.time[k] == doctest::Approx(1.4));
  CHECK(told.exchanges.contact_time[k] - told.exchanges.time[k] < 0.5);
  // The looper is at (2.28, 0.38) then, the passer at (0, 7.5).
  CHECK(told.exchanges.cutoff_ratio[k] == doctest::Approx(std::hypot(2.2, 8.1) / std::hypot(2.28, 7.12)));
  CHECK(told.says("RE") == "twist RT RG RDT late");
}

TEST_CASE("men who follow their rushers through a crossing stay, and who crosses near the passer has not crossed") {
  scenes::Script script = twist();
  *told::man(script, "RG") =
      offense("RG", along({{0, {1.5, 0.8}}, {0.8, {1.6, 1.7}}, {1.2, {2.1, 1.8}}, {1.7, {3.3, 2.5}}, {3, {3.4, 2.8}}}));
  *told::man(script, "RT") =
      offense("RT", along({{0, {3, 0.8}}, {0.7, {3.6, 0.6}}, {1.2, {2.5, 0.95}}, {1.7, {1.7, 1.7}}, {3, {1.5, 1.9}}}));
  const Told told(script);
  CHECK(told.says("RDT") == "stayed RG RG RE");
  CHECK(told.says("RE") == "stayed RT RT RDT");

  scenes::Script deep = told::line();
  deep.men.push_back(defense("RDT", along({{0, {1.9, -1}}, {1, {1.6, 1.5}}, {2.4, {2.5, 7}}})));
  deep.men.push_back(defense("RE", along({{0, {4.2, -1}}, {1, {3.6, 1.8}}, {2.4, {0.9, 6.6}}})));
  deep.throw_time = 2.6;
  deep.end_time = 3;
  CHECK(Told(deep).exchanges.rows() == 0);
}

TEST_CASE(
    "a rusher handed from man to man without a crossing is a pass-off; a double team, and cleaning up, are none") {
  scenes::Script script = told::line();
  const auto slants = along({{0, {1.6, -1}}, {0.8, {1.5, 0.7}}, {1.2, {1.3, 0.8}}, {1.8, {0.1, 0.9}}, {3, {0, 1.1}}});
  *told::man(script, "RG") =
      offense("RG", along({{0, {1.5, 0.8}}, {0.8, {1.5, 1.6}}, {1.3, {1.5, 1.7}}, {2, {2.2, 2.2}}}));
  *told::man(script, "C") = offense("C", along({{0, {0, 0.5}}, {1, {0, 1.8}}}));
  script.men.push_back(defense("RDT", slants));
  script.throw_time = 2.6;
  script.end_time = 3;
  const Told told(script);
  CHECK(told.says("RDT") == "pass-off RG C nobody");

  // The guard stays on him, too.
  *told::man(script, "RG") =
      offense("RG", along({{0, {1.5, 0.8}}, {0.8, {1.5, 1.6}}, {1.8, {1, 1.2}}, {3, {0.9, 1.4}}}));
  CHECK(Told(script).exchanges.rows() == 0);
}

TEST_CASE("a twist that nobody takes over: the looper comes free, from the man he stood before") {
  scenes::Script script = twist();
  *told::man(script, "RG") =
      offense("RG", along({{0, {1.5, 0.8}}, {0.8, {1.6, 1.7}}, {1.2, {2.2, 1.8}}, {1.7, {3.1, 2.4}}}));
  *told::man(script, "RT") = offense("RT", along({{0, {3, 0.8}}, {1, {4.4, 2.4}}}));
  *told::man(script, "C") = offense("C", along({{0, {0, 0.5}}, {1, {-1.3, 1.5}}}));
  *told::man(script, "RE") = defense(
      "RE", along({{0, {4.2, -1}}, {0.6, {4.2, -0.9}}, {1.2, {2.6, -0.9}}, {1.7, {0.8, 0.4}}, {2.2, {0.6, 3.5}}}));
  const Told told(script);
  CHECK(told.says("RDT") == "stayed RG RG RE");
  CHECK(told.says("RE") == "twist RT nobody RDT late");
}

TEST_CASE("who walks across deep and comes later has crossed with nobody") {
  scenes::Script script = told::line();
  *told::man(script, "RG") = offense("RG", along({{0, {1.5, 0.8}}, {0.8, {1.6, 1.7}}}));
  script.men.push_back(defense("RDT", along({{0, {1.9, -1}}, {0.8, {1.8, 0.8}}, {3, {1.8, 1}}})));
  script.men.push_back(
      defense("MLB", along({{0, {0.5, -4.5}}, {1, {4.5, -4.5}}, {1.8, {4.5, -4.5}}, {2.4, {5, 0.8}}, {3, {5, 1}}})));
  script.throw_time = 2.9;
  script.end_time = 3;
  const Told told(script);
  CHECK(told.says("RDT").empty());
  CHECK(told.says("MLB").empty());
}
