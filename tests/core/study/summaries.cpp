#include "study/summaries.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "simulate/formations.hpp"

using namespace shortedge;
using doctest::Approx;

namespace {

std::size_t figure(const std::string& name) {
  const std::vector<std::string> names = summary_names();
  const auto found = std::find(names.begin(), names.end(), name);
  REQUIRE(found != names.end());
  return static_cast<std::size_t>(found - names.begin());
}
/// The index of a feature by its words, of a pair.
std::size_t feature(const std::string& says) { return figure("edge: " + says + ", mean") / 2; }

std::vector<double> tenths(double end) {
  std::vector<double> times;
  for (int k = 0; k * 0.1 <= end + 1e-9; ++k) times.push_back(k * 0.1);
  return times;
}

SeenPlay play_of(const Formation& formation, double until) {
  SeenPlay play{formation, 7, shortedge::nan, until, tenths(until), {}, {}};
  play.pairs = {{0, 0, false, -1}, {1, 1, true, -1}, {3, 2, true, 1}, {4, 3, false, 1}};
  return play;
}

bool same(double a, double b) { return a == b || (std::isnan(a) && std::isnan(b)); }

}  // namespace

TEST_CASE("a run at a man who stands is told as it was") {
  // From 6.3 yd at 5 yd/s straight upfield: 1.3 yd away after 1 s; after 2 s he has run 10 yd, 3.7 past the man.
  const std::vector<double> times = tenths(2);
  std::vector<Point> passer, protector, rusher;
  for (const double time : times) {
    passer.push_back({3, 20});
    protector.push_back({3, 5.3});
    rusher.push_back({3, -1 + 5 * time});
  }
  const auto told = features_of(times, passer, protector, rusher, 1);
  CHECK(told[feature("when they met (s)")] == Approx(1));
  CHECK(told[feature("the rusher's speed toward the protector when they met (yd/s)")] == Approx(5));
  CHECK(told[feature("when the rusher was 3 yd from where he lined up (s)")] == Approx(0.6));
  CHECK(told[feature("the rusher's mean speed from 0.2 to 0.7 s after they met (yd/s)")] == Approx(5));
  CHECK(told[feature("how far back the rusher has come by 1.2 s (yd)")] == Approx(6));
  CHECK(told[feature("how far apart they are by 0.8 s (yd)")] == Approx(2.3));
  CHECK(told[feature("the protector's greatest speed before they met (yd/s)")] == 0);
  CHECK(std::isnan(told[feature("when the protector was 0.2 yd from where he lined up (s)")]));
  CHECK(told[feature("the rusher's least distance from the passer (yd)")] == Approx(11));
  // The man is 14.7 yd from the passer; the rusher is 21 - 5 t away, 0.2 yd less from 1.3 s on, more than that at 1.4.
  CHECK(told[feature("when the rusher, once they had met, was first 0.2 yd nearer to the passer (s)")] == Approx(1.4));
  CHECK(std::isnan(told[feature("how far back the rusher has come by 2.1 s (yd)")]));
}

