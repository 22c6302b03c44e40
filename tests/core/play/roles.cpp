#include "play/roles.hpp"

#include <doctest/doctest.h>

#include "scenes.hpp"

using namespace shortedge;
using namespace shortedge::scenes;
using doctest::Approx;

namespace {

struct Found {
  Game game;
  ReadyPlay play;
  const Man& operator[](std::string_view name) const { return man_called(game, play.play, name); }
};

Found find(const Script& script) {
  Game game = Input(script).game();
  ReadyPlay play = ready(game);
  return {std::move(game), std::move(play)};
}

/// What one more man is found to be beside five linemen and a passer.
Role role_of(Actor actor, double throw_time = scenes::nan) {
  Script script = five_and_passer();
  script.throw_time = throw_time;
  actor.name = "he";
  script.men.push_back(std::move(actor));
  return find(script)["he"].role;
}

/// Whether a defender is a rusher who came late.
bool is_late(Path path, double throw_time = scenes::nan) {
  Script script = five_and_passer();
  script.throw_time = throw_time;
  script.men.push_back(defense("he", std::move(path)));
  const Found found = find(script);
  return found["he"].role == Role::rusher && found["he"].late;
}

Actor back(Path path) { return offense("RB", std::move(path)); }

/// There at `time` and not before, from and to where he stands.
Path steps_to(const Point& from, double time, const Point& to) { return along({{time - 0.05, from}, {time, to}}); }

}  // namespace

TEST_CASE("the passer is the one quarterback, or the man who is said to be") {
  Script script = five_and_passer();
  script.men.push_back(back(stands(1, 6)));
  CHECK(find(script)["QB"].role == Role::passer);
  script.men.back().role = Role::passer;
  CHECK(find(script)["RB"].role == Role::passer);
  CHECK(find(script)["QB"].role != Role::passer);
  // A defender listed as QB is none.
  Script odd = five_and_passer();
  odd.men.push_back({"spy", "QB", Unit::defense, stands(0, -6)});
  CHECK(find(odd)["QB"].role == Role::passer);
}

TEST_CASE("labelled linemen are linemen wherever they stand") {
  const Found found = find(five_and_passer());
  CHECK(found["LT"].slot == Slot::LT);
  CHECK(found["LG"].slot == Slot::LG);
  CHECK(found["C"].slot == Slot::C);
  CHECK(found["RG"].slot == Slot::RG);
  CHECK(found["RT"].slot == Slot::RT);
  CHECK(found["QB"].slot == Slot::none);
  for (const char* name : {"LT", "LG", "C", "RG", "RT"}) CHECK(found[name].role == Role::protector);
}

TEST_CASE("without labels the five nearest the ball are named by where they stand") {
  Script script = five_and_passer();
  script.men.resize(1);
  script.men.push_back(offense("T", stands(3.2, 0.8), "a"));
  script.men.push_back(offense("OT", stands(-3.2, 0.8), "b"));
  script.men.push_back(offense("G", stands(1.6, 0.5), "c"));
  script.men.push_back(offense("OG", stands(-1.6, 0.5), "d"));
  script.men.push_back(offense("OL", stands(0.1, 0.3), "e"));
  script.men.push_back(offense("OL", stands(5, 0.8), "f"));    // a sixth man
  script.men.push_back(offense("OL", stands(0.5, 2.1), "g"));  // too deep for the line
  const Found found = find(script);
  CHECK(found["a"].slot == Slot::RT);
  CHECK(found["b"].slot == Slot::LT);
  CHECK(found["c"].slot == Slot::RG);
  CHECK(found["d"].slot == Slot::LG);
  CHECK(found["e"].slot == Slot::C);
  CHECK(found["f"].slot == Slot::none);
  CHECK(found["g"].slot == Slot::none);
  CHECK(found["f"].role == Role::protector);  // he stays in all the same
}

TEST_CASE("without labels the listed centre is the centre, though another stands nearer the ball") {
  Script script = five_and_passer();
  script.men.resize(1);
  script.men.push_back(offense("OL", stands(-2.6, 0.8), "lt"));
  script.men.push_back(offense("OL", stands(-1.0, 0.5), "lg"));
  script.men.push_back(offense("C", stands(0.6, 0.3), "c"));
  script.men.push_back(offense("OL", stands(-0.4, 1.8), "odd"));
  script.men.push_back(offense("OL", stands(2.2, 0.5), "rg"));
  const Found found = find(script);
  CHECK(found["c"].slot == Slot::C);
  CHECK(found["odd"].slot == Slot::LG);
  CHECK(found["lg"].slot == Slot::LT);
  CHECK(found["rg"].slot == Slot::RG);
  CHECK(found["lt"].slot == Slot::none);  // a fifth man beyond the tackle
}

TEST_CASE("with labels a generic lineman is none") {
  Script script = five_and_passer();
  script.men.push_back(offense("OL", stands(4.8, 0.8), "extra"));
  CHECK(find(script)["extra"].slot == Slot::none);
}

TEST_CASE("who stays in protects") {
  CHECK(role_of(back(stands(1, 6))) == Role::protector);
  CHECK(role_of(back(stands(7, 0))) == Role::protector);  // 7 yd across is within
  CHECK(role_of(back(stands(7.01, 0))) == Role::other);
  CHECK(role_of(offense("TE", stands(4.8, -1))) == Role::protector);  // a yard beyond the line is within
  CHECK(role_of(offense("TE", stands(4.8, -1.01))) == Role::other);
  CHECK(role_of(offense("WR", stands(5, 1))) == Role::protector);
  // A back who leaves: by 2.5 s or the throw he counts as a receiver, later he has stayed in.
  CHECK(role_of(back(steps_to({2, 5}, 2.5, {8, 5}))) == Role::other);
  CHECK(role_of(back(steps_to({2, 5}, 2.6, {8, 5}))) == Role::protector);
  CHECK(role_of(back(steps_to({2, 5}, 1.6, {8, 5})), 1.5) == Role::protector);
  CHECK(role_of(back(steps_to({2, 5}, 1.5, {8, 5})), 1.5) == Role::other);
}

