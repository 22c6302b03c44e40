#include "study/drop_study.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "measure/measure.hpp"
#include "play/drop.hpp"
#include "reps/reps.hpp"
#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;

namespace {

constexpr double rate = 20;
constexpr double rounding =
    2e-3;  // yd, of the moment he gathers, which is read off a velocity fitted over half a second

/// The passer's depth: speeds (s, yd/s), straight between them, run up from `from`; and his slide to the right from 2 s
/// on.
scenes::Path drops(double from, std::vector<std::pair<double, double>> speeds) {
  return [=](double time) -> Point {
    double depth = from;
    for (std::size_t k = 1; k < speeds.size(); ++k) {
      const auto [begins, a] = speeds[k - 1];
      const auto [ends, b] = speeds[k];
      const double until = std::clamp(time, begins, ends);
      depth += (until - begins) * (a + (a + (b - a) * (until - begins) / (ends - begins))) / 2;
    }
    return {std::clamp(time - 2.0, 0.0, 0.5), depth};
  };
}

/// Seven yards from under centre in 1.8 s, then a hitch of half a yard.
const std::vector<std::pair<double, double>> seven_steps{{0, 0},   {0.1, 0}, {0.5, 4.5}, {1.2, 4.5},
                                                         {1.8, 0}, {2, -1},  {2.3, 0}};

scenes::Script play_of(scenes::Path passer, double throw_time = 2.6) {
  scenes::Script script = scenes::five_and_passer();
  script.rate = rate;
  script.throw_time = throw_time;
  script.men[0].path = std::move(passer);
  script.men.push_back(
      scenes::defense("LE", scenes::along({{0.2, {-6.4, -1}}, {1.4, {-4.4, 3.2}}, {2.6, {-3.4, 4.4}}})));
  script.men.push_back(scenes::defense("RE", scenes::along({{0.2, {6.2, -1}}, {1.5, {4.3, 3.4}}, {2.6, {3.2, 4.6}}})));
  script.men[1].path = scenes::along({{0.1, {-3.2, 0.8}}, {1.4, {-3.7, 3.8}}, {2.6, {-2.8, 5.0}}});
  script.men[5].path = scenes::along({{0.1, {3.2, 0.8}}, {1.5, {3.6, 4.1}}, {2.6, {2.6, 5.2}}});
  return script;
}

ReadyPlay ready_play(scenes::Path passer, double throw_time = 2.6) {
  return scenes::ready(scenes::Input(play_of(std::move(passer), throw_time)).game());
}

const Point& passer_at(const ReadyPlay& ready, const Motion& motion, std::size_t frame) {
  return motion.at(frame, ready.play.passer);
}

bool same(double a, double b) { return a == b || (std::isnan(a) && std::isnan(b)); }

/// The frame of a time.
std::size_t frame_at(const Play& play, double time) {
  std::size_t frame = 0;
  while (frame + 1 < play.frames() && play.time[frame] < time - 1e-6) ++frame;
  return frame;
}

/// s, brute force: the way round a man's side walked in steps of a tenth of a millimetre or so, the speed held to what
/// the legs give forward and the brakes backward.
double least_time_round(const Point& rusher, const Point& velocity, const Point& man, const Point& spot, int side,
                        const Rules& rules) {
  const double r = std::min(rules.reach, distance(spot, man)), from = distance(rusher, man), to = distance(spot, man);
  const auto angle = [&](const Point& at) { return side * std::atan2((at - man).y(), (at - man).x()); };
  double swept = angle(spot) - angle(rusher);
  while (swept < 0) swept += 2 * pi;
  const double turn = swept - std::acos(std::min(1.0, r / from)) - std::acos(std::min(1.0, r / to));
  std::vector<double> caps;
  constexpr int pieces = 20000;
  double length = distance(rusher, spot), first = 0, arc = 0;
  Point ahead = (spot - rusher).normalized();
  if (turn > 0) {
    first = std::sqrt(std::max(0.0, from * from - r * r)), arc = r * turn;
    length = first + arc + std::sqrt(std::max(0.0, to * to - r * r));
    const double touches = side * (angle(rusher) + std::acos(std::min(1.0, r / from)));
    const Point there = man + r * Point(std::cos(touches), std::sin(touches));
    ahead = first > 1e-9 ? Point((there - rusher) / first) : Point(side * quarter_turn((there - man) / r));
  }
  const double rho = r + rules.bow / (1 / std::cos(turn / 2) - 1);
  const double on_arc = turn >= pi ? std::sqrt(rules.a_lat * r) : std::sqrt(rules.a_lat * rho);
  const double runs = length - rules.arm, ds = runs / pieces;
  for (int k = 0; k <= pieces; ++k) {
    const double at = k * ds;
    caps.push_back(turn > 0 && at >= first && at <= first + arc ? std::min(rules.vmax, on_arc) : rules.vmax);
  }
  for (std::size_t k = caps.size() - 1; k-- > 0;)
    caps[k] = std::min(caps[k], std::sqrt(caps[k + 1] * caps[k + 1] + 2 * rules.a_brake * ds));
  double time = 0, speed = std::min(caps[0], std::max(0.0, velocity.dot(ahead)));
  for (std::size_t k = 1; k < caps.size(); ++k) {
    const double next = std::min(caps[k], std::sqrt(speed * speed + 2 * ds * (rules.vmax - speed) / rules.tau));
    time += 2 * ds / (speed + next);
    speed = next;
  }
  return time;
}

}  // namespace

