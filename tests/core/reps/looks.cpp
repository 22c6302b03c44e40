#include "reps/looks.hpp"

#include <doctest/doctest.h>

#include "reps/hands.hpp"
#include "told.hpp"

using namespace shortedge;
using scenes::along, scenes::defense, scenes::offense, scenes::stands;

namespace {

/// The line, whose ends stand at 3 yd, receivers on the right at 10 and 16 yd, on the left at 15.
scenes::Script stage() {
  scenes::Script script = told::line();
  script.men.push_back(offense("WR", stands(10, 1), "slot"));
  script.men.push_back(offense("WR", stands(16, 0.5), "right"));
  script.men.push_back(offense("WR", stands(-15, 0.5), "left"));
  script.throw_time = 2.6;
  script.end_time = 3;
  return script;
}

struct Told : told::Told {
  using told::Told::Told;
  const LooksTable& looks = tables.looks;
  std::optional<std::size_t> row(const std::string& defender) const {
    for (std::size_t k = 0; k < looks.rows(); ++k) {
      if (name(looks.defender[k]) == defender) return k;
    }
    return {};
  }
  std::string spot(const std::string& defender) const {
    const auto k = row(defender);
    return k ? std::string(spot_words[static_cast<std::size_t>(looks.spot[*k])]) : "";
  }
};

}  // namespace

TEST_CASE("where a defender stands, at the borders of line, box, slot and wide") {
  struct Case {
    double u, depth;
    const char* spot;
  };
  // The box ends 3 yd outside the tackle who stands at 3; the slot's man is within 1.5 yd of the receiver at 10.
  for (const Case& of : std::initializer_list<Case>{{0, 1, "line"},
                                                    {0, 2, "line"},
                                                    {0, 2.0625, "box"},
                                                    {0, 8, "box"},
                                                    {0, 8.0625, ""},
                                                    {6, 1, "line"},
                                                    {6.0625, 1, "slot"},
                                                    {6.0625, 8, "slot"},
                                                    {8.5, 5, "slot"},
                                                    {11.5, 8, "slot"},
                                                    {11.5, 10, "slot"},
                                                    {11.5, 10.0625, ""},
                                                    {11.5625, 8, "wide"},
                                                    {11.5625, 8.0625, ""},
                                                    {16, 5, "wide"},
                                                    {-6, 1, "line"},
                                                    {-6.0625, 1, "wide"},
                                                    {-15, 7, "wide"},
                                                    {-6, 3, "box"}}) {
    CAPTURE(of.u);
    CAPTURE(of.depth);
    scenes::Script script = stage();
    script.men.push_back(defense("D", stands(of.u, -of.depth)));
    const Told told(script);
    CHECK(told.spot("D") == of.spot);
    if (!told.row("D")) continue;
    const std::size_t k = *told.row("D");
    CHECK(told.looks.across[k] == of.u);
    CHECK(told.looks.depth[k] == of.depth);
    CHECK(told.looks.side[k] == code(of.u < 0 ? Side::left : Side::right));
  }
}

TEST_CASE("a deep man over him stands within 1.5 yd across and 8 to 15 yd deep") {
  struct Case {
    double u, depth;
    bool over;
  };
  for (const Case& of : std::initializer_list<Case>{{10, 8, true},
                                                    {10, 7.9375, false},
                                                    {10, 15, true},
                                                    {10, 15.0625, false},
                                                    {11.5, 10, true},
                                                    {11.5625, 10, false},
                                                    {8.5, 10, true},
                                                    {8.4375, 10, false}}) {
    CAPTURE(of.u);
    CAPTURE(of.depth);
    scenes::Script script = stage();
    script.men.push_back(defense("under", stands(10, -5)));
    script.men.push_back(defense("deep", stands(of.u, -of.depth)));
    const Told told(script);
    const std::size_t k = told.row("under").value();
    CHECK(told.looks.deep_over[k] == of.over);
    CHECK(told.name(told.looks.deep_man[k]) == (of.over ? "deep" : ""));
    CHECK(told.name(told.looks.over[k]) == "slot");
  }
}

TEST_CASE("who picked up a blitz from the slot, outside in") {
  const auto blitz = [](bool tackle_goes, bool guard_goes) {
    scenes::Script script = stage();
    if (tackle_goes) *told::man(script, "RT") = offense("RT", along({{0, {3, 0.8}}, {1, {5.6, 2.6}}}));
    if (guard_goes) *told::man(script, "RG") = offense("RG", along({{0, {1.5, 0.8}}, {1, {3.6, 2.2}}}));
    script.men.push_back(defense("RE", along({{0, {4.2, -1}}, {1, {3.8, 1.3}}, {3, {3.8, 1.6}}})));
    script.men.push_back(defense("NB", along({{0, {8.6, -1.5}}, {1, {6.2, 1.8}}, {3, {6, 2}}})));
    return script;
  };
  const Told both(blitz(true, true)), tackle(blitz(true, false)), none(blitz(false, false));
  const auto pickup = [](const Told& told) {
    return std::string(pickup_words[static_cast<std::size_t>(told.looks.pickup[told.row("NB").value()])]);
  };
  CHECK(pickup(both) == "outside in");
  const std::size_t k = both.row("NB").value();
  CHECK(both.name(both.looks.taken_by[k]) == "RT");
  CHECK(both.name(both.looks.next_rusher[k]) == "RE");
  CHECK(both.name(both.looks.next_taken_by[k]) == "RG");
  CHECK(both.looks.rushed[k]);
  CHECK(both.looks.came[k] == 0);
  CHECK(pickup(tackle) == "tackle");
  CHECK(pickup(none) == "nobody");
  CHECK(both.looks.pickup[both.row("RE").value()] == -1);  // no man of the slot
}

TEST_CASE("the wide side is the one with more field, and neither with the ball within a yard of the middle") {
  Play play;
  const auto side_with_ball_at = [&](double across) {
    play.ball_across = across;
    return wide_side(play);
  };
  CHECK(side_with_ball_at(1.1) == -1);
  CHECK(side_with_ball_at(-1.1) == 1);
  CHECK(side_with_ball_at(0.9) == 0);
  CHECK(side_with_ball_at(-0.9) == 0);
  CHECK(side_with_ball_at(shortedge::nan) == 0);
}