TEST_CASE("what people says of a role holds") {
  Actor receiver = offense("WR", stands(5, 1));
  receiver.role = Role::other;
  CHECK(role_of(receiver) == Role::other);
  Actor chip = back(steps_to({2, 5}, 0.8, {9, -4}));
  chip.role = Role::protector;
  CHECK(role_of(chip) == Role::protector);
  Actor spy = defense("he", stands(0, -5));
  spy.role = Role::rusher;
  CHECK(role_of(spy) == Role::rusher);
  Actor dropper = defense("he", stands(2, 1));
  dropper.role = Role::other;
  CHECK(role_of(dropper) == Role::other);
}

TEST_CASE("who gets behind the line in time rushes") {
  CHECK(role_of(defense("he", steps_to({5, -5}, 1.5, {5, 0.5}))) == Role::rusher);
  CHECK(role_of(defense("he", steps_to({5, -5}, 1.5, {5, 0.49}))) == Role::other);
  CHECK(role_of(defense("he", steps_to({14, -5}, 1.5, {15, 1}))) == Role::rusher);
  CHECK(role_of(defense("he", steps_to({14, -5}, 1.5, {15.01, 1}))) == Role::other);
  CHECK(role_of(defense("he", steps_to({5, -5}, 2.5, {5, 1}))) == Role::rusher);
  CHECK_FALSE(is_late(steps_to({5, -5}, 2.5, {5, 1})));
  CHECK(is_late(steps_to({5, -5}, 2.6, {5, 1})));
  CHECK(role_of(defense("he", steps_to({5, -5}, 1.5, {5, 1})), 1.4) == Role::other);
  CHECK(role_of(defense("he", steps_to({5, -5}, 1.4, {5, 1})), 1.4) == Role::rusher);
}

TEST_CASE("a man of the front who is held up on the line rushes too") {
  CHECK(role_of(defense("he", stands(1.6, -0.69))) == Role::rusher);
  CHECK(role_of(defense("he", stands(1.6, -0.71))) == Role::other);  // more than 1.2 yd off the guard
  // 0.3 s on end is enough, 0.2 s is not; two spells of 0.2 s do not add up.
  const auto touches = [&](double until) {
    return along(
        {{0, {1.6, -1.9}}, {0.45, {1.6, -1.9}}, {0.5, {1.6, -0.5}}, {until, {1.6, -0.5}}, {until + 0.05, {1.6, -1.9}}});
  };
  CHECK(role_of(defense("he", touches(0.8))) == Role::rusher);
  CHECK(role_of(defense("he", touches(0.7))) == Role::other);
  CHECK(role_of(defense("he", along({{0.45, {1.6, -1.9}},
                                     {0.5, {1.6, -0.5}},
                                     {0.7, {1.6, -0.5}},
                                     {0.75, {1.6, -1.9}},
                                     {0.85, {1.6, -1.9}},
                                     {0.9, {1.6, -0.5}},
                                     {1.1, {1.6, -0.5}},
                                     {1.15, {1.6, -1.9}}}))) == Role::other);
  // One protector or another: passed from guard to tackle.
  CHECK(role_of(defense("he", along({{0, {1.6, -0.6}}, {0.15, {1.6, -0.6}}, {0.25, {3.2, -0.3}}}))) == Role::rusher);
  // From off the line, or from wide, it does not count.
  CHECK(role_of(defense("he", steps_to({1.6, -2.1}, 0.5, {1.6, -0.6}))) == Role::other);
  CHECK(role_of(defense("he", steps_to({1.6, -2.0}, 0.5, {1.6, -0.6}))) == Role::rusher);
  CHECK(role_of(defense("he", steps_to({8.1, -1}, 0.5, {3.2, -0.2}))) == Role::other);
}

TEST_CASE("a rusher takes part from the snap, or from a yard off the line") {
  Script script = five_and_passer();
  script.men.push_back(defense("end", along({{0, {5, -2}}, {2, {5, 4}}})));
  script.men.push_back(defense("blitzer", along({{0, {2, -6}}, {2, {2, 4}}})));  // 5 yd/s: at -1 after 1 s
  const Found found = find(script);
  CHECK(found["end"].counts_from == 0);
  CHECK(found["blitzer"].counts_from == 10);
  CHECK(found["blitzer"].role == Role::rusher);
}

TEST_CASE("the lists of a play hold each man once, the lower id first") {
  Script script = five_and_passer();
  script.men.push_back(back(stands(1, 6)));
  script.men.push_back(offense("WR", stands(20, -1)));
  script.men.push_back(defense("end", along({{0, {5, -1}}, {2, {2, 4}}})));
  script.men.push_back(defense("corner", stands(20, -8)));
  const Found found = find(script);
  const Play& play = found.play.play;
  CHECK(play.protectors.size() == 6);
  CHECK(play.offense.size() == 7);
  CHECK(play.rushers.size() == 1);
  CHECK(std::is_sorted(play.protectors.begin(), play.protectors.end()));
  CHECK(play.men[play.passer].position == Position::QB);
  CHECK(std::find(play.offense.begin(), play.offense.end(), play.passer) == play.offense.end());
}
