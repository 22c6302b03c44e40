#include "reps/reps.hpp"

#include <doctest/doctest.h>

#include <map>

#include "reps/told.hpp"

using namespace shortedge;
using namespace told;
using doctest::Approx;
using scenes::along, scenes::Random, scenes::Script, scenes::stands;

TEST_CASE("a dropback of six reps, each as a line coach would call it") {
  for (const bool mirror : {false, true}) {
    CAPTURE(mirror);
    const Told told(dropback(3.0, mirror), mirror);
    REQUIRE(told.reps.rows() == 6);

    const Row left_tackle = told.rep("LT", "LE");
    CHECK(left_tackle.outcome == Outcome::held);
    CHECK(left_tackle.technique == Technique::wide);
    CHECK(left_tackle.technique_side == told.side(Side::left));
    CHECK(left_tackle.contact_time == Approx(0.9));     // the first frame in which they are 1.2 yd apart
    CHECK(left_tackle.leverage == Approx(4.64 - 3.9));  // half a man inside of him
    CHECK(left_tackle.set_type == Set::vertical);       // 3.2 yd back, 1 yd out, where they meet
    CHECK(!left_tackle.helped);
    CHECK(left_tackle.island_seconds == Approx(3 - left_tackle.contact_time));
    CHECK(!left_tackle.pressure);
    CHECK(left_tackle.lane == Lane::B);         // his straight line is the gap between tackle and guard
    CHECK(left_tackle.nearest_rusher_min < 2);  // others get there in that time

    const Row left_guard = told.rep("LG", "LDT");
    CHECK(left_guard.outcome == Outcome::driven);
    CHECK(left_guard.technique == Technique::t2);
    CHECK(left_guard.ground_given == Approx(std::hypot(1.5, 5.5) - std::hypot(1.2, 3.3)));
    CHECK(left_guard.helped);
    CHECK(left_guard.island_seconds < 1.2);

    const Row centre = told.rep("C", "LDT");
    CHECK(centre.outcome == Outcome::help);
    CHECK(centre.start == Approx(1));  // the first frame he is within 1.2 yd of him
    CHECK(centre.end == Approx(3));
    CHECK(told.reps.help_side[told.rows("C").front()] == code(told.side(Side::right)));
    CHECK(std::isnan(centre.contact_time));

    const Row right_guard = told.rep("RG", "");
    CHECK(right_guard.outcome == Outcome::uncovered);
    CHECK(right_guard.technique == Technique::none);

    const Row right_tackle = told.rep("RT", "RE");
    CHECK(right_tackle.outcome == Outcome::beat);
    CHECK(right_tackle.beat_side == BeatSide::outside);
    CHECK(right_tackle.beat_time ==
          Approx(1.6));  // his way in crosses the circle about the passer through the tackle at 1.5 s
    CHECK(right_tackle.pressure);
    CHECK(right_tackle.pressure_time > right_tackle.beat_time);
    CHECK(!right_tackle.ball_out);
    CHECK(right_tackle.peak_outside > 0.5);
    CHECK(right_tackle.short_edge_seconds > 0);

    const Row blitzer = told.rep("", "WLB");
    CHECK(blitzer.outcome == Outcome::free);
    CHECK(blitzer.technique == Technique::wide);
    CHECK(blitzer.pressure);

    CHECK(told.rows("RB").empty());

    const DropbacksTable& play = told.tables.dropbacks;
    REQUIRE(play.rows() == 1);
    CHECK(told.name(play.passer[0]) == "QB");
    CHECK(play.alignment[0] == static_cast<std::int8_t>(Alignment::gun));
    CHECK(play.rushers[0] == 4);
    CHECK(play.pressure[0]);
    CHECK(play.pressure_time[0] == Approx(std::min(right_tackle.pressure_time, blitzer.pressure_time)));
    CHECK(play.throw_time[0] == Approx(3));
    CHECK(std::isnan(play.top_time[0]));  // he stands
    CHECK(std::isnan(play.hitch[0]));
    CHECK(play.drop_depth[0] == Approx(7.5));
    CHECK(play.push[0] > 0);
  }
}

