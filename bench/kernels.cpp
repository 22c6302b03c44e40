// What each layer costs: build/release/bench/shortedge_bench. Every benchmark runs over the frames of many invented
// plays in which everybody moves, so that no branch can be learnt by heart, and its results are asserted: once by an
// identity that does not depend on how they were found, and in every timed pass by their sum. Counters: "each" is the
// time of one call, "frame" that of one frame of 5 protectors and 4 rushers.

#include <benchmark/benchmark.h>

#include <cmath>
#include <cstdlib>
#include <iostream>

#include "geometry/taut_path.hpp"
#include "measure/measure.hpp"
#include "pocket/pocket.hpp"
#include "reps/reps.hpp"
#include "rush/blocker.hpp"
#include "rush/ways.hpp"
#include "scenes.hpp"
#include "tracking/velocity.hpp"

namespace {

using namespace shortedge;

void expect(bool right, const char* what) {
  if (right) return;
  std::cerr << "wrong result: " << what << "\n";
  std::exit(1);
}

/// From 0 to 1 while `time` goes from 0 to `over`, fast first.
double eased(double time, double over) {
  const double share = std::clamp(time / over, 0.0, 1.0);
  return share * (2 - share);
}

/// A drop-back of 22 men: linemen set, four rush, meet their men and work round them at their own rates; the others run
/// routes and cover. All numbers are invented.
scenes::Script drop_back(scenes::Random& random, int number) {
  using scenes::Path;
  scenes::Script script = scenes::five_and_passer(std::to_string(number));
  script.men.clear();
  script.throw_time = random.number(2.3, 3.2);
  script.end_time = script.throw_time + 0.5;

  const double depth = random.number(5, 9.5), drop_time = 0.325 * depth - 0.575, slide = random.number(-0.8, 0.8);
  const Path passer = [=](double time) {
    return Point(slide * eased(time - drop_time, 1.5), 1 + (depth - 1) * eased(time, drop_time));
  };
  script.men.push_back(scenes::offense("QB", passer));
  const char* names[] = {"LT", "LG", "C", "RG", "RT"};
  std::vector<Path> line;
  for (int k = -2; k <= 2; ++k) {
    const bool tackle = std::abs(k) == 2;
    const Point home(1.5 * k + random.number(-0.2, 0.2), random.number(0.4, 0.9));
    const Point set(tackle ? random.number(0.1, 0.5) * k : random.number(-0.4, 0.4),
                    tackle ? random.number(2, 3.4) : random.number(0.9, 1.8));
    const Point pushed(random.number(-0.3, 0.3), random.number(0.1, 0.9));  // yd/s, from a second on
    line.push_back(
        [=](double time) { return Point(home + eased(time, 1.1) * set + std::max(0.0, time - 1) * pushed); });
    script.men.push_back(scenes::offense(names[k + 2], line.back()));
  }
  const int against[] = {0, random.whole(1, 2), 3, 4};
  for (int k = 0; k < 4; ++k) {
    const Path man = line[static_cast<std::size_t>(against[k])];
    const double wide = k == 0 ? -1.6 : k == 3 ? 1.6 : random.number(-0.6, 0.6);
    const Point stance = man(0) + Point(wide, -1.8);
    const double meets = random.number(0.7, 1.5), hold = random.number(0.8, 1.15);
    const double facing = -pi / 2 + random.number(-0.4, 0.4);  // from his man, when they meet
    const double turning =
        (random.whole(0, 3) ? wide : -wide) > 0 ? random.number(0.1, 1.5) : random.number(-1.5, -0.1);
    script.men.push_back(scenes::defense("R" + std::to_string(k), [=](double time) {
      const double angle = facing + turning * std::max(0.0, time - meets);
      const Point held = man(time) + hold * Point(std::cos(angle), std::sin(angle));
      return Point(stance + std::pow(std::clamp(time / meets, 0.0, 1.0), 1.5) * (held - stance));
    }));
  }
  for (int k = 0; k < 5; ++k) {  // routes
    const Point from(-20 + 10 * k + random.number(-1, 1), 0.5), speed(random.number(-2, 2), random.number(-8, -5));
    script.men.push_back(scenes::offense(
        "WR", [=](double time) { return Point(from + std::max(0.0, time) * speed); }, "W" + std::to_string(k)));
  }
  for (int k = 0; k < 7; ++k) {  // coverage
    const Point from(-21 + 7 * k, -7 - k % 3), speed(random.number(-2, 2), random.number(-5, 0));
    script.men.push_back(scenes::defense("D" + std::to_string(k),
                                         [=](double time) { return Point(from + std::max(0.0, time) * speed); }));
  }
  const double wobble = random.number(0.5, 1.5);
  for (std::size_t man = 0; man < script.men.size(); ++man) {  // nobody runs as if on rails
    scenes::Actor& actor = script.men[man];
    actor.from = -1;
    actor.path = [path = actor.path, wobble, phase = 1.7 * static_cast<double>(man)](double time) {
      return Point(path(time) + 0.04 * Point(std::sin(9 * wobble * time + phase), std::cos(7 * wobble * time - phase)));
    };
  }
  return script;
}

struct Plays {
  Game game;
  Roster roster;
  std::vector<ReadyPlay> ready;
  std::size_t frames = 0;

