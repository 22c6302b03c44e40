#include "match/matching.hpp"

#include <doctest/doctest.h>

#include <map>

#include "acted.hpp"

using namespace shortedge;
using scenes::Acted, scenes::along, scenes::Path, scenes::Random, scenes::stands;

namespace {

constexpr double meet = 1.2;

/// What the whole play's matching costs, as the contract says it.
double price(const Play& play, const Motion& motion, const Matching& matching) {
  double sum = 0;
  const std::size_t frames = play.frames();
  for (std::size_t r = 0; r < play.rushers.size(); ++r) {
    const std::size_t first = play.men[play.rushers[r]].counts_from;
    for (std::size_t frame = 0; frame < frames; ++frame) {
      const std::int32_t man = matching[r][frame];
      if (frame < first) {
        if (man != nobody) return infinity;
        continue;
      }
      if (frame > first && man != matching[r][frame - 1]) sum += 0.45;
      const double before = frame > 0 ? play.time[frame] - play.time[frame - 1] : 0;
      const double after = frame + 1 < frames ? play.time[frame + 1] - play.time[frame] : 0;
      const Point &rusher = motion.at(frame, play.rushers[r]), &passer = motion.at(frame, play.passer);
      bool met = false;
      for (const std::size_t p : play.protectors) met = met || (motion.at(frame, p) - rusher).norm() <= meet;
      double pair = 3.5;
      if (man != nobody) {
        const Point& protector = motion.at(frame, static_cast<std::size_t>(man));
        const double range = (protector - rusher).norm();
        if (range > 6) return infinity;
        const double along = std::clamp((protector - rusher).dot(passer - rusher) / (passer - rusher).squaredNorm(), 0.0, 1.0);
        pair = range + (rusher + along * (passer - rusher) - protector).norm();
      }
      sum += (before + after) / 2 * (met ? 1 : 0.25) * pair;
    }
  }
  return sum;
}

/// The least price of all matchings there are.
double least_price(const Play& play, const Motion& motion) {
  const std::size_t cells = play.rushers.size() * play.frames(), choices = play.protectors.size() + 1;
  std::vector<std::size_t> digits(cells, 0);
  double least = infinity;
  for (;;) {
    Matching matching(play.rushers.size(), std::vector<std::int32_t>(play.frames(), nobody));
    bool twice = false;
    for (std::size_t frame = 0; frame < play.frames(); ++frame) {
      std::size_t taken = 0;
      for (std::size_t r = 0; r < play.rushers.size(); ++r) {
        const std::size_t digit = digits[r * play.frames() + frame];
        if (digit == 0) continue;
        twice = twice || (taken >> digit & 1) != 0;
        taken |= std::size_t{1} << digit;
        matching[r][frame] = static_cast<std::int32_t>(play.protectors[digit - 1]);
      }
    }
    if (!twice) least = std::min(least, price(play, motion, matching));
    std::size_t k = 0;
    while (k < cells && ++digits[k] == choices) digits[k++] = 0;
    if (k == cells) return least;
  }
}

/// Who has that rusher at each of the times.
std::vector<std::int32_t> men_at(const Acted& stage, const Matching& matching, std::size_t rusher, std::vector<double> times) {
  std::vector<std::int32_t> men;
  const auto row = static_cast<std::size_t>(std::find(stage.play.rushers.begin(), stage.play.rushers.end(), rusher) - stage.play.rushers.begin());
  for (const double time : times) {
    const auto frame = std::find_if(stage.play.time.begin(), stage.play.time.end(), [&](double at) { return at >= time - 1e-9; });
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
    const auto walk = [&] {
      std::vector<std::pair<double, Point>> knots;
      for (int k = 0; k < 4; ++k) knots.push_back({0.5 * k, {random.number(-3, 3), random.number(-1, 5)}});
      return along(std::move(knots));
    };
    for (int p = 0; p < (many ? 1 : 2); ++p) stage.blocks(p ? Slot::RG : Slot::LG, walk());
    for (int r = 0; r < (many ? 3 : 2); ++r) stage.rushes(walk());
    if (i % 3 == 0) stage.play.men[stage.play.rushers[0]].counts_from = 1;
    stage.act(1.5, 2);
    REQUIRE(stage.play.frames() == 4);
    const Matching found = match_frames(stage.play, stage.motion, meet, 4);
    const double least = least_price(stage.play, stage.motion);
    CHECK(price(stage.play, stage.motion, found) == doctest::Approx(least).epsilon(1e-12));
    for (const auto& men : found) {
      for (std::size_t frame = 1; frame < men.size(); ++frame) changes += men[frame] != men[frame - 1];
      nobodies += static_cast<int>(std::count(men.begin(), men.end(), nobody));
    }
  }
  CHECK(changes > 10);
  CHECK(nobodies > 10);
}

TEST_CASE("each man has the rusher in front of him, however many there are") {
  // Seven within reach of seven: two million joint choices, which are bounded, and it still comes out. The last man leaves
  // after a second, and nobody has his rusher from then on.
  Acted stage;
  stage.back(stands(0, 8));
  std::vector<std::int32_t> protectors;
  for (int k = -3; k <= 3; ++k) {
    const Path stays = stands(0.7 * k, 1.5), leaves = along({{1, {0.7 * k, 1.5}}, {1.1, {9, 20}}});
    protectors.push_back(static_cast<std::int32_t>(stage.blocks(k == 0 ? Slot::C : Slot::none, k == 3 ? leaves : stays)));
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
  const std::size_t end = stage.rushes(along({{0, {-4.5, -1}}, {0.8, {-3.7, 2}}, {1.2, {-3.7, 2}}, {1.6, {-1.5, 1.9}}, {2.6, {-1.5, 2.1}}}));
  const std::size_t inside = stage.rushes(along({{0, {-1.5, -1}}, {0.8, {-1.6, 2}}, {1.2, {-1.6, 2}}, {1.6, {-3.6, 2.1}}, {2.6, {-3.6, 2.1}}}));
  stage.act(2.6, 20);
  const Matching found = match_frames(stage.play, stage.motion, meet, stage.play.frames());
  const auto code = [](std::size_t man) { return static_cast<std::int32_t>(man); };
  CHECK(men_at(stage, found, end, {0.8, 1.2, 1.6, 2.6}) == std::vector{code(tackle), code(tackle), code(guard), code(guard)});
  CHECK(men_at(stage, found, inside, {0.8, 1.2, 1.6, 2.6}) == std::vector{code(guard), code(guard), code(tackle), code(tackle)});
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
  // Straight lines that come within 0.2 yd of the other's man for less than 0.3 s: a change and one back would cost more.
  Acted stage;
  stage.back(stands(0, 8));
  const std::size_t left = stage.blocks(Slot::LG, stands(-1, 3)), right = stage.blocks(Slot::RG, stands(1, 3));
  const std::size_t rusher = stage.rushes(along({{0, {-1, 2.1}}, {1, {-1, 2.1}}, {1.1, {0.2, 2.1}}, {1.2, {-1, 2.1}}}));
  stage.act(2, 20);
  const Matching found = match_frames(stage.play, stage.motion, meet, stage.play.frames());
  CHECK(std::count(found[0].begin(), found[0].end(), static_cast<std::int32_t>(left)) == static_cast<std::ptrdiff_t>(stage.play.frames()));
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
  CHECK(told("111-") == Spells{});                          // 0.2 s
  CHECK(told("1111-1111") == Spells{{1, 0, 8}});            // 0.2 s between the two
  CHECK(told("1111--1111") == Spells{{1, 0, 3}, {1, 6, 9}});  // 0.3 s
  CHECK(told("1-1-1-1") == Spells{{1, 0, 6}});
  CHECK(told("1111222211112222") == Spells{{1, 0, 3}, {2, 4, 7}, {1, 8, 11}, {2, 12, 15}});
  CHECK(told("111112111112222") == Spells{{1, 0, 10}, {2, 11, 14}});  // a flicker of one frame
  CHECK(told("") == Spells{});
}