TEST_CASE("a man beaten with the ball out in time: the rep is lost, the play is not") {
  const Told told(dropback(1.8, false));
  const Row right_tackle = told.rep("RT", "RE");
  CHECK(right_tackle.outcome == Outcome::beat);
  CHECK(right_tackle.ball_out);
  CHECK(!right_tackle.pressure);
  CHECK(std::isnan(right_tackle.pressure_time));
  CHECK(right_tackle.end == Approx(1.8));
  CHECK(!told.tables.dropbacks.pressure[0]);
  // With no throw in the play at all nothing is out.
  const Told sacked(dropback(scenes::nan, false));
  CHECK(sacked.rep("RT", "RE").outcome == Outcome::beat);
  CHECK(!sacked.rep("RT", "RE").ball_out);
}

TEST_CASE("a man beaten across his face is beaten inside") {
  for (const bool mirror : {false, true}) {
    Script script = line();
    *man(script, "RT") = scenes::offense("RT", along({{0, {3, 0.8}}, {1, {4, 3.5}}}));
    script.men.push_back(
        scenes::defense("RE", along({{0, {5, -1}}, {1, {4.2, 2.5}}, {1.5, {2.6, 3.3}}, {2.4, {0.5, 6.5}}})));
    script.throw_time = 2.6;
    if (mirror) reflect(script);
    const Row rep = Told(script, mirror).rep("RT", "RE");
    CHECK(rep.outcome == Outcome::beat);
    CHECK(rep.beat_side == BeatSide::inside);
    CHECK(rep.pressure);
    CHECK(rep.short_edge_seconds == 0);
  }
}

TEST_CASE("a stunt that is passed off is two reps each, none of them lost") {
  Script script = line();
  *man(script, "LT") = scenes::offense("LT", along({{0, {-3, 0.8}}, {0.8, {-3.5, 3}}}));
  *man(script, "LG") = scenes::offense("LG", along({{0, {-1.5, 0.8}}, {0.8, {-1.5, 3}}}));
  script.men.push_back(
      scenes::defense("LE", along({{0, {-4.5, -1}}, {0.8, {-3.7, 2}}, {1.3, {-3.7, 2}}, {1.7, {-1.5, 2.1}}})));
  script.men.push_back(
      scenes::defense("LDT", along({{0, {-1.5, -1}}, {0.8, {-1.6, 2}}, {1.3, {-1.6, 2}}, {1.7, {-3.6, 2.1}}})));
  script.throw_time = 3;
  script.rate = 20;
  const Told told(script);
  const Row first = told.rep("LT", "LE"), second = told.rep("LG", "LE"), third = told.rep("LG", "LDT"),
            fourth = told.rep("LT", "LDT");
  for (const Row& row : {first, second, third, fourth}) CHECK(row.outcome == Outcome::held);
  CHECK(first.start == 0);
  CHECK(third.start == 0);
  for (const Row& row : {second, fourth}) {
    // Half way across both ways cost the same, in the frame of 1.5 s; in the next the other man is cheaper.
    CHECK(row.start >= 1.5 - 1e-9);
    CHECK(row.start <= 1.55 + 1e-9);
    CHECK(row.end == Approx(3));
  }
  CHECK(first.end < second.start);
  CHECK(second.start == fourth.start);       // they change over together
  CHECK(first.contact_time == Approx(0.7));  // 1.16 yd apart; 1.23 yd in the frame before
}

TEST_CASE("a pressure is charged to the last who had that rusher") {
  // The guard lets him go at 1.5 s and he stands there; the rusher reaches the passer a second later.
  Script script = line();
  *man(script, "RG") = scenes::offense("RG", along({{0, {1.5, 0.8}}, {0.8, {1.5, 2.5}}}));
  script.men.push_back(scenes::defense(
      "RDT", along({{0, {1.5, -1}}, {0.8, {1.5, 1.6}}, {1.2, {1.5, 1.6}}, {1.6, {3, 2.6}}, {2.6, {1, 6.5}}})));
  script.throw_time = 3;
  const Told told(script);
  const Row rep = told.rep("RG", "RDT");
  CHECK(rep.pressure);
  // 1.84 yd away at 2.5 s. In the frame before 2.26 yd, and 0.507 s from where he comes nearest.
  CHECK(rep.pressure_time == Approx(2.5));
  int charged = 0;
  for (const auto pressure : told.tables.reps.pressure) charged += pressure != 0;
  CHECK(charged == 1);
}

