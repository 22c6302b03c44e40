#include "study/fit.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <optional>
#include <string>
#include <unsupported/Eigen/LevenbergMarquardt>

#include "base/error.hpp"
#include "base/tolerances.hpp"

namespace shortedge {

namespace {

using Eigen::VectorXd;
using Row = Eigen::Index;

constexpr double error_memory = 0.7;  // s, correlation time of the errors
constexpr std::size_t fewest_samples = 5;
constexpr double converged = 1e-14;  // relative, of the parameters and of the sum of squares
constexpr int most_steps = 2000;
// A tau outside this share of the longest time is no tau: a man at full speed at once, or one who never nears it.
constexpr double least_tau = 1e-3, most_tau = 20;

double t_quantile(std::size_t freedom) {
  return boost::math::quantile(boost::math::students_t(static_cast<double>(freedom)), 0.975);
}

/// What x(t) = vmax tau ramp(t / tau) changes by with log vmax, with log tau and with t.
struct Change {
  double vmax, tau, time;
};
Change change_of(const Sprint& sprint, double time) {
  const double s = time / sprint.tau;
  return {sprint.distance_after(time, 0), sprint.vmax * sprint.tau * (std::expm1(-s) + s * std::exp(-s)),
          sprint.speed_after(time, 0)};
}

bool sensible(const Sprint& sprint, double longest) {
  return std::isfinite(sprint.vmax) && sprint.tau > least_tau * longest && sprint.tau < most_tau * longest;
}

template <class Functor>
void minimise(Functor& functor, VectorXd& at) {
  Eigen::LevenbergMarquardt<Functor> solver(functor);
  solver.setXtol(converged);
  solver.setFtol(converged);
  solver.setMaxfev(most_steps);
  solver.minimize(at);
}

// ---------------------------------------------------------------------------------------------------------- splits

struct Splits : Eigen::DenseFunctor<double> {
  std::span<const double> distance, time;

  Splits(std::span<const double> distances, std::span<const double> times)
      : DenseFunctor(2, static_cast<int>(distances.size())), distance(distances), time(times) {}

  int operator()(const VectorXd& at, VectorXd& error) const {
    const Sprint sprint{std::exp(at[0]), std::exp(at[1])};
    for (std::size_t i = 0; i < distance.size(); ++i) {
      error[static_cast<Row>(i)] = sprint.time_over(distance[i], 0) - time[i];
    }
    return 0;
  }
  int df(const VectorXd& at, Eigen::MatrixXd& jacobian) const {
    const Sprint sprint{std::exp(at[0]), std::exp(at[1])};
    for (std::size_t i = 0; i < distance.size(); ++i) {
      const Change change = change_of(sprint, sprint.time_over(distance[i], 0));
      jacobian.row(static_cast<Row>(i)) << -change.vmax / change.time, -change.tau / change.time;
    }
    return 0;
  }
};

void check_splits(std::span<const double> distance, std::span<const double> time) {
  if (distance.size() != time.size()) {
    throw InputError("splits: found " + std::to_string(distance.size()) + " distances and " +
                     std::to_string(time.size()) + " times; accepted: as many");
  }
  if (distance.size() < 2)
    throw InputError("splits: found " + std::to_string(distance.size()) + "; accepted: two or more");
  for (const auto& [name, values] : {std::pair("distance", distance), std::pair("time", time)}) {
    for (std::size_t i = 0; i < values.size(); ++i) {
      const double before = i ? values[i - 1] : 0;
      if (!std::isfinite(values[i]) || !(values[i] > before)) {
        throw InputError(std::string("splits, ") + name + ": found " + shown(values[i]) + " after " + shown(before) +
                         "; accepted: finite, positive and increasing");
      }
    }
  }
}

// ------------------------------------------------------------------------------------------------------------ runs

/// A run with its errors whitened and its place on the path eliminated: every column goes through `clear`.
class WhiteRun {
 public:
  explicit WhiteRun(const TimedRun& run)
      : time_(run.time), fade_(run.time.size() - 1), place_(VectorXd::Ones(samples())) {
    for (std::size_t i = 0; i < fade_.size(); ++i) fade_[i] = std::exp(-(time_[i + 1] - time_[i]) / error_memory);
    whiten(place_);
    place_.normalize();
    way_ = Eigen::Map<const VectorXd>(run.way.data(), samples());
    clear(way_);
  }

