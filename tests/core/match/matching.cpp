// Columns first: GCC 12 takes an enumerator `nobody` there for one that shadows matching.hpp's.
#include "match/matching.hpp"

#include <doctest/doctest.h>

#include <array>
#include <optional>

#include "acted.hpp"
#include "base/columns.hpp"

using namespace shortedge;
using scenes::Acted, scenes::along, scenes::Path, scenes::Random, scenes::stands;

namespace {

constexpr double meet = 1.2;

/// Men who are not to be had, by frame.
using Taken = std::vector<std::vector<std::int32_t>>;

/// In frames in which a rusher takes no part, or is not to be seen, he has nobody, and holds up nobody.
bool seen(const Play& play, const Motion& motion, std::size_t rusher, std::size_t frame) {
  return play.men[rusher].takes_part(frame) && !std::isnan(motion.at(frame, rusher).x());
}

/// What it costs that one rusher has one man, or nobody, in a frame in which he is seen, as the contract says it.
double frame_price(const Play& play, const Motion& motion, std::size_t rusher, std::int32_t man, std::size_t frame,
                   const Taken& taken) {
  if (man != nobody && !taken.empty() && std::count(taken[frame].begin(), taken[frame].end(), man) > 0) return infinity;
  const Point &at = motion.at(frame, rusher), &passer = motion.at(frame, play.passer);
  const double before = frame > 0 ? play.time[frame] - play.time[frame - 1] : 0;
  const double after = frame + 1 < play.frames() ? play.time[frame + 1] - play.time[frame] : 0;
  bool met = false;
  for (const std::size_t p : play.protectors) met = met || (motion.at(frame, p) - at).norm() <= meet;
  double pair = 3.5;
  if (man != nobody) {
    const Point& protector = motion.at(frame, static_cast<std::size_t>(man));
    const double range = (protector - at).norm();
    if (!(range <= 6)) return infinity;
    pair = range;
    if (!std::isnan(passer.x())) {
      const double along = std::clamp((protector - at).dot(passer - at) / (passer - at).squaredNorm(), 0.0, 1.0);
      pair += (at + along * (passer - at) - protector).norm();
    }
  }
  return (before + after) / 2 * (met ? 1 : 0.25) * pair;
}

/// What a matching of some of the rushers (rows of Play::rushers) costs; infinite when a man has two of them. A change
/// is from the last frame in which the rusher was seen.
double price(const Play& play, const Motion& motion, const Matching& matching, const std::vector<std::size_t>& rows,
             const Taken& taken = {}) {
  double sum = 0;
  for (const std::size_t r : rows) {
    const std::size_t rusher = play.rushers[r];
    std::optional<std::int32_t> had;
    for (std::size_t frame = 0; frame < play.frames(); ++frame) {
      const std::int32_t man = matching[r][frame];
      if (!seen(play, motion, rusher, frame)) {
        if (man != nobody) return infinity;
        continue;
      }
      sum += frame_price(play, motion, rusher, man, frame, taken);
      if (had && *had != man) sum += 0.45;
      had = man;
      for (const std::size_t other : rows) {
        if (other != r && man != nobody && matching[other][frame] == man) return infinity;
      }
    }
  }
  return sum;
}

std::vector<std::size_t> rows_of(const Play& play, bool late) {
  std::vector<std::size_t> rows;
  for (std::size_t r = 0; r < play.rushers.size(); ++r) {
    if (play.men[play.rushers[r]].late == late) rows.push_back(r);
  }
  return rows;
}

Taken taken_by(const Play& play, const Matching& matching, const std::vector<std::size_t>& rows) {
  Taken taken(play.frames());
  for (const std::size_t r : rows) {
    for (std::size_t frame = 0; frame < play.frames(); ++frame) {
      if (matching[r][frame] != nobody) taken[frame].push_back(matching[r][frame]);
    }
  }
  return taken;
}

/// The least price of all matchings of these rushers there are, one after the other.
double least_of_all(const Play& play, const Motion& motion, const std::vector<std::size_t>& rows,
                    const Taken& taken = {}) {
  const std::size_t cells = rows.size() * play.frames(), choices = play.protectors.size() + 1;
  std::vector<std::size_t> digits(cells, 0);
  double least = infinity;
  Matching matching(play.rushers.size(), std::vector<std::int32_t>(play.frames(), nobody));
  for (;;) {
    for (std::size_t k = 0; k < cells; ++k) {
      const std::size_t digit = digits[k];
      matching[rows[k / play.frames()]][k % play.frames()] =
          digit == 0 ? nobody : static_cast<std::int32_t>(play.protectors[digit - 1]);
    }
    least = std::min(least, price(play, motion, matching, rows, taken));
    std::size_t k = 0;
    while (k < cells && ++digits[k] == choices) digits[k++] = 0;
    if (k == cells) return least;
  }
}

/// The same over more frames: from every joint assignment of a frame to every one of the next, all these rushers at
/// once. Who is not seen keeps his man in mind, at no cost and in nobody's way.
double least_jointly(const Play& play, const Motion& motion, const std::vector<std::size_t>& rows,
                     const Taken& taken = {}) {
  std::vector<std::vector<std::int32_t>> states{{}};
  for (std::size_t k = 0; k < rows.size(); ++k) {
    std::vector<std::vector<std::int32_t>> longer;
    for (const auto& state : states) {
      for (std::size_t choice = 0; choice <= play.protectors.size(); ++choice) {
        longer.push_back(state);
        longer.back().push_back(choice == 0 ? nobody : static_cast<std::int32_t>(play.protectors[choice - 1]));
      }
    }
    states = std::move(longer);
  }
  std::vector<double> best(states.size(), 0.0);
  for (std::size_t frame = 0; frame < play.frames(); ++frame) {
    std::vector<double> next(states.size(), frame == 0 ? 0.0 : infinity);
    for (std::size_t to = 0; to < states.size(); ++to) {
      double of_frame = 0;
      for (std::size_t a = 0; a < rows.size(); ++a) {
        if (!seen(play, motion, play.rushers[rows[a]], frame)) continue;
        of_frame += frame_price(play, motion, play.rushers[rows[a]], states[to][a], frame, taken);
        for (std::size_t b = 0; b < a; ++b) {
          const bool twice = states[to][a] != nobody && states[to][a] == states[to][b];
          if (twice && seen(play, motion, play.rushers[rows[b]], frame)) of_frame = infinity;
        }
      }
      if (std::isinf(of_frame)) {
        next[to] = infinity;
        continue;
      }
      for (std::size_t from = 0; frame > 0 && from < states.size(); ++from) {
        if (std::isinf(best[from])) continue;
        double changes = 0;
        for (std::size_t k = 0; k < rows.size(); ++k) changes += states[from][k] == states[to][k] ? 0 : 0.45;
        next[to] = std::min(next[to], best[from] + changes);
      }
      next[to] += of_frame;
    }
    best = std::move(next);
  }
  return *std::min_element(best.begin(), best.end());
}

/// Three yards to either side of the ball, from a yard beyond the line to five behind it.
Path wanders(Random& random, double end, double width = 3) {
  std::vector<std::pair<double, Point>> knots;
  for (double time = 0; time <= end; time += 0.5)
    knots.push_back({time, {random.number(-width, width), random.number(-1, 5)}});
  return along(std::move(knots));
}

/// Men who come and go: some count from later, some to earlier; some are late. Indices into Play::rushers.
void come_and_go(Acted& stage, Random& random, bool late) {
  const int frames = static_cast<int>(stage.play.frames());
  for (const std::size_t rusher : stage.play.rushers) {
    Man& man = stage.play.men[rusher];
    if (random.whole(0, 2) == 0) man.counts_from = static_cast<std::size_t>(random.whole(0, frames));
    if (random.whole(0, 2) == 0) man.counts_to = static_cast<std::size_t>(random.whole(0, frames));
    man.counts_to = std::max(man.counts_to, man.counts_from);
    man.late = late && random.whole(0, 2) == 0;
  }
}

/// Who has that rusher at each of the times.
std::vector<std::int32_t> men_at(const Acted& stage, const Matching& matching, std::size_t rusher,
                                 std::vector<double> times) {
  std::vector<std::int32_t> men;
  const auto row = static_cast<std::size_t>(std::find(stage.play.rushers.begin(), stage.play.rushers.end(), rusher) -
                                            stage.play.rushers.begin());
  for (const double time : times) {
    const auto frame =
        std::find_if(stage.play.time.begin(), stage.play.time.end(), [&](double at) { return at >= time - 1e-9; });
    men.push_back(matching[row][static_cast<std::size_t>(frame - stage.play.time.begin())]);
  }
  return men;
}

}  // namespace