TEST_CASE("a tight end who chips and goes has a row of help; a back who blocks nobody has none") {
  Script script = line();
  *man(script, "RT") = scenes::offense("RT", along({{0, {3, 0.8}}, {1, {4, 3.5}}}));
  script.men.push_back(scenes::defense("RE", along({{0, {5, -1}}, {1, {4.4, 2.6}}})));
  script.men.push_back(scenes::offense("TE", along({{0, {5, 0.8}}, {0.6, {5.2, 1}}, {1.2, {5.3, 2}}, {2.4, {8, -9}}})));
  script.men.push_back(scenes::offense("RB", along({{0, {-2, 7}}, {2, {-9, 2}}})));
  script.throw_time = 2.6;
  const Told told(script);
  CHECK(told.rep("TE", "RE").outcome == Outcome::help);
  CHECK(told.rep("RT", "RE").outcome == Outcome::held);
  CHECK(told.rows("RB").empty());
  CHECK(told.rep("RT", "RE").technique == Technique::t6);  // head up on the tight end
}

TEST_CASE("help is two tenths of a second on end, no less and no more asked") {
  // The tight end is within 1.2 yd of the end (0.9 yd beside him) for as long as said, else five yards away.
  for (const double seconds : {0.15, 0.2, 0.3}) {
    CAPTURE(seconds);
    Script script = line();
    *man(script, "RT") = scenes::offense("RT", along({{0, {3, 0.8}}, {1, {4, 3.5}}}));
    script.men.push_back(scenes::defense("RE", along({{0, {5, -1}}, {1, {4.6, 2.7}}})));
    script.men.push_back(scenes::offense(
        "TE", [=](double time) { return time > 1.49 && time < 1.51 + seconds ? Point(5.5, 2.7) : Point(9, -1); }));
    script.throw_time = 2.6;
    script.rate = 20;
    const Told told(script);
    CHECK(told.rep("RT", "RE").helped == (seconds >= 0.2));
    CHECK(told.rows("TE").size() == (seconds >= 0.2 ? 1 : 0));
  }
}

TEST_CASE("driven is a yard and a half of ground since contact, held is less") {
  // The tackle is met at (3, 3) and walked straight back on a passer behind him: his ground is his way back.
  for (const double ground : {1.4, 1.6}) {
    CAPTURE(ground);
    Script script = line();
    script.men[0] = scenes::offense("QB", stands(3, 9));
    *man(script, "RT") =
        scenes::offense("RT", along({{0, {3, 0.8}}, {0.4, {3, 3}}, {1, {3, 3}}, {2.4, {3, 3 + ground}}}));
    script.men.push_back(
        scenes::defense("RE", along({{0, {3, -1}}, {0.8, {3, 2}}, {1, {3, 2}}, {2.4, {3, 2 + ground}}})));
    script.throw_time = 2.6;
    script.rate = 20;
    const Told told(script);
    const Row rep = told.rep("RT", "RE");
    CHECK(rep.contact_time > 0.4);  // he is set: what he dropped before is no ground given
    CHECK(rep.ground_given == Approx(ground).epsilon(1e-6));
    CHECK(rep.outcome == (ground > 1.5 ? Outcome::driven : Outcome::held));
  }
}

TEST_CASE("the foot speed a rep asks is its peak cut-off ratio times the rusher's speed") {
  // He runs at 4 yd/s on one line, before the snap too, so that every frame has that speed.
  Script script = line();
  *man(script, "RT") = scenes::offense("RT", along({{0, {3, 0.8}}, {1, {4, 3.5}}}));
  const Point from(6, -1), to(4.4, 3.2), step = (to - from).normalized() * 4;
  script.men.push_back(scenes::defense("RE", along({{-0.5, from - 0.5 * step}, {2.5, from + 2.5 * step}})));
  script.throw_time = 2.0;
  const Told told(script);
  const std::vector<std::size_t> rows = told.rows("RT");
  REQUIRE(rows.size() == 1);
  REQUIRE(told.reps.peak_cutoff_ratio[rows[0]] > 0.3);
  CHECK(told.reps.foot_speed[rows[0]] == Approx(4 * told.reps.peak_cutoff_ratio[rows[0]]).epsilon(1e-9));
}