TEST_CASE(
    "ground, slipping and outward are told with their signs, and nothing before a meeting that was there at once") {
  // Right of the middle, outward is to the right. The man backs straight off at 1 yd/s; his rusher, a yard in front of
  // him, goes back with him and round him to the right at 0.5 rad/s. The passer is straight behind both, far away, so
  // the rusher's line is straight back and the man stands sin(0.5 t) inside of it.
  const std::vector<double> times = tenths(2);
  std::vector<Point> passer, protector, rusher;
  for (const double time : times) {
    passer.push_back({4, 1e6});
    protector.push_back({4, 1 + time});
    rusher.push_back(protector.back() + Point(std::sin(0.5 * time), -std::cos(0.5 * time)));
  }
  const auto told = features_of(times, passer, protector, rusher, 1);
  CHECK(told[feature("when they met (s)")] == 0);
  CHECK(told[feature("their least distance (yd)")] == Approx(1));
  CHECK(told[feature("how fast the protector went back in the 0.8 s after they met (yd/s)")] == Approx(1));
  CHECK(told[feature("mean speed round one another, outward less inward, in the 0.8 s after they met (yd/s)")] ==
        Approx(0.5).epsilon(0.01));
  CHECK(told[feature("mean speed round one another, either way, in the 0.8 s after they met (yd/s)")] ==
        Approx(0.5).epsilon(0.01));
  double off = 0;
  for (const double time : times) off += std::sin(0.5 * time) / static_cast<double>(times.size());
  CHECK(told[feature("the protector's mean distance from the rusher's line to the passer (yd)")] ==
        Approx(off).epsilon(1e-4));
  CHECK(told[feature("the farthest outward the rusher came from where he lined up (yd)")] == Approx(std::sin(1.0)));
  CHECK(told[feature("share of the time since they met with the rusher 0.2 yd nearer to the passer")] == 0);
  for (const char* before :
       {"the rusher's greatest speed before they met (yd/s)", "the protector's greatest speed before they met (yd/s)",
        "the protector's greatest speed straight back before they met (yd/s)",
        "how far outside the rusher's line to the passer the protector was before they met (yd)"}) {
    CHECK_MESSAGE(std::isnan(told[feature(before)]), before);
  }
  // The other side outward: inward now.
  const auto other = features_of(times, passer, protector, rusher, -1);
  CHECK(other[feature("mean speed round one another, outward less inward, in the 0.8 s after they met (yd/s)")] ==
        Approx(-0.5).epsilon(0.01));
  CHECK(other[feature("the farthest inward the rusher came from where he lined up (yd)")] == Approx(std::sin(1.0)));

  // A man 2 yd outside the line of a rusher who stands until he comes: outward of it.
  std::vector<Point> stands(times.size(), Point(4, -3)), sets(times.size(), Point(6, 1));
  const auto wide = features_of(times, passer, sets, stands, 1);
  CHECK(wide[feature("how far outside the rusher's line to the passer the protector was before they met (yd)")] ==
        Approx(2).epsilon(1e-4));
  CHECK(std::isnan(wide[feature("when they met (s)")]));
}

TEST_CASE("a play mirrored, with the other side outward, is told the same") {
  scenes::Random random(7);
  const std::vector<double> times = tenths(2.4);
  std::vector<std::vector<Point>> ways(3), mirrored(3);
  for (std::size_t man = 0; man < 3; ++man) {
    Point at(random.number(-3, 3), random.number(-1, 4));
    for (std::size_t k = 0; k < times.size(); ++k) {
      at += Point(random.number(-0.4, 0.4), random.number(-0.3, 0.5));
      ways[man].push_back(at);
      mirrored[man].push_back({-at.x(), at.y()});
    }
  }
  const auto one = features_of(times, ways[0], ways[1], ways[2], 1);
  const auto other = features_of(times, mirrored[0], mirrored[1], mirrored[2], -1);
  for (std::size_t k = 0; k < pair_features; ++k) {
    const bool alike = same(one[k], other[k]) || std::abs(one[k] - other[k]) < 1e-9;
    CHECK_MESSAGE(alike, summary_names()[2 * k]);
  }
}

TEST_CASE("a summary is the mean and the standard deviation of who has the figure") {
  Summary summary;
  std::array<double, pair_features> features{};
  for (const double value : {1.0, 2.0, 6.0})
    features[3] = value, features[4] = shortedge::nan, summary.add(features, true);
  const auto figures = summary.figures();
  const std::size_t at = 2 * (pair_features + 3);
  CHECK(figures[at] == Approx(3));
  CHECK(figures[at + 1] == Approx(std::sqrt(7)));  // (4 + 1 + 9) / 2
  CHECK(std::isnan(figures[at + 2]));
  CHECK(std::isnan(figures[2 * 3]));  // nobody on the edge
}

TEST_CASE("without noise a simulated summary is that of the films") {
  const Formation formation = scenes::base_case();
  const Assumptions a;
  const std::vector<SeenPlay> plays{play_of(formation, 2.0)};
  const std::vector<Assumptions> sets{a, a};
  const auto all = simulated_summaries(plays, sets, 0, 5, 1);
  REQUIRE(all);
  const PasserDrop drop(formation, a, 7);
  RepSimulator simulator(formation, a, drop);
  const std::size_t number = 1 * alike_reps + 2;  // the second set, its third game
  Film film;
  film.every = 0.1;
  simulator.run(draw(formation, a, 5, number), 2.0, 0, &film);
  REQUIRE(film.time.back() == Approx(2.0));
  const std::vector<std::vector<Point>> places{film.place};
  const auto figures = summary_of(plays, places);
  for (std::size_t k = 0; k < summary_size; ++k) {
    const double found = (*all)[number * summary_size + k];
    const bool alike = same(found, figures[k]) || std::abs(found - figures[k]) < 1e-9;
    CHECK_MESSAGE(alike, summary_names()[k]);
  }
  const auto two = simulated_summaries(plays, sets, 0, 5, 2);
  REQUIRE(two);
  CHECK(std::equal(all->begin(), all->end(), two->begin(), same));
  CHECK_FALSE(simulated_summaries(plays, sets, 0, 5, 1, [](std::size_t, std::size_t) { return false; }));
}