TEST_CASE("no matching of all there are costs less") {
  Random random(61);
  int changes = 0, nobodies = 0;
  for (int i = 0, n = scenes::cases(40, 400); i < n; ++i) {
    CAPTURE(i);
    Acted stage;
    stage.back(stands(0, 7));
    // Two against two over four frames are 6,561 matchings, three rushers on one man over four 4,096.
    const bool many = i % 4 == 0;
    for (int p = 0; p < (many ? 1 : 2); ++p) stage.blocks(p ? Slot::RG : Slot::LG, wanders(random, 1.5));
    for (int r = 0; r < (many ? 3 : 2); ++r) stage.rushes(wanders(random, 1.5));
    if (i % 3 == 0) stage.play.men[stage.play.rushers[0]].counts_from = 1;
    stage.act(1.5, 2);
    REQUIRE(stage.play.frames() == 4);
    const Matching found = match_frames(stage.play, stage.motion, meet, 4);
    const std::vector<std::size_t> rows = rows_of(stage.play, false);
    const double least = least_of_all(stage.play, stage.motion, rows);
    CHECK(price(stage.play, stage.motion, found, rows) == doctest::Approx(least).epsilon(1e-12));
    CHECK(least_jointly(stage.play, stage.motion, rows) == doctest::Approx(least).epsilon(1e-12));
    for (const auto& men : found) {
      for (std::size_t frame = 1; frame < men.size(); ++frame) changes += men[frame] != men[frame - 1];
      nobodies += static_cast<int>(std::count(men.begin(), men.end(), nobody));
    }
  }
  CHECK(changes > 10);
  CHECK(nobodies > 10);
}