TEST_CASE("the recorded drop: start, top, own speed, gather") {
  const ReadyPlay ready = ready_play(drops(1, seven_steps));
  const RecordedDrop drop = recorded_drop(ready.play, ready.motion);
  CHECK(drop.top == top_of_drop(ready.play, ready.motion));
  CHECK(drop.top == Approx(1.75).epsilon(0.03));
  CHECK(drop.start <= 0.15);
  CHECK(drop.speed == Approx((drop.spot.y() - 1) / (drop.top - drop.start)).epsilon(0.01));
  CHECK(drop.can_be_stretched());
  CHECK(drop.gather > 1.2);  // between full speed and the top
  CHECK(drop.gather < drop.top);
  CHECK(drop.shallowest > 1);
  CHECK(drop.shallowest < 3);
}

TEST_CASE("stretched to the depth taken nothing changes") {
  const ReadyPlay ready = ready_play(drops(1, seven_steps));
  const RecordedDrop drop = recorded_drop(ready.play, ready.motion);
  const StretchedPlay stretched = stretch_drop(ready.play, ready.motion, drop, drop.spot.y());
  CHECK(stretched.top == drop.top);
  CHECK(stretched.spot == drop.spot);
  for (std::size_t i = 0; i < ready.motion.place.size(); ++i) {
    CHECK(same(stretched.motion.place[i].x(), ready.motion.place[i].x()));
    CHECK(same(stretched.motion.place[i].y(), ready.motion.place[i].y()));
    CHECK(same(stretched.motion.velocity[i].y(), ready.motion.velocity[i].y()));
  }
}