  Row samples() const { return static_cast<Row>(time_.size()); }
  double first() const { return time_.front(); }

  /// Fitted less measured way.
  VectorXd error(const Sprint& sprint, double start) const {
    VectorXd x(samples());
    for (Row i = 0; i < samples(); ++i) x[i] = sprint.distance_after(since(start, i), 0);
    clear(x);
    return x - way_;
  }
  /// Its derivatives by log vmax, log tau and start.
  Eigen::MatrixX3d derivatives(const Sprint& sprint, double start) const {
    Eigen::MatrixX3d columns(samples(), 3);
    for (Row i = 0; i < samples(); ++i) {
      const Change change = change_of(sprint, since(start, i));
      columns.row(i) << change.vmax, change.tau, -change.time;
    }
    for (Row column = 0; column < 3; ++column) {
      VectorXd values = columns.col(column);
      clear(values);
      columns.col(column) = values;
    }
    return columns;
  }

 private:
  double since(double start, Row i) const { return std::max(0.0, time_[static_cast<std::size_t>(i)] - start); }
  void whiten(VectorXd& values) const {
    for (Row i = values.size() - 1; i > 0; --i) {
      const double fade = fade_[static_cast<std::size_t>(i - 1)];
      values[i] = (values[i] - fade * values[i - 1]) / std::sqrt(1 - fade * fade);
    }
  }
  void clear(VectorXd& values) const {
    whiten(values);
    values -= place_ * place_.dot(values);
  }

  std::span<const double> time_;
  std::vector<double> fade_;
  VectorXd place_, way_;
};

/// Parameters: log vmax, log tau (left out when it is held), then each run's start.
struct Pooled : Eigen::SparseFunctor<double, int> {
  std::span<const WhiteRun> runs;
  std::optional<double> tau;

  Pooled(std::span<const WhiteRun> given, std::optional<double> held, Row samples)
      : SparseFunctor(static_cast<int>(given.size()) + (held ? 1 : 2), static_cast<int>(samples)),
        runs(given),
        tau(held) {}

  Row shared() const { return tau ? 1 : 2; }
  Sprint sprint(const VectorXd& at) const { return {std::exp(at[0]), tau ? *tau : std::exp(at[1])}; }
  double start(const VectorXd& at, std::size_t run) const { return at[shared() + static_cast<Row>(run)]; }