TEST_CASE("a rep's lane is where the rusher was when they met, not where he ended") {
  // He is met outside the tackle, past the end of the wall, and ends in the gap between tackle and guard.
  Script script = line();
  script.men.push_back(
      scenes::defense("RE", along({{0, {5, -1}}, {0.8, {3.9, 1.4}}, {1.4, {3.9, 1.4}}, {2, {2.5, -0.1}}})));
  script.throw_time = 2.6;
  const Row rep = Told(script).rep("RT", "RE");
  CHECK(rep.contact_time < 1);
  CHECK(rep.end == Approx(2.6));
  CHECK(rep.lane == Lane::C);
}

TEST_CASE("hips: a tackle who turns and runs before he is met") {
  // Straight back at 3.5 yd/s is over the fastest kick; at 2.5 it is a kick.
  for (const double speed : {2.5, 3.9}) {
    CAPTURE(speed);
    Script script = line();
    *man(script, "LT") = scenes::offense("LT", along({{0, {-3, 0.8}}, {0.3, {-3, 0.8}}, {0.3 + 4 / speed, {-3, 4.8}}}));
    script.men.push_back(scenes::defense("LE", along({{0, {-4.4, -1}}, {1.8, {-3.9, 4.2}}})));
    script.throw_time = 2.8;
    const Row rep = Told(script).rep("LT", "LE");
    CHECK(std::isnan(rep.hips_time) == (speed < 3.3));
    if (speed > 3.3) {
      // Over five samples 3.12 yd/s at 0.4 s, the whole 3.9 at 0.5 s.
      CHECK(rep.hips_time == Approx(0.5));
      CHECK(rep.hips_time < rep.contact_time);
    }
  }
}

TEST_CASE("the drop's figures: how deep, when it tops, what he climbs back") {
  Script script = line();
  script.men[0] = scenes::offense("QB", along({{0, {0, 1}}, {2, {0, 8}}, {2.3, {0, 8}}, {2.9, {0, 6.8}}}));
  script.men.push_back(scenes::defense("RE", along({{0, {5, -1}}, {2, {4.2, 0.5}}})));
  script.throw_time = 2.9;
  const DropbacksTable play = Told(script).tables.dropbacks;
  REQUIRE(play.rows() == 1);
  CHECK(play.alignment[0] == static_cast<std::int8_t>(Alignment::under));
  CHECK(play.drop_depth[0] == Approx(8));
  // Backward speed over five samples: at 2.1 s 0.2 (8 - 7.65) / 0.1 = 0.7 yd/s, at 2.2 s 0.2 (7.6 - 8) / 0.1 = -0.8.
  CHECK(play.top_time[0] == Approx(2.2));
  CHECK(play.hitch[0] == Approx(8 - 6.8));
}

TEST_CASE("a row says when its rusher came, and when he dropped") {
  Script script = line();
  *man(script, "RT") = scenes::offense("RT", along({{0, {3, 0.8}}, {1, {4, 3.5}}}));
  script.men.push_back(scenes::defense("RE", along({{0, {5, -1}}, {1, {4.6, 2.7}}})));
  // He is on the guard, 1.2 yd deep to 1.1 s, and drops at 10 yd/s: a yard less at 1.2 s.
  script.men.push_back(scenes::defense(
      "LDT", along({{0, {-1.5, -1}}, {0.4, {-1.5, 1.2}}, {1.1, {-1.5, 1.2}}, {1.7, {-1.5, -4.8}}, {3, {-1.5, -9}}})));
  // A spy who comes after 2.5 s: from 1 yd off the line at 2.6 s.
  script.men.push_back(scenes::defense("MLB", along({{0, {0.5, -5}}, {2.2, {0.5, -5}}, {3, {0.5, 3}}})));
  script.throw_time = 3;
  const Told told(script);
  const auto came = [&](const char* name) {
    for (std::size_t row = 0; row < told.reps.rows(); ++row) {
      if (told.name(told.reps.rusher[row]) == name) return std::pair(told.reps.came[row], told.reps.dropped[row]);
    }
    return std::pair(-1.0, -1.0);
  };
  CHECK(came("RE").first == 0);
  CHECK(std::isnan(came("RE").second));
  CHECK(came("LDT").first == 0);
  CHECK(came("LDT").second == Approx(1.2));
  CHECK(came("MLB").first == Approx(2.6));
  CHECK(std::isnan(came("MLB").second));
  CHECK(told.tables.dropbacks.rushers[0] == 3);
  // An uncovered lineman's row has no rusher.
  const std::vector<std::size_t> tackle = told.rows("LT");
  REQUIRE(tackle.size() == 1);
  CHECK(told.reps.rusher[tackle[0]] == no_code);
  CHECK(std::isnan(told.reps.came[tackle[0]]));
}