TEST_CASE("a deeper drop tops deeper and later, at his own drop speed, and only the passer moves otherwise") {
  const ReadyPlay ready = ready_play(drops(1, seven_steps));
  const Play& play = ready.play;
  const RecordedDrop drop = recorded_drop(play, ready.motion);
  const double depth = drop.spot.y() + 2;
  const StretchedPlay stretched = stretch_drop(play, ready.motion, drop, depth);
  CHECK(stretched.spot.x() == drop.spot.x());
  CHECK(stretched.spot.y() == Approx(depth));
  CHECK((depth - (drop.spot.y() - drop.speed * (drop.top - drop.start))) / (stretched.top - drop.start) ==
        Approx(drop.speed));
  // What the play's own rules say of it: it tops there and then, to a frame.
  Play unthrown = play;
  unthrown.throw_time = scenes::nan;
  CHECK(std::abs(top_of_drop(unthrown, stretched.motion) - stretched.top) < 1 / rate);
  double deepest = 0;
  for (std::size_t frame = 0; frame < play.frames(); ++frame) {
    for (std::size_t man = 0; man < play.men.size(); ++man) {
      if (man != play.passer) CHECK(stretched.motion.at(frame, man) == ready.motion.at(frame, man));
    }
    const double now = passer_at(ready, stretched.motion, frame).y();
    CHECK(now >= passer_at(ready, ready.motion, frame).y() - rounding);  // nowhere shallower
    deepest = std::max(deepest, now);
    if (frame > 0) {  // his feet are his own: never faster than he was
      CHECK((now - passer_at(ready, stretched.motion, frame - 1).y()) * rate < 4.5 + 1e-6);
    }
  }
  CHECK(deepest == Approx(depth).epsilon(0.002));
  // The hitch and the slide come after it, moved along: as long after the top, the same from the spot.
  const double later = stretched.top - drop.top;
  for (std::size_t frame = 0; frame < play.frames(); ++frame) {
    const double source = (play.time[frame] - later) * rate;
    if (source < drop.top * rate || source > static_cast<double>(play.frames() - 2)) continue;
    const auto before = static_cast<std::size_t>(source);
    const double share = source - static_cast<double>(before);
    const Point recorded =
        (1 - share) * passer_at(ready, ready.motion, before) + share * passer_at(ready, ready.motion, before + 1);
    CHECK((passer_at(ready, stretched.motion, frame) - recorded - Point(0, 2)).norm() < 1e-9);
  }
}

TEST_CASE("a shallower drop stops earlier, and what followed is moved along") {
  const ReadyPlay ready = ready_play(drops(1, seven_steps));
  const RecordedDrop drop = recorded_drop(ready.play, ready.motion);
  const StretchedPlay stretched = stretch_drop(ready.play, ready.motion, drop, 5);
  CHECK(stretched.top < drop.top - 0.2);
  CHECK(stretched.spot.y() == Approx(5));
  double deepest = 0, last = scenes::nan;
  for (std::size_t frame = 0; frame < ready.play.frames(); ++frame) {
    const Point& now = passer_at(ready, stretched.motion, frame);
    if (!present(now)) {
      CHECK(ready.play.time[frame] > ready.play.time.back() - (drop.top - stretched.top) - 1e-6);
      continue;
    }
    CHECK(now.y() <= passer_at(ready, ready.motion, frame).y() + 0.51);  // but for the hitch, taken earlier
    deepest = std::max(deepest, now.y());
    last = now.y();
  }
  CHECK(deepest == Approx(5).epsilon(0.004));
  CHECK(last == Approx(4.75).epsilon(0.01));  // the hitch of a quarter yard
}

TEST_CASE("depths in order are depths in order at every moment of the drop") {
  const ReadyPlay ready = ready_play(drops(1, seven_steps));
  const RecordedDrop drop = recorded_drop(ready.play, ready.motion);
  std::vector<StretchedPlay> all;
  for (double depth = 4; depth <= 12; depth += 0.5) all.push_back(stretch_drop(ready.play, ready.motion, drop, depth));
  for (std::size_t k = 1; k < all.size(); ++k) {
    CHECK(all[k].top > all[k - 1].top);
    for (std::size_t frame = 0; frame < ready.play.frames() && ready.play.time[frame] < all[k - 1].top; ++frame) {
      CHECK(passer_at(ready, all[k].motion, frame).y() >= passer_at(ready, all[k - 1].motion, frame).y() - rounding);
    }
  }
}

