// Columns first: GCC 12 takes an enumerator `nobody` there for one that shadows matching.hpp's.
#include "match/duel.hpp"

#include <doctest/doctest.h>

#include "acted.hpp"
#include "base/columns.hpp"
#include "match/match.hpp"

using namespace shortedge;
using doctest::Approx;
using scenes::Acted, scenes::along, scenes::from, scenes::Path, scenes::Random, scenes::stands;

namespace {

const Rules rules;

/// One protector against one rusher, the passer 7 yd deep unless he is told otherwise; matched from the snap to the
/// end.
struct OnOne : Acted {
  OnOne(Slot slot, const Path& protector, const Path& rusher, const Path& passer = stands(0, 7)) {
    back(passer);
    blocks(slot, protector);
    rushes(rusher);
  }
  Duel fought(double end, double rate = 20, double until = scenes::nan) {
    act(end, rate);
    RepSpan span;
    span.end = std::isnan(until) ? end : until;
    span.frames = play.frames();
    return fight(play, motion, rules, span, {2, 1, 0, play.frames() - 1});
  }
  /// The side of the beat of the one rep that the whole play's match finds.
  BeatSide beat_side(double end) {
    act(end);
    const Match match = match_play(play, motion, rules);
    REQUIRE(match.reps.size() == 1);
    REQUIRE(match.reps[0].duel.beat);
    return match.reps[0].duel.beat->side;
  }
  double at(std::size_t frame) const { return play.time[frame]; }
};

/// Met at 1 s by a tackle set at (3.5, 3.5), and round him: outside, or inside with `way` -1.
Path goes_round(double way) {
  return along({{0, {4.5, -1}},
                {1, {3.9 + 0.1 * way, 2.5}},
                {1.4, {3.5 + 1.3 * way, 3.4}},
                {1.8, {3.2 + 1.1 * way, 4.8}},
                {2.6, {0.5, 6.8}}});
}
const Path set = along({{0, {3, 0.8}}, {0.9, {3.5, 3.5}}});

/// The contract once more, written apart: distances only, the line's clearance by many points along it.
struct Oracle {
  const OnOne& stage;
  bool hair = false;         ///< something within 1e-3 yd of deciding
  bool passed_over = false;  ///< a stretch, as he let his rusher go

  Point rusher(std::size_t frame) const { return stage.motion.at(frame, 2); }
  Point protector(std::size_t frame) const { return stage.motion.at(frame, 1); }
  Point passer(std::size_t frame) const { return stage.motion.at(frame, 0); }
  bool under(double value, double limit) {
    hair = hair || std::abs(value - limit) < 1e-3;
    return value < limit;
  }
  bool gone_by(std::size_t frame) {
    const Point r = rusher(frame), p = protector(frame), q = passer(frame);
    if (under((p - q).norm(), (r - q).norm())) return false;
    double clear = infinity;
    for (int k = 0; k <= 4000; ++k) clear = std::min(clear, (r + k / 4000.0 * (q - r) - p).norm());
    const double radius = std::min({1.04, (r - p).norm(), (p - q).norm()});
    // A disc shrunk to the distance of an end is touched there, which is no hair.
    if (radius < 1.04 && clear >= radius - 1e-9) return true;
    return !under(clear, radius);
  }
  /// How fast the man himself gets away from where the passer is.
  bool lets_go(std::size_t frame) {
    constexpr double step = 1e-5;
    const Point p = protector(frame), q = passer(frame), later = p + step * stage.motion.speed(frame, 1);
    return !under(((later - q).norm() - (p - q).norm()) / step, 1.5);
  }
  std::optional<std::size_t> contact() {
    for (std::size_t frame = 0; frame < stage.play.frames(); ++frame) {
      if (stage.at(frame) >= 0.3 - 1e-9 && under((rusher(frame) - protector(frame)).norm(), 1.2)) return frame;
    }
    return std::nullopt;
  }
  std::optional<std::size_t> beat(double until) {
    const std::size_t frames = stage.play.frames(), first = contact().value_or(1);
    std::vector<bool> gone;
    for (std::size_t frame = 0; frame < frames; ++frame) gone.push_back(gone_by(frame));
    for (std::size_t frame = first; frame < frames && stage.at(frame) < until - 1e-9; ++frame) {
      if (!gone[frame] || gone[frame - 1]) continue;
      if (lets_go(frame)) {
        passed_over = true;
        continue;
      }
      for (std::size_t later = frame; later < frames && gone[later]; ++later) {
        if (!under((protector(later) - passer(later)).norm() - (rusher(later) - passer(later)).norm(), 0.5))
          return frame;
      }
    }
    return std::nullopt;
  }
};

}  // namespace

