#pragma once
/// One man's way through a play from clicks: where he was between them and beside them, and how well that is known.
///
/// Per axis a state of place, velocity and acceleration whose jerk is white noise of spectral density `jerk`
/// (yd^2/s^5): over dt the state goes on by F = [1 dt dt^2/2; 0 1 dt; 0 0 1] and gains the covariance jerk [dt^5/20
/// dt^4/8 dt^3/6; . dt^3/3 dt^2/2; . . dt]. A click is a place with a full 2 x 2 covariance, so the axes are smoothed
/// together. At the snap a man who stands has velocity 0 +- rest_speed and acceleration 0 +- rest_acceleration an axis.
/// Times are uneven and may coincide; clicks of several views enter as they are, which fuses them. Before the first
/// node he may be anywhere (100 yd about his first click) at 0 +- 10 yd/s and 0 +- 10 yd/s^2.
///
/// Forward filter: R. E. Kalman, J. Basic Eng. 82, 1960 (updates in Joseph's form). Backward: H. E. Rauch, F. Tung and
/// C. T. Striebel, AIAA J. 3, 1965. Draws from the posterior: forward filter, backward sampling (C. K. Carter and
/// R. Kohn, Biometrika 81, 1994). The same is a Gaussian process's posterior, which the tests solve densely.

#include <Eigen/Core>
#include <optional>
#include <span>
#include <vector>

#include "geometry/point.hpp"

namespace shortedge {

/// A place seen at a time. Covariance in yd^2, positive definite.
struct Click {
  double time;  ///< s
  Point place;
  Eigen::Matrix2d covariance;
};

struct SmootherOptions {
  double jerk = 300;               ///< yd^2/s^5
  double rest_speed = 0.1;         ///< yd/s, an axis
  double rest_acceleration = 0.3;  ///< yd/s^2, an axis

  /// Throws InputError for what is not positive and finite.
  void validate() const;
};

/// x, y of place, then of velocity, then of acceleration.
using Motion6 = Eigen::Matrix<double, 6, 1>;
using Covariance6 = Eigen::Matrix<double, 6, 6>;

struct SmoothedState {
  Motion6 mean;
  Covariance6 covariance;

  Point place() const { return mean.head<2>(); }
  Point velocity() const { return mean.segment<2>(2); }
};

/// A man drawn from the posterior.
struct SampledWay {
  std::vector<Point> place, velocity;
};

class Smoother {
 public:
  /// `clicks` in any order, at least one; `rest`: the time at which he stands, if he does; `times` increasing: where
  /// states are wanted. Throws InputError for times or places that are not finite, a covariance that is not positive
  /// definite, and for no clicks.
  Smoother(std::span<const Click> clicks, std::optional<double> rest, std::span<const double> times,
           const SmootherOptions& options = {});

  /// At each of `times`.
  const std::vector<SmoothedState>& states() const noexcept { return states_; }
  /// Of each click: what it is off from where all else puts the man, in standard deviations (of the 2-D error, so a
  /// good click is over s in exp(-s^2/2) of cases). Infinite for a click that is alone.
  const std::vector<double>& deletion_sizes() const noexcept { return sizes_; }
  /// Log of the clicks' density, the prior's and the rest's included.
  double log_likelihood() const noexcept { return log_likelihood_; }

  /// Standard normal numbers a draw takes.
  std::size_t numbers() const noexcept { return 6 * nodes_.size(); }
  /// One draw at `times`, from that many independent standard normal numbers. Takes prepare_draws() first.
  SampledWay draw(std::span<const double> normal) const;
  void prepare_draws();

 private:
  struct Node {
    double time;
    Motion6 predicted, filtered, smoothed;
    Covariance6 predicted_covariance, filtered_covariance, smoothed_covariance;
    Covariance6 gain;  // of the way back to this node from the next
    Covariance6 root;  // of what is left of it given the next, for draws
  };
  std::vector<Node> nodes_;
  std::vector<std::size_t> wanted_;  // node of each wanted time
  std::vector<SmoothedState> states_;
  std::vector<double> sizes_;
  double log_likelihood_ = 0, jerk_;
};

/// Clicks that another man was likely meant by: the one of greatest deletion size over `over` is taken out, and again,
/// until none is left. One flag a click. At least two clicks stay.
std::vector<bool> strange_clicks(std::span<const Click> clicks, std::optional<double> rest, double over = 4,
                                 const SmootherOptions& options = {});

/// What is to be added to the times of the clicks of a second film so that two films of the same men fit: the men's
/// likelihood with the second clicks shifted, times a normal prior 0 +- `error` s, is greatest there (golden section
/// within 4 errors; Kiefer 1953). `error` is its spread (by the curvature), at most the prior's.
struct Offset {
  double seconds, error;
};
struct TwiceSeen {
  std::vector<Click> first, second;
  std::optional<double> rest;  ///< on the first film's clock
};
Offset fit_offset(std::span<const TwiceSeen> men, double error, const SmootherOptions& options = {});

}  // namespace shortedge
