#include "play/review.hpp"

#include <doctest/doctest.h>

#include "scenes.hpp"

using namespace shortedge;
using namespace shortedge::scenes;

namespace {

/// Three plays, far enough into the field that feet taken for yards do not leave it.
Input three_plays() {
  std::vector<Script> scripts;
  for (const char* id : {"1", "2", "3"}) {
    Script script = five_and_passer(id);
    script.ball = {30, 20};
    scripts.push_back(script);
  }
  return Input(scripts);
}

}  // namespace

TEST_CASE("a true picture passes") {
  CHECK(refusal([] { three_plays().game(); }).empty());
}

TEST_CASE("a mirrored field is refused with its figures, and trusted when told so") {
  Input input = three_plays();
  input.placement.y = Placement::Y::down;  // it is not
  const std::string text = refusal([&] { input.game(); });
  CHECK(contains(text, "y, direction or units look wrong"));
  CHECK(contains(text, "of 3 plays LT stands right of RT in 3"));
  CHECK(contains(text, "the passer upfield of the ball in 0"));
  CHECK(contains(text, "trust"));
  CHECK(input.game(Orientation::trust).problems.empty());
}

TEST_CASE("a wrong direction is refused with its figures") {
  Input input = three_plays();
  for (double& direction : input.direction) direction = -1;
  const std::string text = refusal([&] { input.game(); });
  CHECK(contains(text, "LT stands right of RT in 3"));
  CHECK(contains(text, "the passer upfield of the ball in 3"));
  CHECK(input.game(Orientation::trust).measured().size() == 3);
}

TEST_CASE("feet taken for yards are refused with the distance of neighbouring linemen") {
  Input input = three_plays();
  for (auto* column : {&input.x, &input.y, &input.ball_x, &input.ball_y}) {
    for (double& value : *column) value *= 3;
  }
  const std::string text = refusal([&] { input.game(); });
  CHECK(contains(text, "neighbouring linemen under 0.5 or over 3 yd apart in 3"));
  CHECK(contains(text, "median 4.8"));  // 1.6 yd and a little
  CHECK(input.game(Orientation::trust).measured().size() == 3);
  input.placement.length = Placement::Length::foot;
  CHECK(refusal([&] { input.game(); }).empty());
}

TEST_CASE("yards taken for feet are refused") {
  Input input = three_plays();
  for (auto* column : {&input.x, &input.y, &input.ball_x, &input.ball_y}) {
    for (double& value : *column) value *= 0.8;  // tight splits, so that a third of them is under half a yard
  }
  input.placement.length = Placement::Length::foot;
  CHECK(contains(refusal([&] { input.game(); }), "neighbouring linemen under 0.5 or over 3 yd apart in 3"));
}

TEST_CASE("half the plays may look odd, more may not") {
  Input input({five_and_passer("1"), five_and_passer("2")});
  input.direction[1] = -1;
  CHECK(refusal([&] { input.game(); }).empty());
  Input most = three_plays();
  most.direction[0] = most.direction[1] = -1;
  CHECK(contains(refusal([&] { most.game(); }), "LT stands right of RT in 2"));
}

TEST_CASE("x and y exchanged are refused, on one play as on many") {
  for (const std::size_t plays : {std::size_t{1}, std::size_t{3}}) {
    std::vector<Script> scripts;
    for (std::size_t k = 0; k < plays; ++k) {
      Script script = five_and_passer(std::to_string(k));
      script.ball = {25, 25};  // on the field either way
      scripts.push_back(script);
    }
    Input input(scripts);
    std::swap(input.x, input.y);
    std::swap(input.ball_x, input.ball_y);
    const std::string text = refusal([&] { input.game(); });
    CHECK(contains(text, "the line along the field in " + std::to_string(plays) + " (x and y exchanged?)"));
  }
}

TEST_CASE(
    "a missing lineman, and one who stands elsewhere than listed, are said of the play; it is measured all the same") {
  std::vector<Script> scripts{five_and_passer("1"), five_and_passer("2"), five_and_passer("3")};
  for (Script& script : scripts) script.ball = {30, 20};
  scripts[1].men.erase(scripts[1].men.begin() + 4);  // the right guard
  scripts[2].men[1] = offense("LT", stands(5, 1));
  const Game game = Input(scripts).game();
  CHECK(game.measured().size() == 3);
  REQUIRE(game.remarks.size() == 2);
  CHECK(game.plays[static_cast<std::size_t>(game.remarks[0].play)] == "2");
  CHECK(game.remarks[0].few_linemen);
  CHECK(contains(game.remarks[0].says, "4 linemen at the snap: no RG"));
  CHECK(game.plays[static_cast<std::size_t>(game.remarks[1].play)] == "3");
  CHECK(!game.remarks[1].few_linemen);
  CHECK(contains(game.remarks[1].says, "LG C RG RT LT"));
}
