#include "measure/noise.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;
using scenes::contains, scenes::refusal, scenes::stands;

namespace {

/// Plays of five linemen and a passer who stand, sampled from 1.2 s before the snap on, with noise of that size on
/// every place.
Game standing(double sigma, int plays, double rate = 10, double from = -1.2) {
  std::vector<scenes::Script> scripts;
  for (int k = 0; k < plays; ++k) {
    scenes::Script script = scenes::five_and_passer(std::to_string(k));
    script.rate = rate;
    for (scenes::Actor& actor : script.men) actor.from = from, actor.to = 0.5;
    scripts.push_back(script);
  }
  scenes::Input input(scripts);
  std::size_t begin = 0;
  for (std::size_t row = 1; row <= input.time.size(); ++row) {
    if (row < input.time.size() && input.track_play[row] == input.track_play[begin] &&
        input.track_player[row] == input.track_player[begin])
      continue;
    const std::vector<Point> errors =
        draw_noise(std::span(input.time).subspan(begin, row - begin),
                   input.plays[static_cast<std::size_t>(input.track_play[begin])],
                   input.players[static_cast<std::size_t>(input.track_player[begin])], {sigma, 2, 99}, 0);
    for (std::size_t k = begin; k < row; ++k) {
      input.x[k] += errors[k - begin].x();
      input.y[k] += errors[k - begin].y();
    }
    begin = row;
  }
  return input.game();
}

}  // namespace

TEST_CASE("noise has its size at every time, and lasts as an autoregression does") {
  // cov(e(s), e(t)) = sigma^2 exp(-|t - s| / 0.7 s), on uneven times too; axes and men apart.
  const std::vector<double> times{0, 0.1, 0.2, 0.7, 2.1};
  const int draws = scenes::cases(20000, 400000);
  const Noise noise{0.3, 2, 4};
  Eigen::Matrix<double, 11, 11> sums = Eigen::Matrix<double, 11, 11>::Zero();
  for (int draw = 0; draw < draws; ++draw) {
    const auto one = draw_noise(times, "p", "a", noise, static_cast<std::size_t>(draw));
    const auto other = draw_noise(times, "p", "b", noise, static_cast<std::size_t>(draw));
    Eigen::Matrix<double, 11, 1> all;
    for (int k = 0; k < 5; ++k) {
      all[k] = one[static_cast<std::size_t>(k)].x();
      all[k + 5] = one[static_cast<std::size_t>(k)].y();
    }
    all[10] = other[0].x();
    sums += all * all.transpose();
  }
  sums /= draws;
  // The standard error of a covariance of normal draws is at most sqrt(2) sigma^2 / sqrt(n); 66 are tested.
  const double slack = 4.5 * std::sqrt(2.0) * 0.09 / std::sqrt(draws);
  for (int i = 0; i < 11; ++i) {
    for (int j = 0; j <= i; ++j) {
      CAPTURE(i);
      CAPTURE(j);
      const bool together = i / 5 == j / 5;
      const double lag = together && i < 10
                             ? std::abs(times[static_cast<std::size_t>(i % 5)] - times[static_cast<std::size_t>(j % 5)])
                             : 0;
      CHECK(std::abs(sums(i, j) - (together ? 0.09 * std::exp(-lag / 0.7) : 0)) < slack);
    }
  }
}

TEST_CASE("noise depends on ids, seed and draw alone, and sigma scales it") {
  const std::vector<double> times{0, 0.1, 0.2};
  const auto drawn = [&](std::string_view play, std::string_view player, double sigma, std::uint64_t seed,
                         std::size_t draw) { return draw_noise(times, play, player, {sigma, 2, seed}, draw); };
  const auto one = drawn("p", "a", 0.1, 1, 0);
  CHECK(one == drawn("p", "a", 0.1, 1, 0));
  for (const auto& other : {drawn("q", "a", 0.1, 1, 0), drawn("p", "b", 0.1, 1, 0), drawn("p", "a", 0.1, 2, 0),
                            drawn("p", "a", 0.1, 1, 1)}) {
    for (std::size_t k = 0; k < times.size(); ++k) CHECK(one[k] != other[k]);
  }
  const auto twice = drawn("p", "a", 0.2, 1, 0);
  for (std::size_t k = 0; k < times.size(); ++k) CHECK((twice[k] - 2 * one[k]).norm() < 1e-15);
  CHECK(drawn("pa", "b", 0.1, 1, 0) != drawn("p", "ab", 0.1, 1, 0));
  CHECK(draw_noise({}, "p", "a", {0.1, 2, 1}, 0).empty());
}