TEST_CASE("the row of the drop as taken is what the recording measures") {
  const ReadyPlay ready = ready_play(drops(1, seven_steps));
  const Rules rules;
  const DropStudy study = study_drop(ready.play, ready.motion, rules, std::vector<double>{5, 6, 9, 10});
  const DropsTable& table = study.table;
  RepTables reps;
  add_reps(ready.play, ready.motion, rules, 0, reps);
  Tables measured;
  measure(ready.play, ready.motion, match_play(ready.play, ready.motion, rules), rules, measured);
  int seen = 0;
  REQUIRE(table.rows() == 10);
  for (std::size_t row = 0; row < table.rows(); ++row) {
    CHECK(table.side[row] == code(row < 5 ? Side::left : Side::right));
    if (row % 5 > 0) CHECK(table.depth[row] > table.depth[row - 1]);
    if (!table.taken[row]) continue;
    CHECK(table.depth[row] == study.drop.spot.y());
    CHECK(table.top_time[row] == reps.dropbacks.top_time[0]);
    for (std::size_t rep = 0; rep < reps.reps.rows(); ++rep) {
      if (reps.reps.protector[rep] != table.edge_man[row]) continue;
      ++seen;
      CHECK(reps.reps.rusher[rep] == table.rusher[row]);
      CHECK(reps.reps.contact_time[rep] == table.until[row]);
      CHECK(reps.reps.peak_cutoff_ratio[rep] == table.peak_cutoff_ratio[row]);
      CHECK(reps.reps.peak_cutoff_time[rep] == table.peak_cutoff_time[row]);
    }
    double most = -1;
    for (std::size_t at = 0; at < measured.rushers.rows(); ++at) {
      if (measured.rushers.rusher[at] != table.rusher[row] || measured.rushers.time[at] > table.until[row] + 1e-6)
        continue;
      most = std::fmax(most, measured.rushers.outside_exposure[at]);
      if (measured.rushers.time[at] != table.exposure_time[row]) continue;
      ++seen;
      CHECK(measured.rushers.outside_exposure[at] == table.outside_exposure[row]);
      CHECK(measured.rushers.outside_time[at] == table.outside_time[row]);
      CHECK(measured.rushers.outside_bend[at] == table.outside_bend[row]);
      CHECK(measured.rushers.short_edge[at] == table.short_edge[row]);
    }
    CHECK(most == table.outside_exposure[row]);
    for (std::size_t at = 0; at < measured.edges.rows(); ++at) {
      if (measured.edges.side[at] != table.side[row] || measured.edges.time[at] != table.exposure_time[row]) continue;
      ++seen;
      CHECK(measured.edges.edge_man[at] == table.edge_man[row]);
      CHECK(measured.edges.edge_width[at] == table.edge_width[row]);
    }
  }
  CHECK(seen == 6);
}

TEST_CASE("the edge is that of the drop's top, whoever has it a quarter of a second later") {
  // The left end is by the tackle on the inside just after the passer tops, at 1.75 s: then nobody attacks that edge.
  scenes::Script script = play_of(drops(1, seven_steps));
  for (scenes::Actor& man : script.men) {
    if (man.name != "LE") continue;
    man.path = scenes::along({{0.2, {-6.4, -1}}, {1.4, {-4.5, 3.2}}, {1.76, {-4.3, 3.4}}, {1.96, {-1.4, 4.4}}});
  }
  const ReadyPlay ready = scenes::ready(scenes::Input(script).game());
  const DropStudy study = study_drop(ready.play, ready.motion, {}, std::nullopt);
  REQUIRE(study.drop.top == Approx(1.75));
  Tables measured;
  measure(ready.play, ready.motion, match_play(ready.play, ready.motion, {}), {}, measured);
  const auto attacker = [&](double time) {
    for (std::size_t row = 0; row < measured.edges.rows(); ++row) {
      if (measured.edges.side[row] == code(Side::left) && std::abs(measured.edges.time[row] - time) < 1e-6) {
        return measured.edges.rusher[row];
      }
    }
    return no_code - 1;
  };
  REQUIRE(attacker(1.75) != no_code);
  REQUIRE(attacker(2.0) == no_code);
  REQUIRE(study.table.side[0] == code(Side::left));
  CHECK(study.table.rusher[0] == attacker(1.75));
}