TEST_CASE("rushers who come, drop and come late: no matching of all there are costs less") {
  // Those who are late are matched after the others, among the men whom these leave in each frame.
  Random random(63);
  int late = 0, kept_out = 0, gone = 0;
  for (int i = 0, n = scenes::cases(60, 600); i < n; ++i) {
    CAPTURE(i);
    Acted stage;
    stage.back(i % 5 ? stands(0, 7) : scenes::from(0.6, stands(0, 7)));
    for (int p = 0; p < 2; ++p)
      stage.blocks(p ? Slot::RG : Slot::LG,
                   p ? wanders(random, 2, 1.5) : scenes::from(i % 3 ? 0 : 0.6, wanders(random, 2, 1.5)));
    for (int r = 0; r < 3; ++r)
      stage.rushes(r ? wanders(random, 2, 1.5) : scenes::from(i % 4 ? 0 : 0.6, wanders(random, 2, 1.5)));
    stage.act(1.5, 2);
    come_and_go(stage, random, true);
    // Three rushers who are all early make 531,441 matchings; two are enough to find.
    if (rows_of(stage.play, false).size() == 3 || rows_of(stage.play, true).size() == 3)
      stage.play.men[stage.play.rushers[1]].late ^= true;
    const Matching found = match_frames(stage.play, stage.motion, meet, stage.play.frames());
    const std::vector<std::size_t> first = rows_of(stage.play, false), after = rows_of(stage.play, true);
    CHECK(price(stage.play, stage.motion, found, first) ==
          doctest::Approx(least_of_all(stage.play, stage.motion, first)).epsilon(1e-12));
    const Taken taken = taken_by(stage.play, found, first);
    const double least = least_of_all(stage.play, stage.motion, after, taken);
    CHECK(price(stage.play, stage.motion, found, after, taken) == doctest::Approx(least).epsilon(1e-12));
    CHECK(least_jointly(stage.play, stage.motion, after, taken) == doctest::Approx(least).epsilon(1e-12));
    late += !after.empty();
    kept_out += least > least_of_all(stage.play, stage.motion, after) + 1e-9;
    for (std::size_t r = 0; r < found.size(); ++r) {
      for (std::size_t frame = 0; frame < stage.play.frames(); ++frame) {
        if (seen(stage.play, stage.motion, stage.play.rushers[r], frame)) continue;
        ++gone;
        CHECK(found[r][frame] == nobody);
      }
    }
  }
  CHECK(late > 20);
  CHECK(kept_out > 5);
  CHECK(gone > 50);
}