TEST_CASE("a rusher round the corner beats his man outside, one across his face inside, on either side of the line") {
  struct Case {
    double way;
    BeatSide side;
  };
  for (const Case& of : {Case{1, BeatSide::outside}, Case{-1, BeatSide::inside}}) {
    CAPTURE(of.way);
    OnOne right(Slot::RT, set, goes_round(of.way)),
        left(Slot::LT, scenes::mirrored(set), scenes::mirrored(goes_round(of.way)));
    for (OnOne* stage : {&right, &left}) {
      const Duel duel = stage->fought(3);
      REQUIRE(duel.contact);
      REQUIRE(duel.beat);
      CHECK(stage->beat_side(3) == of.side);
      CHECK(duel.beat->frame > *duel.contact);
      CHECK(duel.ever_between);
      CHECK(!duel.run_by);
      // He is beaten when the rusher is no farther from the passer than he is, and was not before.
      const auto nearer = [&](std::size_t frame) {
        const Point& passer = stage->motion.at(frame, 0);
        return (stage->motion.at(frame, 2) - passer).norm() <= (stage->motion.at(frame, 1) - passer).norm();
      };
      CHECK(nearer(duel.beat->frame));
      CHECK(!nearer(duel.beat->frame - 1));
    }
    CHECK(right.fought(3).beat->frame == left.fought(3).beat->frame);
  }
}

TEST_CASE("a centre is beaten left or right") {
  const Path stays = stands(0, 2);
  const Path by = along({{0, {0.2, -1}}, {0.8, {0.2, 1.1}}, {1.2, {1.4, 2}}, {2.2, {0.3, 6}}});
  CHECK(OnOne(Slot::C, stays, by).beat_side(2.2) == BeatSide::right);
  CHECK(OnOne(Slot::C, stays, scenes::mirrored(by)).beat_side(2.2) == BeatSide::left);
}

TEST_CASE("contact counts from 0.3 s after the snap") {
  const Duel early = OnOne(Slot::RG, stands(1.5, 1), stands(1.5, 0.1)).fought(2);
  REQUIRE(early.contact);
  CHECK(*early.contact == 6);  // 20 frames a second
  CHECK(early.seconds_met == Approx(2));
  CHECK(early.ever_between);
  const Duel never = OnOne(Slot::RG, stands(1.5, 1), stands(1.5, -0.3)).fought(2);
  CHECK(!never.contact);
  CHECK(std::isnan(never.ground_given));
  CHECK(never.seconds_met == 0);
}

TEST_CASE("a man is before his rusher within two yards of him and nearer to the passer") {
  const auto between = [](double range, double behind = 1) {
    return OnOne(Slot::RG, stands(1.5, 2), stands(1.5, 2 - behind * range)).fought(2).ever_between;
  };
  CHECK(between(1.95));
  CHECK(!between(2.05));
  CHECK(!between(1.95, -1));
}

TEST_CASE("one who gets level and no nearer has not beaten his man") {
  const Path level = along({{0, {4.5, -1}}, {1, {4, 2.5}}, {1.4, {4.8, 3.4}}, {1.8, {4.6, 4.0}}, {3, {4.6, 4.0}}});
  CHECK(!OnOne(Slot::RT, set, level).fought(3).beat);
  CHECK(OnOne(Slot::RT, set, goes_round(1)).fought(3).beat);
}

TEST_CASE("a beat begins before the end of reps, and is seen by what follows") {
  OnOne stage(Slot::RT, set, goes_round(1));
  const Duel whole = stage.fought(3);
  REQUIRE(whole.beat);
  const double begins = stage.at(whole.beat->frame);
  CHECK(stage.fought(3, 20, begins + 0.05).beat.value().frame == whole.beat->frame);
  CHECK(!stage.fought(3, 20, begins).beat);
}