TEST_CASE("without noise the motion is the recording's to the bit; with it men who take no part stay where they are") {
  scenes::Script script = scenes::five_and_passer();
  script.men.push_back(scenes::defense("R", scenes::along({{0, {3.6, -1}}, {1.5, {3.4, 0.8}}})));
  script.men.push_back(scenes::defense("deep", stands(0, -15)));
  const Game game = scenes::Input(script).game(Orientation::trust);
  const ReadyPlay ready = scenes::ready(game);
  const auto bits = [](const Motion& motion) {
    std::string all(reinterpret_cast<const char*>(motion.place.data()), motion.place.size() * sizeof(Point));
    return all.append(reinterpret_cast<const char*>(motion.velocity.data()), motion.velocity.size() * sizeof(Point));
  };
  CHECK(bits(noisy_motion(game, ready, {0, 2, 1}, 0)) == bits(ready.motion));
  const Motion noisy = noisy_motion(game, ready, {0.2, 2, 1}, 0);
  const auto man = [&](std::string_view name) {
    return static_cast<std::size_t>(&scenes::man_called(game, ready.play, name) - ready.play.men.data());
  };
  CHECK(noisy.at(3, man("deep")) == ready.motion.at(3, man("deep")));
  for (const char* name : {"QB", "LT", "RG", "R"}) {
    CHECK(noisy.at(3, man(name)) != ready.motion.at(3, man(name)));
    CHECK((noisy.at(3, man(name)) - ready.motion.at(3, man(name))).norm() < 2);
  }
}

TEST_CASE("sigma is read off linemen who stand still") {
  for (const double sigma : {0.05, 0.15, 0.4}) {
    for (const double rate : {10.0, 25.0}) {
      CAPTURE(sigma);
      CAPTURE(rate);
      const NoiseEstimate found = estimate_noise(standing(sigma, 400, rate));
      CHECK(found.stances == 2000);
      // A stance has little more than one free number an axis: the median of 2,000 has a standard error of 1 to 2 %.
      CHECK(found.sigma == Approx(sigma).epsilon(0.05));
    }
  }
}

TEST_CASE("places that say nothing of the noise are refused with what would do") {
  CHECK(contains(refusal([] { estimate_noise(standing(0, 10)); }),
                 "their places are held or made, and say nothing of the noise; accepted: noise as a number"));
  const std::string few = refusal([] { estimate_noise(standing(0.1, 10, 10, 0)); });
  CHECK(contains(few, "only 0 stances of linemen have 4 samples between 1 s and 0.2 s before the snap; 5 are needed"));
  CHECK(estimate_noise(standing(0.1, 1)).stances == 5);
}

TEST_CASE("noise that cannot be is refused") {
  const auto of = [](double sigma, std::size_t draws) { return refusal([&] { Noise{sigma, draws, 1}.validate(); }); };
  CHECK(of(0, 2).empty());
  CHECK(of(0.3, 2000).empty());
  CHECK(contains(of(-0.1, 100), "noise is -0.1; accepted: yd per axis, 0 or more"));
  CHECK(contains(of(scenes::nan, 100), "noise is nan"));
  CHECK(contains(of(scenes::infinity, 100), "noise is inf"));
  CHECK(contains(of(0.1, 1), "draws is 1; accepted: 2 to 2000"));
  CHECK(contains(of(0.1, 2001), "draws is 2001"));
}