TEST_CASE("who want the same man are matched as well as if all were matched at once") {
  // Two, three and four rushers crowd on three or four men; matched each alone, many would share a man.
  Random random(64);
  int pairs = 0, threes = 0, changes = 0, late = 0;
  for (int i = 0, n = scenes::cases(40, 400); i < n; ++i) {
    CAPTURE(i);
    Acted stage;
    stage.back(stands(random.number(-1, 1), 7));
    const int protectors = 3 + i % 2, rushers = 2 + i % 3;
    for (int p = 0; p < protectors; ++p) stage.blocks(Slot::none, wanders(random, 2, 2));
    const Path crowd = wanders(random, 2, 2);
    for (int r = 0; r < rushers; ++r) {
      const Point off = random.point(1);
      stage.rushes([=](double time) { return Point(crowd(time) + off); });
    }
    stage.act(1.2, 10);
    if (i % 4 == 3) come_and_go(stage, random, true);
    const Matching found = match_frames(stage.play, stage.motion, meet, stage.play.frames());
    const std::vector<std::size_t> first = rows_of(stage.play, false), after = rows_of(stage.play, true);
    CHECK(price(stage.play, stage.motion, found, first) ==
          doctest::Approx(least_jointly(stage.play, stage.motion, first)).epsilon(1e-12));
    const Taken taken = taken_by(stage.play, found, first);
    CHECK(price(stage.play, stage.motion, found, after, taken) ==
          doctest::Approx(least_jointly(stage.play, stage.motion, after, taken)).epsilon(1e-12));
    late += !after.empty();
    // How many would share a man if each had the best for himself.
    std::vector<Matching> alone;
    for (const std::size_t r : first) {
      Acted one = stage;
      one.play.rushers = {stage.play.rushers[r]};
      alone.push_back(match_frames(one.play, one.motion, meet, one.play.frames()));
      CHECK(price(one.play, one.motion, alone.back(), {0}) ==
            doctest::Approx(least_jointly(one.play, one.motion, {0})).epsilon(1e-12));
    }
    int most = 0;
    for (std::size_t frame = 0; frame < stage.play.frames(); ++frame) {
      for (const std::size_t man : stage.play.protectors) {
        most = std::max(most, static_cast<int>(std::count_if(alone.begin(), alone.end(), [&](const Matching& of) {
                          return of[0][frame] == static_cast<std::int32_t>(man);
                        })));
      }
    }
    pairs += most == 2;
    threes += most >= 3;
    for (const auto& men : found) {
      for (std::size_t frame = 1; frame < men.size(); ++frame) changes += men[frame] != men[frame - 1];
    }
  }
  CHECK(pairs > 5);
  CHECK(threes > 5);
  CHECK(changes > 20);
  CHECK(late > 3);
}

