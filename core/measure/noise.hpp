#pragma once
/// Noise of position, and a recording's own.
///
/// Errors of tracking systems last: of two places a tenth of a second apart the second is wrong by nearly as much as
/// the first. Noise here is a stationary first-order autoregression on a man's own samples, at their true times, apart
/// for each man and axis: cov(e(s), e(t)) = sigma^2 exp(-|t - s| / 0.7 s). Systems' correlation times are 0.5 to 1 s
/// (from memory); radial errors were measured as 0.25 yd for radar, 0.6 yd for video (Linke, Link and Lames 2018).

#include <cmath>
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "play/play.hpp"
#include "trace/smoother.hpp"

namespace shortedge {

inline constexpr double noise_time = 0.7;  ///< s, correlation time

struct Noise {
  static constexpr std::size_t fewest_draws = 2, most_draws = 2000;
  double sigma = 0;  ///< yd per axis
  std::size_t draws = 100;
  std::uint64_t seed = 1;
  bool of_tracks =
      false;  ///< errors are the samples' own (Tracks::sd_x, or what they were smoothed from); sigma is not used
  bool carried = true;  ///< false: bands as the draws have them (measure/carried.hpp)

  /// Throws InputError for a sigma that is negative or not finite, and for too few or too many draws.
  void validate() const;
};

/// The error so many seconds after another; fresh: one drawn with the same sigma.
inline Point error_after(const Point& error, double seconds, const Point& fresh) {
  const double step = seconds / noise_time;
  return std::exp(-step) * error + std::sqrt(-std::expm1(-2 * step)) * fresh;
}

/// One man's error at each of `times` (increasing, s), yd in the play frame. It depends on the ids, sigma, seed and
/// draw alone, so not on threads or on what else is measured; sigma only scales it.
std::vector<Point> draw_noise(std::span<const double> times, std::string_view play, std::string_view player,
                              const Noise& noise, std::size_t draw);

/// Where everybody would be seen: the samples with noise, through place_men and add_velocities. Men, roles, frames and
/// times stay the recording's. Men who take no part are left as they are. Recorded velocities are kept (noise is of
/// position); fitted ones are fitted to the noisy places.
///
/// Noise of the tracks: a man who was smoothed from clicks (Game::clicked) is drawn from what they leave open, places
/// and recorded velocities together (trace/smoother.hpp); any other one's errors are draw_noise's with sigma 1, at each
/// sample brought to its own covariance by the lower triangular root of it. Throws InputError for a game without such
/// errors, and for a sample without.
class NoisyPlay {
 public:
  NoisyPlay(const Game& game, const ReadyPlay& ready, const Noise& noise);
  Motion motion(std::size_t draw) const;

 private:
  const Game& game_;
  const ReadyPlay& ready_;
  Noise noise_;
  Snap snap_;
  std::vector<std::optional<Smoother>> smoothers_;  // by man
};

/// One draw.
Motion noisy_motion(const Game& game, const ReadyPlay& ready, const Noise& noise, std::size_t draw);

struct NoiseEstimate {
  double sigma;         ///< yd per axis
  std::size_t stances;  ///< linemen before the snap, one a play
};

/// Sigma read off the linemen, who must stand still for a second before the snap: from 1 s to 0.2 s before it (a snap
/// may be marked late) all that moves is noise. A stance's sum of squares about its own mean, both axes, is held
/// against its expectation under noise of this correlation at its own times, since in so short a time most of the error
/// is in the mean. Sigma^2 is the median of these ratios over stances, each over the median that a gamma variable of
/// its mean and variance has (Wilson and Hilferty 1931), so men who do move, if few, hardly count.
///
/// It sees no error that stays all play long and none that comes with speed, and takes sway of the body for noise.
/// Noise of another correlation is read as if it had this one. Throws InputError for under 5 stances of 4 samples each,
/// and for an estimate under 0.001 yd: places of men at rest are then held by the system, and say nothing.
NoiseEstimate estimate_noise(const Game& game);

}  // namespace shortedge