TEST_CASE("a man who was never met is beaten when his rusher goes by") {
  // 1.4 yd wide of him where he comes nearest.
  OnOne stage(Slot::RT, stands(2.5, 2), along({{0, {6, -1}}, {1.2, {3.7, 2.8}}, {2.2, {0.5, 6.8}}}));
  const Duel duel = stage.fought(2.5);
  CHECK(!duel.contact);
  REQUIRE(duel.beat);
  CHECK(stage.beat_side(2.5) == BeatSide::outside);
}

TEST_CASE("a man who himself leaves lets his rusher go, and is not beaten") {
  // From 1.4 s on he moves away from the passer, or across, or toward him.
  const auto leaves = [](double speed, const Point& direction) {
    return along({{0, {3, 0.8}},
                  {0.9, {3.5, 3.5}},
                  {1.4, {3.5, 3.5}},
                  {3.4, Point(3.5, 3.5) + 2 * speed * direction.normalized()}});
  };
  const Point away(3.5, -3.5), across(3.5, 3.5);
  CHECK(OnOne(Slot::RT, leaves(1.4, away), goes_round(1)).fought(3).beat);
  CHECK(!OnOne(Slot::RT, leaves(1.6, away), goes_round(1)).fought(3).beat);
  CHECK(!OnOne(Slot::LT, scenes::mirrored(leaves(1.6, away)), scenes::mirrored(goes_round(1))).fought(3).beat);
  CHECK(OnOne(Slot::RT, leaves(2.5, across), goes_round(1)).fought(3).beat);
  CHECK(OnOne(Slot::RT, leaves(2, -away), goes_round(1)).fought(3).beat);
  // How fast he moves when his velocity is not known, nobody can say: he is beaten.
  OnOne unknown(Slot::RT, leaves(1.6, away), goes_round(1));
  unknown.act(3, 20);
  for (std::size_t frame = 0; frame < unknown.play.frames(); ++frame) unknown.motion.velocity[3 * frame + 1] = absent();
  RepSpan span;
  span.end = 3;
  span.frames = unknown.play.frames();
  CHECK(fight(unknown.play, unknown.motion, rules, span, {2, 1, 0, span.frames - 1}).beat);
}

TEST_CASE("a stretch that he let go is passed over, and the next one counts") {
  // He runs away past his rusher at 1 s, comes back between by 1.9 s, and is beaten where he stands after 2.2 s.
  const Point stood(1.8, 5.6);
  const Path comes_back = along({{0, stood}, {1, stood}, {1.4, {3.95, 3.93}}, {1.5, {3.95, 3.93}}, {1.9, stood}});
  OnOne stage(Slot::RT, comes_back, along({{0, {2.5, 5}}, {2.2, {2.5, 5}}, {2.4, {2.3, 6.6}}, {2.7, {1.2, 6.9}}}));
  const Duel duel = stage.fought(3);
  REQUIRE(duel.beat);
  CHECK(stage.at(duel.beat->frame) > 2.2);
  // The first stretch is one: had he not run himself, it would be the beat.
  for (std::size_t frame = 0; frame < stage.play.frames(); ++frame) stage.motion.velocity[3 * frame + 1] = Point(0, 0);
  RepSpan span;
  span.end = 3;
  span.frames = stage.play.frames();
  const Duel had_stood = fight(stage.play, stage.motion, rules, span, {2, 1, 0, span.frames - 1});
  REQUIRE(had_stood.beat);
  CHECK(stage.at(had_stood.beat->frame) < 1.4);
}

TEST_CASE("a man is on the line when it enters his disc, which shrinks to his distance from either end") {
  const Point rusher(0, 0), passer(0, 7);
  CHECK(on_the_line(rusher, {0, 3}, passer, 1));
  CHECK(on_the_line(rusher, {1 - 2e-6, 3}, passer, 1));
  CHECK(!on_the_line(rusher, {1 - 0.5e-6, 3}, passer, 1));
  CHECK(!on_the_line(rusher, {-1, 3}, passer, 1));
  CHECK(!on_the_line(rusher, {0, -0.5}, passer, 1));   // upfield of the rusher
  CHECK(!on_the_line(rusher, {0.5, 7.2}, passer, 1));  // behind the passer
  CHECK(on_the_line(rusher, {0.3, 0.1}, passer, 1));   // beside him and before
  CHECK(!on_the_line(rusher, {0.3, 0}, passer, 1));
  CHECK(!on_the_line(rusher, absent(), passer, 1));
  CHECK(!on_the_line(absent(), {0, 3}, passer, 1));
  CHECK(!on_the_line(rusher, {0, 3}, absent(), 1));
}