TEST_CASE("groups who come to share a man when they are matched anew are joined too") {
  // Left and right of the ball, and one who runs between: joined in turn, until no two groups share a man.
  Random random(65);
  int shared = 0;
  for (int i = 0, n = scenes::cases(15, 150); i < n; ++i) {
    CAPTURE(i);
    Acted stage;
    stage.back(stands(0, 7));
    for (const double u : {-2.0, -0.8, 0.8, 2.0}) {
      const Point at(u + random.number(-0.3, 0.3), random.number(1.5, 3));
      stage.blocks(Slot::none, stands(at.x(), at.y()));
    }
    for (const double u : {-1.6, -1.2, 1.2, 1.6}) {
      const Point from(u, random.number(0, 2)), to(u + random.number(-2, 2), random.number(1, 4));
      stage.rushes(along({{0, from}, {0.9, to}}));
    }
    stage.act(0.9, 10);
    const Matching found = match_frames(stage.play, stage.motion, meet, stage.play.frames());
    const std::vector<std::size_t> all = rows_of(stage.play, false);
    const double joint = least_jointly(stage.play, stage.motion, all);
    CHECK(price(stage.play, stage.motion, found, all) == doctest::Approx(joint).epsilon(1e-12));
    double alone = 0;
    for (const std::size_t r : all) alone += least_jointly(stage.play, stage.motion, {r});
    CHECK(alone <= joint + 1e-9);
    shared += alone < joint - 1e-9;
  }
  CHECK(shared > 8);
}

TEST_CASE("a late rusher does not take a beaten blocker from his rep") {
  // The guard's man is past him, and still at his shoulder; another comes straight at the guard. Were he not late he
  // would be the guard's.
  for (const bool is_late : {false, true}) {
    Acted stage;
    stage.back(stands(0, 8));
    const auto guard = static_cast<std::int32_t>(stage.blocks(Slot::RG, along({{0, {1.5, 1}}, {0.8, {1.5, 3}}})));
    stage.rushes(along({{0, {1.5, -1}}, {0.8, {1.5, 2}}, {1.2, {2, 3.9}}}));
    const std::size_t other = stage.rushes(along({{1, {1.5, -1}}, {1.6, {1.5, 2.6}}}));
    stage.play.men[other].late = is_late;
    stage.act(2.5, 20);
    stage.play.men[other].counts_from = 20;
    const Matching found = match_frames(stage.play, stage.motion, meet, stage.play.frames());
    CHECK((found[0].back() == guard) == is_late);
    CHECK((found[1].back() == guard) == !is_late);
    CHECK(found[0][24] == guard);
  }
}

TEST_CASE("each man has the rusher in front of him, however many there are") {
  // Seven within reach of seven: two million joint choices, which are bounded, and it still comes out. The last man
  // leaves after a second, and nobody has his rusher from then on.
  Acted stage;
  stage.back(stands(0, 8));
  std::vector<std::int32_t> protectors;
  for (int k = -3; k <= 3; ++k) {
    const Path stays = stands(0.7 * k, 1.5), leaves = along({{1, {0.7 * k, 1.5}}, {1.1, {9, 20}}});
    protectors.push_back(
        static_cast<std::int32_t>(stage.blocks(k == 0 ? Slot::C : Slot::none, k == 3 ? leaves : stays)));
  }
  for (int k = -3; k <= 3; ++k) stage.rushes(along({{0, {0.7 * k, -0.5}}, {0.5, {0.7 * k, 0.9}}}));
  stage.act(2.5, 10);
  const Matching found = match_frames(stage.play, stage.motion, meet, stage.play.frames());
  for (std::size_t k = 0; k < found.size(); ++k) {
    CAPTURE(k);
    for (std::size_t frame = 0; frame < stage.play.frames(); ++frame) {
      CAPTURE(frame);
      CHECK(found[k][frame] == (k == 6 && frame > 10 ? nobody : protectors[k]));
    }
  }
}