  int operator()(const VectorXd& at, VectorXd& error) const {
    Row row = 0;
    for (std::size_t i = 0; i < runs.size(); row += runs[i++].samples()) {
      error.segment(row, runs[i].samples()) = runs[i].error(sprint(at), start(at, i));
    }
    return 0;
  }
  int df(const VectorXd& at, JacobianType& jacobian) const {
    std::vector<Eigen::Triplet<double, int>> entries;
    int row = 0;
    for (std::size_t i = 0; i < runs.size(); ++i) {
      const Eigen::MatrixX3d columns = runs[i].derivatives(sprint(at), start(at, i));
      for (Row k = 0; k < columns.rows(); ++k, ++row) {
        for (Row column = 0; column < shared(); ++column)
          entries.emplace_back(row, static_cast<int>(column), columns(k, column));
        entries.emplace_back(row, static_cast<int>(shared()) + static_cast<int>(i), columns(k, 2));
      }
    }
    jacobian.resize(row, static_cast<Row>(inputs()));
    jacobian.setFromTriplets(entries.begin(), entries.end());
    jacobian.makeCompressed();
    return 0;
  }
};

/// Standard errors of the shared parameters: one Gauss-Newton step from the whole fit to the fit without each run.
VectorXd jackknife(const Pooled& pooled, const VectorXd& at) {
  const Sprint sprint = pooled.sprint(at);
  const Row shared = pooled.shared();
  const double runs = static_cast<double>(pooled.runs.size());
  std::vector<Eigen::MatrixXd> information;
  std::vector<VectorXd> pull;
  Eigen::MatrixXd whole = Eigen::MatrixXd::Zero(shared, shared);
  for (std::size_t i = 0; i < pooled.runs.size(); ++i) {
    const Eigen::MatrixX3d columns = pooled.runs[i].derivatives(sprint, pooled.start(at, i));
    const VectorXd start = columns.col(2).normalized();
    const Eigen::MatrixXd left = columns.leftCols(shared) - start * (start.transpose() * columns.leftCols(shared));
    information.emplace_back(left.transpose() * left);
    pull.emplace_back(left.transpose() * pooled.runs[i].error(sprint, pooled.start(at, i)));
    whole += information.back();
  }
  VectorXd sum = VectorXd::Zero(shared);
  for (std::size_t i = 0; i < pull.size(); ++i) {
    const VectorXd step = (whole - information[i]).ldlt().solve(pull[i]);
    sum += step.cwiseAbs2();
  }
  return (sum * (runs - 1) / runs).cwiseSqrt();
}

Estimate around(double log_value, double error, double t) {
  return {std::exp(log_value), std::exp(log_value - t * error), std::exp(log_value + t * error)};
}

RunsFit fit_pooled(std::span<const TimedRun> given, std::optional<double> tau) {
  RunsFit fit;
  fit.start.assign(given.size(), nan);
  std::vector<WhiteRun> runs;
  std::vector<std::size_t> which;
  Row samples = 0;
  double longest = 0;
  for (std::size_t i = 0; i < given.size(); ++i) {
    if (given[i].time.size() < fewest_samples) continue;
    runs.emplace_back(given[i]);
    which.push_back(i);
    samples += runs.back().samples();
    longest = std::max(longest, given[i].time.back() - given[i].time.front());
  }
  if (runs.size() < fewest_runs) return fit;

  Pooled pooled(runs, tau, samples);
  VectorXd at(pooled.shared() + static_cast<Row>(runs.size()));
  at[0] = std::log(tau ? 3.0 : 9.0);
  if (!tau) at[1] = std::log(0.9);
  for (std::size_t i = 0; i < runs.size(); ++i) at[pooled.shared() + static_cast<Row>(i)] = runs[i].first() + 0.2;
  minimise(pooled, at);
  const Sprint sprint = pooled.sprint(at);
  if (!at.allFinite() || !sensible(sprint, longest) || sprint.vmax < tolerance::least_speed) return fit;

  const VectorXd errors = jackknife(pooled, at);
  if (!errors.allFinite()) return fit;
  const double t = t_quantile(runs.size() - static_cast<std::size_t>(pooled.shared()));
  fit.vmax = around(at[0], errors[0], t);
  fit.tau = tau ? Estimate{*tau, nan, nan} : around(at[1], errors[1], t);
  for (std::size_t i = 0; i < which.size(); ++i) fit.start[which[i]] = pooled.start(at, i);
  return fit;
}

}  // namespace

SplitFit fit_splits(std::span<const double> distance, std::span<const double> time) {
  check_splits(distance, time);
  Splits splits(distance, time);
  VectorXd at(2);
  at << std::log(1.2 * distance.back() / time.back()), std::log(time.back() / 6);
  minimise(splits, at);
  const Sprint sprint{std::exp(at[0]), std::exp(at[1])};
  if (!at.allFinite() || !sensible(sprint, time.back())) {
    throw InputError(
        "splits: no sprint fits them; accepted: times of a man who speeds up from rest and nears a top speed");
  }

  SplitFit fit;
  VectorXd error(splits.values());
  Eigen::MatrixXd jacobian(splits.values(), 2);
  splits(at, error);
  splits.df(at, jacobian);
  for (const double one : error) fit.residuals.push_back(-one);
  fit.vmax.value = sprint.vmax;
  fit.tau.value = sprint.tau;
  if (distance.size() == 2) return fit;
  const std::size_t freedom = distance.size() - 2;
  jacobian.col(0) /= sprint.vmax;  // from the logarithms
  jacobian.col(1) /= sprint.tau;
  const Eigen::Matrix2d covariance =
      error.squaredNorm() / static_cast<double>(freedom) * (jacobian.transpose() * jacobian).inverse();
  fit.vmax_error = std::sqrt(covariance(0, 0));
  fit.tau_error = std::sqrt(covariance(1, 1));
  const double t = t_quantile(freedom);
  fit.vmax = {sprint.vmax, sprint.vmax - t * fit.vmax_error, sprint.vmax + t * fit.vmax_error};
  fit.tau = {sprint.tau, sprint.tau - t * fit.tau_error, sprint.tau + t * fit.tau_error};
  return fit;
}

RunsFit fit_runs(std::span<const TimedRun> runs) { return fit_pooled(runs, {}); }
RunsFit fit_runs(std::span<const TimedRun> runs, double tau) { return fit_pooled(runs, tau); }

}  // namespace shortedge
