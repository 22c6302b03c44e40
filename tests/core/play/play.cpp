#include "play/play.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "scenes.hpp"

using namespace shortedge;
using namespace shortedge::scenes;
using doctest::Approx;

TEST_CASE("the play frame: right of the ball and behind the line, whichever way the offence goes") {
  for (const int direction : {1, -1}) {
    Script script = five_and_passer();
    script.direction = direction;
    script.men[0].path = stands(-2, 6.5);
    const Input input(script);
    const Game game = input.game();
    const ReadyPlay play = ready(game);
    CHECK(distance(play.motion.at(0, play.play.passer), {-2, 6.5}) < 1e-12);
    // On the field: an offence going +x has its back at lower x and its left at higher y.
    CHECK(input.x[0] == Approx(45 - direction * 6.5));
    CHECK(input.y[0] == Approx(25 + direction * 2));
  }
}

TEST_CASE("measured frames run from the snap to the end") {
  const auto times = [](Script script) { return ready(Input(script).game()).play.time; };
  Script script = five_and_passer();
  CHECK(times(script).front() == Approx(0));
  CHECK(times(script).back() == Approx(3.0));  // no throw, no end: to the last sample
  script.throw_time = 1.25;
  CHECK(times(script).back() == Approx(2.2));  // a second after the throw
  script.throw_time = 1.3;
  CHECK(times(script).back() == Approx(2.3));  // a second exactly, whatever the clock's rounding
  script.end_time = 1.7;
  CHECK(times(script).back() == Approx(1.7));
  CHECK(times(script).size() == 18);
  script.snap_time = 20.05;  // sample times stay on tenths of this clock
  CHECK(times(script).front() == Approx(0));
}

TEST_CASE("a man comes, goes and is filled in") {
  Script script = five_and_passer();
  Actor end = defense("LE", along({{0, {-5, -1}}, {3, {-1, 7}}}));
  end.from = 0.5;
  end.to = 2;
  script.men.push_back(end);
  Input input(script);
  // One sample of his is missing; the line between its neighbours stands in.
  for (std::size_t row = 0; row < input.time.size(); ++row) {
    if (input.track_player[row] == input.player("LE") && std::abs(input.time[row] - 21) < 1e-9)
      input.x[row] = scenes::nan;
  }
  const Game game = input.game();
  const ReadyPlay play = ready(game);
  const auto man = static_cast<std::size_t>(&man_called(game, play.play, "LE") - play.play.men.data());
  CHECK_FALSE(present(play.motion.at(4, man)));
  CHECK(present(play.motion.at(5, man)));
  CHECK(distance(play.motion.at(10, man), end.path(1.0)) < 1e-12);
  CHECK(present(play.motion.at(20, man)));
  CHECK_FALSE(present(play.motion.at(21, man)));
  CHECK(play.filled == 1);
}

TEST_CASE("velocities are fitted to the samples, or the recorded ones") {
  Script script = five_and_passer();
  script.men[0].path = [](double time) { return Point(0.5 * time, 3 + 2 * time - 0.4 * time * time); };
  Input input(script);
  const ReadyPlay fitted = ready(input.game());
  for (std::size_t frame = 0; frame < fitted.play.frames(); ++frame) {
    const double time = fitted.play.time[frame];
    CHECK(distance(fitted.motion.speed(frame, fitted.play.passer), {0.5, 2 - 0.8 * time}) < 1e-9);
  }
  input.vx.assign(input.x.size(), scenes::nan);
  input.vy.assign(input.x.size(), scenes::nan);
  for (std::size_t row = 0; row < input.x.size(); row += 2) input.vx[row] = input.vy[row] = 1;
  const ReadyPlay recorded = ready(input.game());
  int known = 0;
  for (std::size_t frame = 0; frame < recorded.play.frames(); ++frame) {
    const Point& speed = recorded.motion.speed(frame, recorded.play.passer);
    CHECK(std::isnan(speed.x()) == std::isnan(speed.y()));
    if (!present(speed)) continue;  // unknown stays unknown
    CHECK(speed == Point(-1, -1));
    ++known;
  }
  CHECK(known > 10);
  CHECK(known < 20);
}

TEST_CASE("a scene has the men present, rushers from when they count") {
  Script script = five_and_passer();
  script.men.push_back(defense("blitzer", along({{0, {3, -6}}, {2, {1, 5}}})));
  script.men.push_back(defense("end", along({{0, {5, -1}}, {2, {2, 5}}})));
  script.men[1].to = 1;  // LT is lost after a second
  const Game game = Input(script).game();
  const ReadyPlay play = ready(game);
  Scene scene;
  look(play.play, play.motion, 0, scene);
  CHECK(scene.rushers.size() == 1);
  CHECK(scene.protectors.size() == 5);
  look(play.play, play.motion, 12, scene);
  CHECK(scene.rushers.size() == 2);
  CHECK(scene.protectors.size() == 4);
  CHECK(present(scene.passer));
  for (const Rushing& rusher : scene.rushers) CHECK(rusher.velocity.y() > 0);
}