TEST_CASE("a stunt passed off is one change for each") {
  Acted stage;
  stage.back(stands(0, 8));
  const std::size_t tackle = stage.blocks(Slot::LT, stands(-3.5, 3)), guard = stage.blocks(Slot::LG, stands(-1.5, 3));
  // Both meet their men at 0.8 s, cross between 1.2 and 1.6 s, and meet the other's.
  const std::size_t end = stage.rushes(
      along({{0, {-4.5, -1}}, {0.8, {-3.7, 2}}, {1.2, {-3.7, 2}}, {1.6, {-1.5, 1.9}}, {2.6, {-1.5, 2.1}}}));
  const std::size_t inside = stage.rushes(
      along({{0, {-1.5, -1}}, {0.8, {-1.6, 2}}, {1.2, {-1.6, 2}}, {1.6, {-3.6, 2.1}}, {2.6, {-3.6, 2.1}}}));
  stage.act(2.6, 20);
  const Matching found = match_frames(stage.play, stage.motion, meet, stage.play.frames());
  const auto code = [](std::size_t man) { return static_cast<std::int32_t>(man); };
  CHECK(men_at(stage, found, end, {0.8, 1.2, 1.6, 2.6}) ==
        std::vector{code(tackle), code(tackle), code(guard), code(guard)});
  CHECK(men_at(stage, found, inside, {0.8, 1.2, 1.6, 2.6}) ==
        std::vector{code(guard), code(guard), code(tackle), code(tackle)});
  for (const auto& men : found) {
    int changes = 0;
    for (std::size_t frame = 1; frame < men.size(); ++frame) changes += men[frame] != men[frame - 1];
    CHECK(changes == 1);
  }
  CHECK(spells(stage.play, found).size() == 4);
}

TEST_CASE("in a double team the primary is the man on the rusher's way to the passer") {
  Acted stage;
  stage.back(stands(0, 8));
  const std::size_t guard = stage.blocks(Slot::RG, stands(1.3, 3.1));
  stage.blocks(Slot::C, stands(0.8, 1.7));  // as near to him, at his hip
  const std::size_t rusher = stage.rushes(along({{0, {1.6, -1}}, {0.8, {1.5, 2.2}}}));
  stage.act(2.5, 20);
  const Matching found = match_frames(stage.play, stage.motion, meet, stage.play.frames());
  CHECK(men_at(stage, found, rusher, {1, 2.5}) == std::vector(2, static_cast<std::int32_t>(guard)));
}

TEST_CASE("two who pass each other by for a moment keep their men") {
  // Straight lines that come within 0.2 yd of the other's man for less than 0.3 s: a change and one back would cost
  // more.
  Acted stage;
  stage.back(stands(0, 8));
  const std::size_t left = stage.blocks(Slot::LG, stands(-1, 3)), right = stage.blocks(Slot::RG, stands(1, 3));
  const std::size_t rusher = stage.rushes(along({{0, {-1, 2.1}}, {1, {-1, 2.1}}, {1.1, {0.2, 2.1}}, {1.2, {-1, 2.1}}}));
  stage.act(2, 20);
  const Matching found = match_frames(stage.play, stage.motion, meet, stage.play.frames());
  CHECK(std::count(found[0].begin(), found[0].end(), static_cast<std::int32_t>(left)) ==
        static_cast<std::ptrdiff_t>(stage.play.frames()));
  CHECK(men_at(stage, found, rusher, {1.1}) != std::vector{static_cast<std::int32_t>(right)});
}

TEST_CASE("a rusher has nobody before he counts, and beyond reach") {
  Acted stage;
  stage.back(stands(0, 8));
  stage.blocks(Slot::RT, stands(3, 3));
  const std::size_t late = stage.rushes(stands(3.3, 2));
  stage.rushes(stands(12, 2));
  stage.play.men[late].counts_from = 8;
  stage.act(1, 20);
  const Matching found = match_frames(stage.play, stage.motion, meet, stage.play.frames());
  CHECK(std::count(found[0].begin(), found[0].begin() + 8, nobody) == 8);
  CHECK(std::count(found[0].begin() + 8, found[0].end(), nobody) == 0);
  CHECK(std::count(found[1].begin(), found[1].end(), nobody) == static_cast<std::ptrdiff_t>(stage.play.frames()));
}

