#pragma once
/// One man's way through a play from clicks: where he was between them and beside them, and how well that is known.
///
/// Per axis a state of place, velocity and acceleration whose jerk is white noise of spectral density q (yd^2/s^5):
/// over dt the state goes on by F = [1 dt dt^2/2; 0 1 dt; 0 0 1] and gains the covariance q [dt^5/20 dt^4/8 dt^3/6; .
/// dt^3/3 dt^2/2; . . dt]. A click is a place with a full 2 x 2 covariance, so the axes are smoothed together. At the
/// snap a man who stands has velocity 0 +- rest_speed and acceleration 0 +- rest_acceleration an axis; then he starts:
/// his acceleration jumps by 0 +- start an axis, and q is start_jerk for start_seconds, else jerk.
///
/// Men go quietly and then, in a tenth of a second, not at all so. With a finite `tail` what moves a man from one click
/// to the next (w of six numbers, covariance Q) is not normal but of Student's t with that many degrees of freedom:
/// each stretch between clicks has a scale of its own, Q times (tail + w' Q^-1 w) / (tail + 6) with its expectation
/// from the clicks, found by repetition (`scale_steps` times) from scale 1. Where nothing happens bands are narrow,
/// where he bursts or is stopped they are wide. Scales depend on clicks alone, not on the times asked for. They count
/// in states, draws and deletion sizes; log_likelihood is of the normal model. Times are uneven and may coincide;
/// clicks of several views enter as they are, which fuses them. Before the first node he may be anywhere (100 yd about
/// his first click) at 0 +- 10 yd/s and 0 +- 10 yd/s^2.
///
/// Forward filter: R. E. Kalman, J. Basic Eng. 82, 1960 (updates in Joseph's form). Backward: H. E. Rauch, F. Tung and
/// C. T. Striebel, AIAA J. 3, 1965. Draws from the posterior: forward filter, backward sampling (C. K. Carter and
/// R. Kohn, Biometrika 81, 1994). Heavy tails by scales: K. L. Lange, R. J. A. Little and J. M. G. Taylor, J. Am. Stat.
/// Assoc. 84, 1989. With the scales known the same is a Gaussian process's posterior, which the tests solve densely.

#include <Eigen/Core>
#include <optional>
#include <span>
#include <vector>

#include "trace/click.hpp"

namespace shortedge {

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

inline constexpr int scale_steps = 12;

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
  /// The same without states: a third of the work.
  static double log_likelihood(std::span<const Click> clicks, std::optional<double> rest,
                               const SmootherOptions& options = {});

  /// Of each stretch between clicks (and the snap, and the end of the start), in order, what its Q is multiplied by.
  const std::vector<double>& scales() const noexcept { return scales_; }

  /// Standard normal numbers a draw takes.
  std::size_t numbers() const noexcept { return 6 * nodes_.size(); }
  /// One draw at `times`, from that many independent standard normal numbers. Takes prepare_draws() first.
  SampledWay draw(std::span<const double> normal) const;
  void prepare_draws();

 private:
  struct Step {
    Covariance6 by, noise;
  };
  struct Node {
    double time;
    Motion6 predicted, filtered, smoothed;
    Covariance6 predicted_covariance, filtered_covariance, smoothed_covariance;
    Covariance6 gain;  // of the way back to this node from the next
    Covariance6 root;  // of what is left of it given the next, for draws
  };
  Smoother() = default;
  void filter(std::span<const Click> clicks, std::optional<double> rest, std::span<const double> times);
  std::size_t node_at(double time) const;
  void smooth_back();
  void find_scales(std::span<const Click> clicks, std::optional<double> rest);
  /// From a node to the next one; `scaled`: by its stretch.
  Step step_from(std::size_t node, bool scaled = true) const;

  SmootherOptions options_;
  std::optional<double> rest_;
  std::vector<Node> nodes_;
  std::vector<std::size_t> wanted_;  // node of each wanted time
  std::vector<SmoothedState> states_;
  std::vector<double> sizes_;
  std::vector<double> scales_, stretches_;  // scale of each stretch, and when it begins
  double log_likelihood_ = 0;
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