TEST_CASE("what line coaches take for granted of a deeper drop") {
  // Common practice, no source: ten yards is hard on a tackle left alone with a wide rusher; the way round him gets
  // straighter and his edge shorter the deeper the passer sets up, rusher and tackle held.
  const ReadyPlay ready = ready_play(drops(1, seven_steps));
  std::vector<double> depths;
  for (double depth = 7; depth <= 12; depth += 0.5) depths.push_back(depth);
  const DropStudy study = study_drop(ready.play, ready.motion, {}, depths);
  const DropsTable& table = study.table;
  for (std::size_t row = 1; row < table.rows(); ++row) {
    if (table.side[row] != table.side[row - 1] || table.depth[row - 1] < 7) continue;
    CHECK(table.peak_cutoff_ratio[row] > table.peak_cutoff_ratio[row - 1]);
    CHECK(table.spot_bend[row] < table.spot_bend[row - 1]);
    CHECK(table.spot_short_edge[row] >= table.spot_short_edge[row - 1]);
    CHECK(table.until[row] == table.until[row - 1]);
  }
}

TEST_CASE("a passer who never drops can only be measured as he was") {
  const ReadyPlay ready = ready_play(scenes::stands(0, 5));
  const DropStudy study = study_drop(ready.play, ready.motion, {}, std::nullopt);
  CHECK_FALSE(study.drop.can_be_stretched());
  REQUIRE(study.table.rows() == 2);
  CHECK(study.table.taken[0] == 1);
  CHECK(study.table.depth[0] == 5);
  CHECK(study.table.peak_cutoff_ratio[0] > 0);
  const std::string says = scenes::refusal([&] { study_drop(ready.play, ready.motion, {}, std::vector<double>{7}); });
  CHECK(says == "depths: found 7 yd; accepted: none, for this passer never drops");
}

TEST_CASE("a drop that never tops ends with the reps") {
  const ReadyPlay ready = ready_play(drops(1, {{0, 0}, {0.4, 4}, {3, 4}}), 2.0);
  const RecordedDrop drop = recorded_drop(ready.play, ready.motion);
  CHECK(std::isnan(top_of_drop(ready.play, ready.motion)));
  CHECK(drop.top == 2.0);
  CHECK(drop.spot.y() == Approx(1 + 0.8 + 1.6 * 4));
  CHECK(drop.can_be_stretched());
  const StretchedPlay deeper = stretch_drop(ready.play, ready.motion, drop, 10);
  CHECK(deeper.top == Approx(2 + (10 - drop.spot.y()) / drop.speed));
}

TEST_CASE("from the gun the drop starts when he goes back, not at the snap") {
  const ReadyPlay ready = ready_play(drops(5, {{0, 0}, {0.5, 0}, {0.8, 3.5}, {1.2, 3.5}, {1.5, 0}, {1.6, 0}}));
  const RecordedDrop drop = recorded_drop(ready.play, ready.motion);
  CHECK(drop.start >= 0.3);
  CHECK(drop.speed > 2.2);  // 2.45 yd in 1.1 s and a little; from the snap it would be 1.7
  CHECK(drop.shallowest > 5);
  const DropStudy study = study_drop(ready.play, ready.motion, {}, std::nullopt);
  for (const double depth : study.table.depth) CHECK(depth >= drop.shallowest);
  CHECK(study.table.rows() >= 24);
}