TEST_CASE("a rusher whom nobody had has a row from his first frame to the end of reps") {
  Script script = line();
  script.men.push_back(scenes::defense("WLB", along({{0, {9, -5}}, {0.8, {9, -1}}, {2.8, {1.5, 8.5}}})));
  script.throw_time = 2.6;
  const Told told(script);
  const std::vector<std::size_t> rows = told.rows("");
  REQUIRE(rows.size() == 1);
  CHECK(told.reps.outcome[rows[0]] == static_cast<std::int8_t>(Outcome::free));
  CHECK(told.reps.start[rows[0]] == Approx(0.8));
  CHECK(told.reps.came[rows[0]] == Approx(0.8));
  CHECK(told.reps.end[rows[0]] == Approx(2.6));
  for (const char* name : {"LT", "LG", "C", "RG", "RT"}) {
    CHECK(told.rep(name, "").start == 0);
    CHECK(told.rep(name, "").end == Approx(2.6));
  }
}

TEST_CASE("the figures of every rep are of the frames in which that man has that rusher") {
  Random random(78);
  std::vector<Script> scripts;
  const int plays = scenes::cases(60, 600);
  for (int play = 0; play < plays; ++play) {
    Script script = line();
    script.play = std::to_string(play);
    script.throw_time = random.whole(0, 3) ? random.number(1.8, 2.9) : scenes::nan;
    for (std::size_t k = 1; k <= 5; ++k) {
      const Point from = script.men[k].path(0), set(from.x() * random.number(0.9, 1.5), random.number(2, 4));
      script.men[k].path =
          along({{0, from}, {0.9, set}, {3, set + Point(random.number(-1, 1), random.number(0, 1.5))}});
    }
    for (const double u : {-5.0, -1.2, 1.2, 5.0}) {
      std::vector<std::pair<double, Point>> knots{{0, {u, -1}}};
      for (double time = 0.5; time < 3.1; time += 0.5) {
        const Point& at = knots.back().second;
        knots.emplace_back(time, at + random.number(0.1, 0.5) * (Point(0, 7.5) - at) + random.point(1.2));
      }
      script.men.push_back(scenes::defense("rusher " + std::to_string(u), along(knots)));
    }
    scripts.push_back(script);
  }
  const Game game = scenes::Input(scripts).game(Orientation::trust);
  const RepTables found = reps_of_game(game, {}, 1);
  const RepsTable& reps = found.reps;
  const Tables measured = measure_game(game, Rules(), 1);
  const Roster roster(game.people, game.players.size());
  int rows = 0, short_edges = 0, peaks = 0;
  for (const std::size_t snap : game.measured()) {
    const ReadyPlay ready = prepare(game, roster, game.snaps[snap]);
    const Play& play = ready.play;
    const Match match = match_play(play, ready.motion, Rules());
    for (const Rep& rep : match.reps) {
      const Spell& spell = rep.spell;
      std::vector<std::size_t> of;
      for (std::size_t row = 0; row < reps.rows(); ++row) {
        if (reps.play[row] == play.play && reps.protector[row] == play.men[spell.protector].player &&
            reps.rusher[row] == play.men[spell.rusher].player && reps.start[row] == play.time[spell.first]) {
          of.push_back(row);
        }
      }
      REQUIRE(of.size() == 1);
      const std::size_t row = of[0];
      ++rows;
      CHECK(reps.end[row] == play.time[spell.last]);
      const auto r = static_cast<std::size_t>(std::find(play.rushers.begin(), play.rushers.end(), spell.rusher) -
                                              play.rushers.begin());
      double outside = scenes::nan, inside = scenes::nan, outside_at = scenes::nan, inside_at = scenes::nan,
             seconds = 0, nearest = scenes::nan;
      for (std::size_t frame = spell.first; frame <= spell.last; ++frame) {
        for (std::size_t k = 0; k < measured.frames.rows(); ++k) {
          if (measured.frames.play[k] != play.play || measured.frames.time[k] != play.time[frame]) continue;
          nearest = std::fmin(nearest, measured.frames.nearest_rusher[k]);
        }
        if (match.man[r][frame] != static_cast<std::int32_t>(spell.protector)) continue;
        for (std::size_t k = 0; k < measured.rushers.rows(); ++k) {
          if (measured.rushers.play[k] != play.play || measured.rushers.time[k] != play.time[frame] ||
              measured.rushers.rusher[k] != reps.rusher[row])
            continue;
          const double out = measured.rushers.outside_exposure[k], in = measured.rushers.inside_exposure[k];
          if (play.time[frame] >= match.span.pressure_from - 1e-6) {
            if (!std::isnan(out) && !(out <= outside)) outside = out, outside_at = play.time[frame];
            if (!std::isnan(in) && !(in <= inside)) inside = in, inside_at = play.time[frame];
          }
          const bool lost_inside =
              rep.duel.beat && rep.duel.beat->side == BeatSide::inside && frame >= rep.duel.beat->frame;
          if (out >= 0.2 && measured.rushers.short_edge[k] >= 0.5 && !lost_inside && frame < spell.last)
            seconds += play.time[frame + 1] - play.time[frame];
        }
      }
      const auto same = [](double a, double b) { return a == b || (std::isnan(a) && std::isnan(b)); };
      CHECK(same(reps.peak_outside[row], outside));
      CHECK(same(reps.peak_outside_time[row], outside_at));
      CHECK(same(reps.peak_inside[row], inside));
      CHECK(same(reps.peak_inside_time[row], inside_at));
      CHECK(reps.short_edge_seconds[row] == Approx(seconds).epsilon(1e-9));
      CHECK(reps.nearest_rusher_min[row] == Approx(nearest).epsilon(1e-12));
      short_edges += seconds > 0;
      peaks += outside > 0;
    }
  }
  CHECK(rows > plays * 2);
  CHECK(short_edges > plays / 5);
  CHECK(peaks > plays / 2);
}

