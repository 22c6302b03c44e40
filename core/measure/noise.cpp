#include "measure/noise.hpp"

#include <Eigen/Core>
#include <algorithm>
#include <boost/random/mersenne_twister.hpp>
#include <boost/random/normal_distribution.hpp>
#include <cmath>

#include "base/error.hpp"
#include "base/tolerances.hpp"

namespace shortedge {

namespace {

constexpr double stance_from = -1.0, stance_to = -0.2;  // s since the snap
constexpr std::size_t fewest_samples = 4, fewest_stances = 5;
constexpr double held_still = 1e-3;  // yd

/// Fowler, Noll and Vo's 64-bit hash, 1a.
std::uint64_t hashed(std::string_view text, std::uint64_t hash = 0xcbf29ce484222325u) {
  for (const char letter : text) hash = (hash ^ static_cast<unsigned char>(letter)) * 0x100000001b3u;
  return hash;
}

/// The finisher of Steele, Lea and Flood's SplitMix64: neighbouring numbers come out unlike.
std::uint64_t mixed_up(std::uint64_t z) {
  z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
  z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
  return z ^ (z >> 31);
}

boost::random::mt19937_64 engine_of(std::string_view play, std::string_view player, const Noise& noise,
                                    std::size_t draw) {
  const std::uint64_t who = hashed(player, hashed("\n", hashed(play)));
  return boost::random::mt19937_64(mixed_up(mixed_up(who ^ mixed_up(noise.seed)) + draw));
}

/// Independent unit errors brought to a covariance, by its lower triangular root.
Point rooted(const Eigen::Matrix2d& covariance, const Point& unit) {
  const double first = std::sqrt(covariance(0, 0)), lever = first > 0 ? covariance(0, 1) / first : 0;
  const double second = std::sqrt(std::max(0.0, covariance(1, 1) - lever * lever));
  return {first * unit.x(), lever * unit.x() + second * unit.y()};
}

/// What one stance says.
struct Stance {
  double squares;         // yd^2, about the mean, both axes
  double mean, variance;  // of that with sigma 1
};

Stance judge(std::span<const double> times, std::span<const Point> places) {
  const auto n = static_cast<Eigen::Index>(times.size());
  Eigen::MatrixXd covariance(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = 0; j < n; ++j) {
      const double apart = times[static_cast<std::size_t>(i)] - times[static_cast<std::size_t>(j)];
      covariance(i, j) = std::exp(-std::abs(apart) / noise_time);
    }
  }
  const Eigen::RowVectorXd column_means = covariance.colwise().mean();
  covariance.rowwise() -= column_means;  // now of what is left about the mean
  Point middle(0, 0);
  for (const Point& place : places) middle += place / static_cast<double>(places.size());
  Stance stance{0, 2 * covariance.trace(), 4 * covariance.cwiseProduct(covariance.transpose()).sum()};
  for (const Point& place : places) stance.squares += (place - middle).squaredNorm();
  return stance;
}

/// The middle one; of an even number the upper of the two.
double middle_one(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace

void Noise::validate() const {
  if (!(sigma >= 0) || !std::isfinite(sigma)) {
    throw InputError("noise is " + shown(sigma) + "; accepted: yd per axis, 0 or more");
  }
  if (draws < fewest_draws || draws > most_draws) {
    throw InputError("draws is " + std::to_string(draws) + "; accepted: " + std::to_string(fewest_draws) + " to " +
                     std::to_string(most_draws));
  }
}

std::vector<Point> draw_noise(std::span<const double> times, std::string_view play, std::string_view player,
                              const Noise& noise, std::size_t draw) {
  boost::random::mt19937_64 engine = engine_of(play, player, noise, draw);
  boost::random::normal_distribution<double> normal;
  std::vector<Point> errors(times.size());
  for (std::size_t i = 0; i < times.size(); ++i) {
    const double across = normal(engine);
    errors[i] = {across, normal(engine)};
    if (i > 0) errors[i] = error_after(errors[i - 1], times[i] - times[i - 1], errors[i]);
  }
  for (Point& error : errors) error *= noise.sigma;
  return errors;
}

NoisyPlay::NoisyPlay(const Game& game, const ReadyPlay& ready, const Noise& noise)
    : game_(game), ready_(ready), noise_(noise), snap_{}, smoothers_(ready.samples.size()) {
  if (!noise.of_tracks) return;
  const std::int32_t play = ready.play.play;
  const auto row =
      std::find_if(game.snaps.begin(), game.snaps.end(), [&](const Snap& snap) { return snap.play == play; });
  snap_ = *row;
  for (std::size_t man = 0; man < smoothers_.size(); ++man) {
    if (const ClickedWay* way = game.find_clicked(play, ready.play.men[man].player)) {
      std::vector<double> times = ready.samples[man].time;
      for (double& time : times) time += snap_.snap_time;
      smoothers_[man].emplace(way->clicks, way->rest, times, way->options);
      smoothers_[man]->prepare_draws();
      continue;
    }
    const std::vector<Eigen::Matrix2d>& error = ready.samples[man].error;
    const bool known = !error.empty() && std::all_of(error.begin(), error.end(),
                                                     [](const Eigen::Matrix2d& one) { return one.allFinite(); });
    if (!known && !ready.samples[man].time.empty()) {
      throw InputError(
          "noise is \"tracks\", and player " + game.players[static_cast<std::size_t>(ready.play.men[man].player)] +
          " of play " + game.plays[static_cast<std::size_t>(play)] +
          " has samples without sd_x, sd_y; accepted: tracks with them in every row, or noise as a number");
    }
  }
}

Motion NoisyPlay::motion(std::size_t draw) const {
  const Play& play = ready_.play;
  std::vector<Samples> samples = ready_.samples;
  const std::string& name = game_.plays[static_cast<std::size_t>(play.play)];
  for (std::size_t man = 0; man < samples.size(); ++man) {
    if (play.men[man].unit == Unit::defense && play.men[man].role != Role::rusher) continue;
    const std::string& player = game_.players[static_cast<std::size_t>(play.men[man].player)];
    Samples& own = samples[man];
    if (smoothers_[man]) {
      boost::random::mt19937_64 engine = engine_of(name, player, noise_, draw);
      boost::random::normal_distribution<double> normal;
      std::vector<double> numbers(smoothers_[man]->numbers());
      for (double& number : numbers) number = normal(engine);
      const SampledWay way = smoothers_[man]->draw(numbers);
      for (std::size_t i = 0; i < own.place.size(); ++i) {
        own.place[i] = snap_.direction * Point(snap_.ball_y - way.place[i].y(), snap_.ball_x - way.place[i].x());
        if (!own.velocity.empty()) own.velocity[i] = -snap_.direction * Point(way.velocity[i].y(), way.velocity[i].x());
      }
      continue;
    }
    Noise unit = noise_;
    if (noise_.of_tracks) unit.sigma = 1;
    const std::vector<Point> errors = draw_noise(own.time, name, player, unit, draw);
    for (std::size_t i = 0; i < errors.size(); ++i)
      own.place[i] += noise_.of_tracks ? rooted(own.error[i], errors[i]) : errors[i];
  }
  Motion motion = place_men(play, samples);
  add_velocities(play, samples, motion);
  return motion;
}

Motion noisy_motion(const Game& game, const ReadyPlay& ready, const Noise& noise, std::size_t draw) {
  return NoisyPlay(game, ready, noise).motion(draw);
}

NoiseEstimate estimate_noise(const Game& game) {
  const Roster roster(game.people, game.players.size());
  std::vector<double> ratios;
  for (const std::size_t row : game.measured()) {
    const ReadyPlay ready = prepare(game, roster, game.snaps[row]);
    for (std::size_t man = 0; man < ready.play.men.size(); ++man) {
      if (!ready.play.men[man].is_lineman()) continue;
      const Samples& own = ready.samples[man];
      const auto from = std::lower_bound(own.time.begin(), own.time.end(), stance_from - tolerance::time);
      const auto to = std::upper_bound(from, own.time.end(), stance_to + tolerance::time);
      const auto first = static_cast<std::size_t>(from - own.time.begin()), held = static_cast<std::size_t>(to - from);
      if (held < fewest_samples) continue;
      const Stance stance = judge(std::span(own.time).subspan(first, held), std::span(own.place).subspan(first, held));
      // Of a gamma variable with this mean and variance the median is about mean (1 - k)^3.
      const double k = stance.variance / (9 * stance.mean * stance.mean);
      ratios.push_back(stance.squares / (stance.mean * std::pow(1 - k, 3)));
    }
  }
  const std::string accepted = "; accepted: noise as a number, yd per axis";
  if (ratios.size() < fewest_stances) {
    throw InputError("noise is \"auto\", and only " + std::to_string(ratios.size()) + " stances of linemen have " +
                     std::to_string(fewest_samples) + " samples between 1 s and 0.2 s before the snap; " +
                     std::to_string(fewest_stances) + " are needed" + accepted);
  }
  const std::size_t stances = ratios.size();
  const double sigma = std::sqrt(middle_one(std::move(ratios)));
  if (sigma < held_still) {
    throw InputError("noise is \"auto\", and linemen before the snap move by " + shown(sigma) +
                     " yd: their places are held or made, and say nothing of the noise" + accepted);
  }
  return {sigma, stances};
}

}  // namespace shortedge
