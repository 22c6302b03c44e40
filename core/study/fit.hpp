#pragma once
/// The sprint model (geometry/sprint.hpp) fitted by least squares: to split times of one sprint, and to a man's own
/// runs.
///
/// How runs are fitted. A run is a man's way along his own path, w_k yd at times t_k. All runs of one man share one
/// sprint; each has its own start and its own place on the path, so w_k = x(t_k - start) + place + error, x from rest.
/// The start is a nuisance of each run: a clock that runs from the first movement makes tau too low (published splits
/// give 0.81 s, and 1.38 s with 0.3 s added to their times).
///
/// Errors of positions are correlated, a bias that drifts (first-order autoregressive, 0.7 s; an assumption). Least
/// squares on the whitened errors weighs them so: what counts is how far a man gets from sample to sample, less where
/// a sample says he is. Solved by Levenberg and Marquardt's method (Eigen, sparse) in the logarithms of vmax and tau,
/// places eliminated.
///
/// Intervals: delete-one-run jackknife, each refit by one Gauss-Newton step (within a tenth or so of the refits carried
/// to their end), times Student's t; its degrees of freedom are the runs less the figures fitted. So they hold what one
/// run differs from another, whatever the true errors are; their logarithms are symmetric.
///
/// Over the 1 to 2 s of a rush vmax and tau are nearly collinear: with those errors their logarithms correlate 0.97 to
/// 0.99, because a run of time T from rest tells vmax T^2 / 2 tau well and the rest badly. Whether both mean anything
/// is for the caller to read off the intervals; fit_runs with tau held tells vmax alone, given that tau.

#include <cstddef>
#include <span>
#include <vector>

#include "geometry/point.hpp"
#include "geometry/sprint.hpp"

namespace shortedge {

/// A figure with its 95 % interval; NaN when there is none.
struct Estimate {
  double value = nan, low = nan, high = nan;
};

struct SplitFit {
  Estimate vmax;                             ///< unit of the distances per second
  Estimate tau;                              ///< s
  double vmax_error = nan, tau_error = nan;  ///< standard errors; NaN with two splits
  std::vector<double> residuals;             ///< s, measured less fitted time, one a split
};

/// Least squares in time of t(d), from rest at d = 0 and t = 0. Standard errors sqrt(s^2 (J'J)^-1), s^2 with n - 2
/// degrees of freedom; intervals +- Student's t times them.
/// Throws InputError for fewer than two splits, distances or times that are not positive, finite and increasing, or
/// splits no sprint fits: a man who never speeds up, or never stops to.
SplitFit fit_splits(std::span<const double> distance, std::span<const double> time);

/// One free run from rest.
struct TimedRun {
  std::vector<double> time;  ///< s, increasing
  std::vector<double> way;   ///< yd along his own path, from anywhere; as many
};

inline constexpr std::size_t fewest_runs = 5;  ///< below it a jackknife says nothing

struct RunsFit {
  Estimate vmax;              ///< yd/s
  Estimate tau;               ///< s; when it was held, that value and no interval
  std::vector<double> start;  ///< s, when each run starts
};

/// One sprint to all the runs. NaN throughout with fewer than fewest_runs runs of five samples or more (shorter ones
/// are left out, their start NaN), or when no sprint fits (men who stand still, under 0.3 yd/s, or speed up for ever).
RunsFit fit_runs(std::span<const TimedRun> runs);

/// The same with tau held.
RunsFit fit_runs(std::span<const TimedRun> runs, double tau);

}  // namespace shortedge