TEST_CASE("times are told on the film's clock too") {
  const scenes::Input input(dropback(3.0, false));
  const std::vector<double> film_time{754.2};
  GameInput with_film = input.input();
  with_film.snaps.film_time = film_time;
  const Told told(make_game(with_film, Orientation::trust));
  const Row rep = told.rep("RT", "RE");
  CHECK(rep.contact_film_time == Approx(754.2 + rep.contact_time));
  CHECK(rep.beat_film_time == Approx(754.2 + rep.beat_time));
  CHECK(rep.peak_film_time == Approx(754.2 + rep.peak_outside_time));
  CHECK(std::isnan(Told(dropback(3.0, false)).rep("RT", "RE").beat_film_time));
}

TEST_CASE("every lineman has a row in every play, whatever he does, and threads change nothing") {
  std::vector<Script> scripts;
  for (int k = 0; k < 20; ++k) {
    scripts.push_back(dropback(1.5 + 0.1 * k, k % 2 == 1));
    scripts.back().play = std::to_string(k);
  }
  const Game game = scenes::Input(scripts).game(Orientation::trust);
  const RepTables one = reps_of_game(game, {}, 1);
  for (std::int32_t play = 0; play < 20; ++play) {
    for (const char* name : {"LT", "LG", "C", "RG", "RT"}) {
      int rows = 0;
      for (std::size_t row = 0; row < one.reps.rows(); ++row) {
        rows += one.reps.play[row] == play && one.reps.protector[row] >= 0 &&
                game.players[static_cast<std::size_t>(one.reps.protector[row])] == name;
      }
      CHECK(rows >= 1);
    }
  }
  for (const unsigned threads : {2u, 8u}) {
    const RepTables many = reps_of_game(game, {}, threads);
    CHECK(many.reps.start == one.reps.start);
    CHECK(many.reps.protector == one.reps.protector);
    CHECK(many.reps.outcome == one.reps.outcome);
    CHECK(many.dropbacks.play == one.dropbacks.play);
  }
  CHECK(reps_of_game(game, {}, 1, [](std::size_t, std::size_t) { return false; }).reps.rows() == 0);
  Rules wrong;
  wrong.meet = -1;
  CHECK_THROWS_AS(reps_of_game(game, wrong), InputError);
}