TEST_CASE("a frame stands for the time to the next, the last for none") {
  Play play;
  play.time = {0, 0.1, 0.4, 0.5};
  CHECK(held_seconds(play, 1, 4) == Approx(0.3));
  CHECK(held_seconds(play, 1, 2) == 0);
  CHECK(held_seconds(play, 3, 4) == 0);
  // Within meet in the first three frames of four, and in the last of its spell for nothing.
  OnOne stage(Slot::RG, stands(1.5, 1), along({{0, {1.5, 0.1}}, {0.2, {1.5, 0.1}}, {0.3, {1.5, -2}}}));
  CHECK(stage.fought(0.3, 10).seconds_met == Approx(0.3));
  RepSpan span;
  span.end = 0.3;
  span.frames = 4;
  CHECK(fight(stage.play, stage.motion, rules, span, {2, 1, 0, 2}).seconds_met == Approx(0.2));
}

TEST_CASE("a rusher ridden past the passer's depth is run by, not beaten") {
  const Path rides = along({{0, {3, 0.8}}, {1, {3.6, 4}}, {1.6, {2.8, 6.5}}, {2.4, {2.6, 8.5}}});
  const Path ridden = along({{0, {5, -1}}, {1, {4.6, 3.6}}, {1.6, {3.8, 6.7}}, {2.4, {3.4, 9.2}}});
  for (const Duel& duel : {OnOne(Slot::RT, rides, ridden).fought(2.6),
                           OnOne(Slot::LT, scenes::mirrored(rides), scenes::mirrored(ridden)).fought(2.6)}) {
    CHECK(duel.contact);
    CHECK(!duel.beat);
    CHECK(duel.run_by);
  }
  CHECK(!OnOne(Slot::RT, set, stands(3.9, 2.6)).fought(2.6).run_by);
}

TEST_CASE("ground given is what he is pushed toward the passer while they are within meet") {
  const Path walked = along({{0, {0, 1}}, {0.8, {0, 3}}, {1.2, {0, 3}}, {2, {0, 5}}});
  const Path walks = along({{0, {0, -1}}, {1, {0, 2}}, {1.2, {0, 2}}, {2, {0, 4}}, {2.2, {0, 4}}, {2.4, {0, 1}}});
  // Let go, he drops two yards further: not given.
  const Path drops = along({{0, {0, 1}}, {0.8, {0, 3}}, {1.2, {0, 3}}, {2, {0, 5}}, {2.5, {0, 5}}, {3, {0, 7}}});
  CHECK(OnOne(Slot::C, walked, walks, stands(0, 9)).fought(3).ground_given == Approx(2));
  CHECK(OnOne(Slot::C, drops, walks, stands(0, 9)).fought(3).ground_given == Approx(2));
  // Toward where the passer ends, not where he was.
  CHECK(OnOne(Slot::C, walked, walks, along({{0, {0, 9}}, {2, {0, 9}}, {3, {0, 10}}})).fought(3).ground_given ==
        Approx(2));
  // Standing fast, none.
  CHECK(OnOne(Slot::C, stands(0, 3), along({{0, {0, -1}}, {0.8, {0, 2}}}), stands(0, 9)).fought(3).ground_given ==
        Approx(0));
}