TEST_CASE("noise of men who stand is the autoregression that is stated") {
  // cov(e(s), e(t)) = sigma^2 exp(-|t - s| / 0.7): a man who stands has moved by sqrt(2 (1 - exp(-t / 0.7))) sigma.
  Assumptions still;
  still.rusher_reaction = still.protector_reaction = 2;
  still.reaction_spread = 0;
  const std::vector<SeenPlay> plays(150, play_of(scenes::base_case(), 1.3));
  const std::vector<Assumptions> sets{still};
  constexpr double sigma = 0.1;
  const auto all = simulated_summaries(plays, sets, sigma, 3);
  REQUIRE(all);
  for (const auto& [says, time] : {std::pair{"0.5", 0.5}, {"0.8", 0.8}, {"1.2", 1.2}}) {
    double squares = 0;
    for (std::size_t game = 0; game < alike_reps; ++game) {
      for (const char* kind : {"edge", "inside"}) {
        for (const char* who : {"rusher", "protector"}) {
          const std::string name = std::string(kind) + ": how far outward the " + who + " has gone by " + says;
          const double spread = (*all)[game * summary_size + figure(name + " s (yd), spread")];
          squares += spread * spread / 16;
        }
      }
    }
    // 4,800 men in all, in fours that share an error: within four standard errors.
    CHECK(std::abs(std::sqrt(squares) / (sigma * std::sqrt(2 * (1 - std::exp(-time / 0.7)))) - 1) < 0.05);
  }
}

TEST_CASE("films side by side are those of reps alone") {
  const Formation formation = scenes::base_case();
  const Assumptions a;
  const PasserDrop drop(formation, a, 7);
  RepSimulator simulator(formation, a, drop);
  std::vector<Trial> trials;
  for (std::size_t k = 0; k < RepSimulator::side_by_side; ++k) {
    trials.push_back({draw(formation, a, 9, k), k == 0 ? 0.0 : 1.5 + 0.4 * static_cast<double>(k)});
  }
  std::vector<Film> films(trials.size());
  simulator.run(trials, 0, films);
  for (std::size_t k = 0; k < trials.size(); ++k) {
    Film alone;
    simulator.run(trials[k].draw, trials[k].throw_time, 0, &alone);
    CHECK(films[k].time == alone.time);
    CHECK(std::equal(alone.place.begin(), alone.place.end(), films[k].place.begin(), films[k].place.end()));
    CHECK(std::equal(alone.velocity.begin(), alone.velocity.end(), films[k].velocity.begin(), films[k].velocity.end()));
  }
  CHECK(scenes::refusal([&] { simulator.run(trials, 0, std::span(films).first(1)); }) != "");
}

TEST_CASE("who simulates plays again is told what makes no sense") {
  const std::vector<SeenPlay> plays{play_of(scenes::base_case(), 1.0)};
  const std::vector<Assumptions> sets{Assumptions{}};
  const auto refusal = [&](const SeenPlay& play, double sigma) {
    return scenes::refusal([&] { simulated_summaries(std::vector{play}, sets, sigma, 1); });
  };
  CHECK(refusal(plays[0], -0.1).find("sigma is -0.1") != std::string::npos);
  SeenPlay short_play = plays[0];
  short_play.times = {0};
  CHECK(refusal(short_play, 0).find("fewer than two samples") != std::string::npos);
  SeenPlay endless = plays[0];
  endless.until = shortedge::nan;
  CHECK(refusal(endless, 0).find("without an end") != std::string::npos);
  SeenPlay twice = plays[0];
  twice.times[2] = twice.times[1];
  CHECK(refusal(twice, 0).find("do not increase") != std::string::npos);
  SeenPlay odd = plays[0];
  odd.pairs = {{0, 9, false, 1}};
  CHECK(refusal(odd, 0).find("not there") != std::string::npos);
  SeenPlay few = plays[0];
  few.spots.resize(3);
  CHECK(refusal(few, 0).find("another number of men") != std::string::npos);
}