  Plays() : game(made()), roster(game.people, game.players.size()) {
    for (const std::size_t row : game.measured()) {
      ready.push_back(prepare(game, roster, game.snaps[row]));
      expect(ready.back().play.protectors.size() == 5 && ready.back().play.rushers.size() == 4, "five against four");
      frames += ready.back().play.frames();
    }
  }
  static Game made() {
    scenes::Random random(2024);
    std::vector<scenes::Script> scripts;
    for (int k = 0; k < 60; ++k) scripts.push_back(drop_back(random, k));
    return scenes::Input(scripts).game();
  }
};

const Plays& plays() {
  static const Plays all;
  return all;
}

/// The frames as the layers see them.
struct Look {
  Scene scene;
  std::vector<std::vector<Disc>> discs;  // for each rusher
  std::vector<Blocking> blocking;
};

const std::vector<Look>& looks() {
  static const std::vector<Look> all = [] {
    std::vector<Look> found;
    for (const ReadyPlay& ready : plays().ready) {
      const Match match = match_play(ready.play, ready.motion, Rules());
      Followed followed(ready.play, ready.motion, match);
      for (std::size_t frame = 0; frame < ready.play.frames(); ++frame) {
        Look& one = found.emplace_back();
        look(ready.play, ready.motion, frame, one.scene);
        for (const Rushing& rusher : one.scene.rushers) {
          const Blocking& blocking = one.blocking.emplace_back(followed.see(frame, one.scene, rusher, Rules()));
          std::vector<Disc>& discs = one.discs.emplace_back();
          for (const Standing& man : one.scene.protectors) {
            const bool blocks = blocking.blocker && blocking.blocker->man == man.man;
            discs.push_back({man.at, blocks ? Rules().reach : Rules().body});
          }
        }
      }
    }
    return found;
  }();
  return all;
}

/// Runs pass() again and again; it gives a sum that must come out the same, the first time and ever after.
template <class Pass>
void timed(benchmark::State& state, std::size_t calls, const char* counter, Pass&& pass) {
  const double sum = pass();
  expect(std::isfinite(sum), "a finite sum");
  for (auto _ : state) expect(pass() == sum, "the same sum");
  state.counters[counter] = benchmark::Counter(
      static_cast<double>(calls), benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
}

/// visit(look, index of the rusher) for every rusher of every frame.
template <class Visit>
void each_rusher(Visit&& visit) {
  for (const Look& one : looks()) {
    for (std::size_t k = 0; k < one.scene.rushers.size(); ++k) visit(one, k);
  }
}

std::size_t rusher_frames() {
  std::size_t count = 0;
  each_rusher([&](const Look&, std::size_t) { ++count; });
  return count;
}

void taut_length(benchmark::State& state) {
  TautSearch search;
  std::size_t bent = 0;
  each_rusher([&](const Look& one, std::size_t k) {
    const Point &from = one.scene.rushers[k].at, &to = one.scene.passer;
    const double there = search.length(from, to, one.discs[k]), back = search.length(to, from, one.discs[k]);
    expect(there == back || std::abs(there - back) < 1e-9, "there and back");
    bent += there > distance(from, to) + 1e-6;
  });
  expect(bent > rusher_frames() / 2, "most strings are bent");
  timed(state, rusher_frames(), "each", [&] {
    double sum = 0;
    each_rusher([&](const Look& one, std::size_t k) {
      const double length = search.length(one.scene.rushers[k].at, one.scene.passer, one.discs[k]);
      if (length < infinity) sum += length;
    });
    return sum;
  });
}
BENCHMARK(taut_length);

void taut_together(benchmark::State& state) {
  TautSearch search;
  std::vector<TautSearch::String> strings;
  each_rusher([&](const Look& one, std::size_t k) {
    strings.push_back({one.scene.rushers[k].at, one.scene.passer, one.discs[k]});
  });
  std::vector<double> lengths(strings.size());
  search.lengths(strings, lengths);
  for (std::size_t i = 0; i < strings.size(); ++i) {
    const double alone = search.length(strings[i].start, strings[i].goal, strings[i].discs);
    expect(lengths[i] == alone, "side by side as alone");
  }
  timed(state, strings.size(), "each", [&] {
    search.lengths(strings, lengths);
    double sum = 0;
    for (const double length : lengths) sum += length < infinity ? length : 0;
    return sum;
  });
}
BENCHMARK(taut_together);

void taut_route(benchmark::State& state) {
  TautSearch search, other;
  each_rusher([&](const Look& one, std::size_t k) {
    const Point &from = one.scene.rushers[k].at, &to = one.scene.passer;
    const Route& route = search.route(from, to, one.discs[k]);
    const double path = other.length(from, to, one.discs[k]);
    expect(route.length == path || std::abs(route.length - path) < 1e-12, "a route is as long as the path");
    double sum = 0;
    for (const Stretch& stretch : route.stretches) sum += stretch.length;
    expect(route.stretches.empty() || std::abs(sum - route.length) < 1e-9, "and as its stretches");
  });
  timed(state, rusher_frames(), "each", [&] {  // what a simulated rusher asks: where to aim
    double sum = 0;
    each_rusher([&](const Look& one, std::size_t k) {
      const Route& route = search.route(one.scene.rushers[k].at, one.scene.passer, one.discs[k]);
      if (!route.stretches.empty()) sum += route.point(0.6).at.x();
    });
    return sum;
  });
}
BENCHMARK(taut_route);

Rush rush_of(const Look& one, std::size_t k) {
  return rush_of(one.scene.rushers[k], one.blocking[k], one.scene.passer);
}
double finite(double time) { return std::isfinite(time) ? time : 0; }

void both_ways(benchmark::State& state) {
  const Rules rules;
  each_rusher([&](const Look& one, std::size_t k) {
    if (one.blocking[k].placed.past) return;
    const Point &from = one.scene.rushers[k].at, &to = one.scene.passer, &blocker = one.blocking[k].blocker->at;
    const WayRound left = way_past(from, blocker, to, -1, rules.reach),
                   right = way_past(from, blocker, to, 1, rules.reach);
    const double taut = taut_path(from, to, std::vector<Disc>{{blocker, rules.reach}}).length;
    const double inside = std::max(0.0, std::min(rules.reach, distance(blocker, to)) - distance(from, blocker));
    const double lesser = std::min(left.length(), right.length());
    expect(inside > 0 ? lesser > taut - inside - 1e-9 : std::abs(lesser - taut) < 1e-9, "the shorter way is taut");
  });
  timed(state, rusher_frames(), "each", [&] {
    double sum = 0;
    each_rusher([&](const Look& one, std::size_t k) { sum += finite(ways_round(rush_of(one, k), rules).inside_time); });
    return sum;
  });
}
BENCHMARK(both_ways);

void ways_together(benchmark::State& state) {
  const Rules rules;
  std::vector<Rush> rushes;
  each_rusher([&](const Look& one, std::size_t k) { rushes.push_back(rush_of(one, k)); });
  std::vector<Ways> ways(rushes.size());
  timed(state, rushes.size(), "each", [&] {
    ways_round(rushes, rules, ways);
    double sum = 0;
    for (const Ways& one : ways) sum += finite(one.inside_time);
    return sum;
  });
}
BENCHMARK(ways_together);

void polygon(benchmark::State& state) {
  const Rules rules;
  Wall wall;
  Pocket pocket;
  Room room;
  const auto pass = [&](bool check) {
    double sum = 0;
    for (const Look& one : looks()) {
      find_wall(one.scene, rules, wall);
      shape_pocket(one.scene, wall, rules.cushion, pocket);
      if (!pocket.encloses) continue;
      const double whole = area(pocket.ring), his = passer_room(pocket, one.scene, room);
      if (check) {
        expect(is_valid(pocket.ring) && covers(pocket.ring, one.scene.passer), "a ring round the passer");
        expect(his >= 0 && his <= whole + 1e-9, "his room is part of it");
      }
      sum += whole + his + pocket_depth(pocket, one.scene.passer);
    }
    return sum;
  };
  expect(pass(true) > 10 * static_cast<double>(looks().size()), "most frames have a pocket");
  timed(state, looks().size(), "frame", [&] { return pass(false); });
}
BENCHMARK(polygon);

double sum_of(const Tables& tables) {
  double sum = 0;
  for (const double time : tables.rushers.inside_time) sum += finite(time);
  for (const double width : tables.frames.pocket_width) sum += std::isnan(width) ? 0 : width;
  return sum;
}

void measure_matched(const ReadyPlay& ready, const Rules& rules, Tables& tables) {
  measure(ready.play, ready.motion, match_play(ready.play, ready.motion, rules), rules, tables);
}

/// Who has whom, of a whole play, by its frames.
void matching(benchmark::State& state) {
  const Rules rules;
  timed(state, plays().frames, "frame", [&] {
    double sum = 0;
    for (const ReadyPlay& ready : plays().ready) {
      for (const std::vector<std::int32_t>& men : match_play(ready.play, ready.motion, rules).man) sum += men.back();
    }
    return sum;
  });
}
BENCHMARK(matching);

/// All of a frame's figures with who has whom, in tables of its play.
void one_frame(benchmark::State& state) {
  const Rules rules;
  Tables tables;
  for (const ReadyPlay& ready : plays().ready) measure_matched(ready, rules, tables);
  expect(tables.frames.rows() == plays().frames && tables.rushers.rows() == 4 * plays().frames, "rows");
  for (std::size_t row = 0; row < tables.rushers.rows(); ++row) {
    expect(tables.rushers.slack[row] > -1e-12, "no way is shorter than the straight line");
  }
  timed(state, plays().frames, "frame", [&] {
    double sum = 0;
    for (const ReadyPlay& ready : plays().ready) {
      Tables of_play;
      measure_matched(ready, rules, of_play);
      sum += sum_of(of_play);
    }
    return sum;
  });
}
BENCHMARK(one_frame);

/// Reps with all they rest on, by the play's frames.
void play_of_reps(benchmark::State& state) {
  const Rules rules;
  timed(state, plays().frames, "frame", [&] {
    double sum = 0;
    for (const ReadyPlay& ready : plays().ready) {
      RepTables of_play;
      add_reps(ready.play, ready.motion, rules, 0, of_play);
      sum += static_cast<double>(of_play.reps.rows());
    }
    return sum;
  });
}
BENCHMARK(play_of_reps);

void preparation(benchmark::State& state) {
  timed(state, plays().frames, "frame", [&] {
    double sum = 0;
    for (const Snap& snap : plays().game.snaps) {
      const ReadyPlay ready = prepare(plays().game, plays().roster, snap);
      expect(ready.play.men.size() == 22 && ready.filled == 0, "everybody, at every frame");
      sum += ready.motion.at(ready.play.frames() - 1, ready.play.passer).y();
    }
    return sum;
  });
}
BENCHMARK(preparation);

/// From the game to its tables on one thread: preparation and all figures.
void one_play(benchmark::State& state) {
  timed(state, plays().ready.size(), "play", [&] { return sum_of(measure_game(plays().game, Rules(), 1)); });
}
BENCHMARK(one_play)->MeasureProcessCPUTime();  // it runs on a thread of its own

/// The fit for a man alone, and for 22 who are stamped alike.
void velocity(benchmark::State& state) {
  std::vector<double> times;
  std::vector<Point> places, found;
  for (int i = 0; i < 60; ++i) {
    const double t = 0.1 * i;
    times.push_back(t);
    places.emplace_back(1 + 2 * t - 0.5 * t * t, 3 * t);
  }
  const auto men = static_cast<std::size_t>(state.range(0));
  timed(state, men, "man", [&] {
    double sum = 0;
    const VelocityFit fit(times);
    for (std::size_t man = 0; man < men; ++man) {
      fit.apply(places, found);
      expect(std::abs(found[30].x() - (2 - 3.0)) < 1e-9 && std::abs(found[0].y() - 3) < 1e-9, "a quadratic's slope");
      sum += found[17].x();
    }
    return sum;
  });
}
BENCHMARK(velocity)->Arg(1)->Arg(22);

}  // namespace