TEST_CASE("men who are not there decide nothing") {
  const Path gone = [](double) { return absent(); };
  for (const Duel& duel : {OnOne(Slot::RT, gone, goes_round(1)).fought(3), OnOne(Slot::RT, set, gone).fought(3)}) {
    CHECK(!duel.contact);
    CHECK(!duel.beat);
    CHECK(!duel.run_by);
    CHECK(!duel.ever_between);
    CHECK(std::isnan(duel.ground_given));
  }
  const Duel blind = OnOne(Slot::RT, set, goes_round(1), gone).fought(3);
  CHECK(blind.contact);
  CHECK(!blind.beat);
  CHECK(std::isnan(blind.ground_given));
  // Beaten, and then the passer's tracks end: the stretch ends with them.
  const Path to = [](double time) { return time < 1.65 ? Point(0, 7) : absent(); };
  CHECK(OnOne(Slot::RT, set, goes_round(1), to).fought(3).ground_given ==
        Approx(OnOne(Slot::RT, set, goes_round(1)).fought(3).ground_given));
}

TEST_CASE("the first beat is the one that distances alone give") {
  Random random(62);
  int decided = 0, beats = 0, let_go = 0;
  for (int i = 0, n = scenes::cases(400, 20000); i < n; ++i) {
    CAPTURE(i);
    const auto walk = [&](double u, double v, double spread) {
      std::vector<std::pair<double, Point>> knots;
      for (int k = 0; k < 6; ++k) {
        knots.push_back({0.4 * k, {u + random.number(-spread, spread), v + random.number(-spread, spread)}});
        u *= 0.75;
        v += (6.5 - v) * 0.25;
      }
      return along(std::move(knots));
    };
    const double side = i % 2 ? 1 : -1;
    OnOne stage(side > 0 ? Slot::RT : Slot::LT, walk(3 * side, 2, 0.6), walk(4 * side, 0.5, 1.4), walk(0, 7, 0.3));
    const double until = i % 3 ? 2 : 1.3;
    const Duel found = stage.fought(2, 10, until);
    Oracle oracle{stage};
    const std::optional<std::size_t> contact = oracle.contact(), beat = oracle.beat(until);
    if (oracle.hair) continue;
    ++decided;
    beats += beat.has_value();
    let_go += oracle.passed_over;
    CHECK(found.contact == contact);
    CHECK(found.beat.has_value() == beat.has_value());
    if (found.beat && beat) CHECK(found.beat->frame == *beat);
  }
  CHECK(decided > scenes::cases(400, 20000) * 8 / 10);
  CHECK(beats > decided / 10);
  CHECK(let_go > decided / 200);
}

TEST_CASE("the peak of the cut-off ratio is the greatest of its frames, to a spot that stays") {
  OnOne stage(Slot::RT, set, goes_round(1));
  stage.act(2, 20);
  const PeakCutoff peak = peak_cutoff(stage.play, stage.motion, 2, 1, Point(0, 7), 5, 30);
  double greatest = 0;
  for (std::size_t frame = 5; frame <= 30; ++frame) {
    // The least speed by which he meets him somewhere on the way, tried at 2,000 places.
    const Point r = stage.motion.at(frame, 2), p = stage.motion.at(frame, 1), q(0, 7);
    double least = infinity;
    for (int k = 1; k <= 2000; ++k) {
      const Point at = r + k / 2000.0 * (q - r);
      least = std::min(least, (at - p).norm() / (at - r).norm());
    }
    greatest = std::max(greatest, least);
    if (frame == peak.frame) CHECK(peak.ratio == Approx(least).epsilon(1e-3));
  }
  CHECK(peak.ratio == Approx(greatest).epsilon(1e-3));
  CHECK(std::isnan(peak_cutoff(stage.play, stage.motion, 2, 1, absent(), 5, 30).ratio));
  // Frames in which he takes no part tell nothing; of equals the first counts.
  REQUIRE(peak.frame == 30);
  stage.play.men[2].counts_from = 31;
  CHECK(std::isnan(peak_cutoff(stage.play, stage.motion, 2, 1, Point(0, 7), 5, 30).ratio));
  stage.play.men[2].counts_from = 0;
  stage.play.men[2].counts_to = 30;
  CHECK(peak_cutoff(stage.play, stage.motion, 2, 1, Point(0, 7), 5, 30).frame < 30);
  CHECK(peak_cutoff(stage.play, stage.motion, 2, 1, Point(0, 7), 5, 30).ratio < peak.ratio);
  OnOne still(Slot::RG, stands(1.5, 2), stands(1.5, 1));
  still.act(1, 10);
  CHECK(peak_cutoff(still.play, still.motion, 2, 1, Point(0, 7), 3, 9).frame == 3);
}