TEST_CASE("a rusher who is not to be seen has nobody and holds up nobody, and keeps his man across it") {
  // The guard's man is lost from sight for 0.4 s; meanwhile the guard may have another, who comes as near.
  Acted stage;
  stage.back(stands(0, 8));
  const auto guard = static_cast<std::int32_t>(stage.blocks(Slot::RG, stands(1.5, 3)));
  const Path on_him = stands(1.6, 2.2);
  stage.rushes([=](double time) { return time > 0.55 && time < 0.95 ? absent() : on_him(time); });
  stage.act(1.5, 10);
  const Matching alone = match_frames(stage.play, stage.motion, meet, stage.play.frames());
  for (std::size_t frame = 0; frame < stage.play.frames(); ++frame) {
    CHECK(alone[0][frame] == (frame >= 6 && frame <= 9 ? nobody : guard));
  }
  // Another is at the guard just while the first is away.
  const std::size_t other = stage.rushes(stands(1.4, 2.3));
  stage.act(1.5, 10);
  stage.play.men[other].counts_from = 6;
  stage.play.men[other].counts_to = 10;
  const Matching both = match_frames(stage.play, stage.motion, meet, stage.play.frames());
  CHECK(both[0] == alone[0]);
  for (std::size_t frame = 6; frame < 10; ++frame) CHECK(both[1][frame] == guard);
}

TEST_CASE("nobody rushes, or nobody blocks: there is nothing to match") {
  Acted stage;
  stage.back(stands(0, 8));
  stage.act(1);
  CHECK(match_frames(stage.play, stage.motion, meet, stage.play.frames()).empty());
  CHECK(match_frames(stage.play, stage.motion, meet, 0).empty());
  stage.rushes(stands(0, 3));
  stage.act(1);
  CHECK(spells(stage.play, match_frames(stage.play, stage.motion, meet, stage.play.frames())).empty());
}

TEST_CASE("a spell lasts 0.3 s at least, and breaks under 0.3 s are closed") {
  Acted stage;
  stage.back(stands(0, 8));
  const std::size_t one = stage.blocks(Slot::RG, stands(1, 3)), two = stage.blocks(Slot::RT, stands(3, 3));
  const std::size_t rusher = stage.rushes(stands(2, 2));
  stage.act(2, 10);
  const auto told = [&](const char* letters) {  // a frame each: '1', '2', '-'
    Matching matching(1);
    for (const char* at = letters; *at; ++at) {
      matching[0].push_back(*at == '-' ? nobody : static_cast<std::int32_t>(*at == '1' ? one : two));
    }
    std::vector<std::array<std::size_t, 3>> found;
    for (const Spell& spell : spells(stage.play, matching)) {
      CHECK(spell.rusher == rusher);
      found.push_back({spell.protector == one ? std::size_t{1} : std::size_t{2}, spell.first, spell.last});
    }
    return found;
  };
  using Spells = std::vector<std::array<std::size_t, 3>>;
  CHECK(told("1111") == Spells{{1, 0, 3}});
  CHECK(told("111-") == Spells{});                            // 0.2 s
  CHECK(told("1111-1111") == Spells{{1, 0, 8}});              // 0.2 s between the two
  CHECK(told("1111--1111") == Spells{{1, 0, 3}, {1, 6, 9}});  // 0.3 s
  CHECK(told("1-1-1-1") == Spells{{1, 0, 6}});
  CHECK(told("1111222211112222") == Spells{{1, 0, 3}, {2, 4, 7}, {1, 8, 11}, {2, 12, 15}});
  CHECK(told("111112111112222") == Spells{{1, 0, 10}, {2, 11, 14}});  // a flicker of one frame
  CHECK(told("") == Spells{});
}