TEST_CASE("where the passer was not recorded he is absent, and figures are of the other frames") {
  scenes::Input input(play_of(drops(1, seven_steps)));
  const std::int32_t passer = input.player("QB");
  for (std::size_t row = 0; row < input.time.size(); ++row) {
    const double since = input.time[row] - 20;
    if (input.track_player[row] == passer && since > 0.42 && since < 1.08) input.x[row] = scenes::nan;
  }
  const ReadyPlay ready = scenes::ready(input.game());
  const DropStudy study = study_drop(ready.play, ready.motion, {}, std::vector<double>{9});
  CHECK(study.drop.can_be_stretched());
  const StretchedPlay deeper = stretch_drop(ready.play, ready.motion, study.drop, 9);
  std::size_t gone = 0;
  for (std::size_t frame = 0; frame < ready.play.frames(); ++frame)
    gone += !present(passer_at(ready, deeper.motion, frame));
  CHECK(gone >= 12);
  for (std::size_t row = 0; row < study.table.rows(); ++row) {
    CHECK(study.table.peak_cutoff_ratio[row] > 0);
    CHECK((study.table.exposure_time[row] < 0.42 || study.table.exposure_time[row] > 1.05));
  }
}

TEST_CASE("nonsense is refused by name, value and unit") {
  const ReadyPlay ready = ready_play(drops(1, seven_steps));
  const auto says = [&](double depth) {
    return scenes::refusal([&] { study_drop(ready.play, ready.motion, {}, std::vector<double>{7, depth}); });
  };
  CHECK(scenes::contains(says(1), "depths: found 1 yd; accepted: "));
  CHECK(scenes::contains(says(20.5), "depths: found 20.5 yd; accepted: "));
  CHECK(scenes::contains(says(20.5), " to 20 yd"));
  CHECK(scenes::contains(says(scenes::nan), "depths: found nan yd"));
  CHECK(scenes::contains(says(infinity), "depths: found inf yd"));
  CHECK(says(20).empty());
}

TEST_CASE("the margin is contact and the way round to the spot, less top and hold, and falls with depth") {
  const Rules rules;
  for (const double thrown : {2.6, scenes::nan}) {
    const ReadyPlay ready = ready_play(drops(1, seven_steps), thrown);
    const DropStudy study = study_drop(ready.play, ready.motion, rules, std::vector<double>{6, 7, 8, 9, 10});
    const double hold = std::isnan(thrown) ? 0.65 : thrown - top_of_drop(ready.play, ready.motion);
    CHECK(hold_of(ready.play, ready.motion) == Approx(hold));
    const auto man = [&](std::int32_t player) {
      std::size_t k = 0;
      while (ready.play.men[k].player != player) ++k;
      return k;
    };
    int sides = 0;
    for (std::size_t row = 0; row < study.table.rows(); ++row) {
      REQUIRE(!std::isnan(study.table.margin[row]));
      const std::size_t frame = frame_at(ready.play, study.table.until[row]);
      const std::size_t rusher = man(study.table.rusher[row]), tackle = man(study.table.edge_man[row]);
      const double more = study.table.depth[row] - study.drop.spot.y();
      const StretchedPlay stretched = stretch_drop(ready.play, ready.motion, study.drop, study.table.depth[row]);
      const Point spot = std::abs(more) < 1e-12 ? study.drop.spot : stretched.spot;
      const int side = study.table.side[row] == code(Side::left) ? -1 : 1;
      const double way = least_time_round(ready.motion.at(frame, rusher), ready.motion.speed(frame, rusher),
                                          ready.motion.at(frame, tackle), spot, side, rules);
      const double expected = study.table.until[row] + way - study.table.top_time[row] - hold;
      CHECK(std::abs(study.table.margin[row] - expected) < 0.005);
      if (row > 0 && study.table.side[row] == study.table.side[row - 1]) {
        CHECK(study.table.margin[row] < study.table.margin[row - 1]);
      } else {
        ++sides;
      }
    }
    CHECK(sides == 2);
  }
}
