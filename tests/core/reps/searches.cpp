#include "reps/searches.hpp"

#include <doctest/doctest.h>

#include "told.hpp"

using namespace shortedge;
using scenes::along, scenes::defense, scenes::offense, scenes::stands;

namespace {

struct Told : told::Told {
  using told::Told::Told;
  const SearchesTable& searches = tables.searches;
  /// A man's searches, in order: "why found rusher side (helped)"; and their rows.
  std::vector<std::string> says(const std::string& man, std::vector<std::size_t>* rows = nullptr) const {
    std::vector<std::string> found;
    for (std::size_t k = 0; k < searches.rows(); ++k) {
      if (name(searches.man[k]) != man) continue;
      std::string text = std::string(looking_words[static_cast<std::size_t>(searches.why[k])]) + " " +
                         std::string(found_words[static_cast<std::size_t>(searches.found[k])]);
      if (searches.rusher[k] >= 0) text += " " + name(searches.rusher[k]);
      if (searches.side[k] >= 0) text += " " + std::string(side_words[static_cast<std::size_t>(searches.side[k])]);
      if (searches.helped[k] >= 0) text += " for " + name(searches.helped[k]);
      found.push_back(text);
      if (rows) rows->push_back(k);
    }
    return found;
  }
};

using Says = std::vector<std::string>;

/// Guards and tackles have a man each; the centre and a back have nobody.
scenes::Script stage() {
  scenes::Script script = told::line();
  const auto has = [&](const char* man, const char* rusher, double u) {
    *told::man(script, man) = offense(man, along({{0, {u, 0.8}}, {1, {u, 2}}}));
    script.men.push_back(defense(rusher, along({{0, {u, -1}}, {0.9, {u, 1.1}}, {3, {u, 1.2}}})));
  };
  has("LT", "LE", -3);
  has("LG", "LDT", -1.5);
  has("RG", "RDT", 1.5);
  has("RT", "RE", 3);
  *told::man(script, "C") = offense("C", along({{0, {0, 0.5}}, {1, {0, 2}}}));
  script.men.push_back(offense("RB", stands(-1.5, 5.5)));
  script.throw_time = 2.6;
  script.end_time = 3;
  return script;
}

}  // namespace

TEST_CASE("a centre with nobody and a back find nobody; who has a man does not look") {
  const Told told(stage());
  std::vector<std::size_t> rows;
  CHECK(told.says("C", &rows) == Says{"uncovered nobody"});
  CHECK(told.says("RB") == Says{"back nobody"});
  CHECK(told.searches.rows() == 2);
  CHECK(told.searches.start[rows[0]] == 0);
  CHECK(told.searches.end[rows[0]] == doctest::Approx(2.6));  // the end of reps, not the last frame by then
  CHECK(told.searches.distance[rows[0]] == doctest::Approx(1.5));
  CHECK(std::isnan(told.searches.until[rows[0]]));
}

TEST_CASE("they find who comes late, at first contact and on that side of where they stood") {
  scenes::Script script = stage();
  // 1.2 yd from the centre, who is at (0, 2), at 1.5 s: v = 0.8, u = 0.
  script.men.push_back(defense(
      "MLB", along({{0, {0.4, -4.5}}, {0.5, {0.4, -4.5}}, {1.3, {0.3, 0.2}}, {1.7, {0.3, 1.2}}, {3, {0.3, 1.3}}})));
  const Told centre(script);
  std::vector<std::size_t> rows;
  CHECK(centre.says("C", &rows) == Says{"uncovered rusher MLB right"});
  CHECK(centre.searches.end[rows[0]] == doctest::Approx(1.55).epsilon(0.05));
  CHECK(centre.says("RB") == Says{"back nobody"});

  script.men.back() =
      defense("MLB", along({{0, {-5.5, -4.5}}, {0.5, {-5.5, -4.5}}, {1.5, {-5, 2}}, {2, {-2.6, 5}}, {3, {-2.6, 5}}}));
  *told::man(script, "RB") = offense("RB", along({{0, {-1.5, 5.5}}, {1.9, {-2.1, 5.5}}}));
  CHECK(Told(script).says("RB") == Says{"back rusher MLB left"});
}

TEST_CASE("help is told with whose rusher it was and how long; then he looks again") {
  scenes::Script script = stage();
  // Within 1.2 yd of the rusher at (1.5, 1.1) from about 0.9 to 1.6 s.
  *told::man(script, "C") = offense("C", along({{0, {0, 0.5}}, {0.9, {0.6, 1.8}}, {1.6, {0.6, 1.8}}, {1.7, {0, 2.2}}}));
  const Told told(script);
  std::vector<std::size_t> rows;
  CHECK(told.says("C", &rows) == Says{"uncovered help RDT right for RG", "freed nobody"});
  CHECK(told.searches.until[rows[0]] == doctest::Approx(1.6).epsilon(0.05));
  CHECK(told.searches.start[rows[1]] == told.searches.until[rows[0]]);
}

TEST_CASE("whose rusher drops out is free and looks") {
  scenes::Script script = stage();
  *told::man(script, "RDT") =
      defense("RDT", along({{0, {1.5, -1}}, {0.9, {1.5, 1.2}}, {1.3, {1.5, 1.2}}, {2.4, {1.5, -4}}, {3, {1.5, -6}}}));
  const Says said = Told(script).says("RG");
  CHECK(said == Says{"freed nobody"});
}
