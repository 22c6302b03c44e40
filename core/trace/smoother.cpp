#include "trace/smoother.hpp"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "base/error.hpp"

namespace shortedge {

namespace {

constexpr double same_time = 1e-9;  // s
constexpr double prior_place = 100, prior_speed = 10, prior_acceleration = 10;

struct Onward {
  Covariance6 by, noise;
};

Onward onward(double dt, double jerk) {
  const double d2 = dt * dt, d3 = d2 * dt;
  Eigen::Matrix3d by, noise;
  by << 1, dt, d2 / 2, 0, 1, dt, 0, 0, 1;
  noise << d3 * d2 / 20, d2 * d2 / 8, d3 / 6, d2 * d2 / 8, d3 / 3, d2 / 2, d3 / 6, d2 / 2, dt;
  Onward out{Covariance6::Zero(), Covariance6::Zero()};
  for (Eigen::Index i = 0; i < 3; ++i) {
    for (Eigen::Index j = 0; j < 3; ++j) {
      out.by(2 * i, 2 * j) = out.by(2 * i + 1, 2 * j + 1) = by(i, j);
      out.noise(2 * i, 2 * j) = out.noise(2 * i + 1, 2 * j + 1) = jerk * noise(i, j);
    }
  }
  return out;
}

void make_symmetric(Covariance6& matrix) { matrix = ((matrix + matrix.transpose()) / 2).eval(); }

/// One measurement of the state's elements from `first` on, in Joseph's form; the log of its density is returned.
template <int count>
double update(Motion6& mean, Covariance6& covariance, Eigen::Index first, const Eigen::Matrix<double, count, 1>& seen,
              const Eigen::Matrix<double, count, count>& error) {
  using Square = Eigen::Matrix<double, count, count>;
  const Square spread = covariance.template block<count, count>(first, first) + error;
  const Eigen::LLT<Square> root(spread);
  const Eigen::Matrix<double, count, 1> off = seen - mean.template segment<count>(first);
  const Eigen::Matrix<double, 6, count> gain = root.solve(covariance.template middleRows<count>(first)).transpose();
  Covariance6 left = Covariance6::Identity();
  left.template middleCols<count>(first) -= gain;
  mean += gain * off;
  covariance = (left * covariance * left.transpose() + gain * error * gain.transpose()).eval();
  make_symmetric(covariance);
  const double log_det = 2 * root.matrixLLT().diagonal().array().log().sum();
  return -0.5 * (off.dot(root.solve(off)) + log_det + count * std::log(2 * std::numbers::pi));
}

void check(std::span<const Click> clicks) {
  if (clicks.empty()) throw InputError("clicks: found none; accepted: at least one a man");
  for (const Click& click : clicks) {
    const Eigen::Matrix2d& c = click.covariance;
    if (!std::isfinite(click.time) || !click.place.allFinite()) {
      throw InputError("click at " + shown(click.time) + " s at (" + shown(click.place.x()) + ", " +
                       shown(click.place.y()) + "); accepted: finite numbers");
    }
    if (!c.allFinite() || !(c(0, 0) > 0) || !(c.determinant() > 0)) {
      throw InputError("click at " + shown(click.time) + " s: variances " + shown(c(0, 0)) + ", " + shown(c(1, 1)) +
                       " with covariance " + shown(c(0, 1)) + "; accepted: positive definite, yd^2");
    }
  }
}

}  // namespace

void SmootherOptions::validate() const {
  for (const auto& [name, value] : {std::pair("jerk", jerk), std::pair("rest_speed", rest_speed),
                                    std::pair("rest_acceleration", rest_acceleration)}) {
    if (!(value > 0) || !std::isfinite(value))
      throw InputError(std::string(name) + " is " + shown(value) + "; accepted: above 0");
  }
}

Smoother::Smoother(std::span<const Click> clicks, std::optional<double> rest, std::span<const double> times,
                   const SmootherOptions& options)
    : jerk_(options.jerk) {
  options.validate();
  check(clicks);
  std::vector<double> all(times.begin(), times.end());
  for (const Click& click : clicks) all.push_back(click.time);
  if (rest) all.push_back(*rest);
  if (!std::all_of(all.begin(), all.end(), [](double time) { return std::isfinite(time); })) {
    throw InputError("times: found one that is not finite; accepted: s");
  }
  std::sort(all.begin(), all.end());
  for (const double time : all) {
    if (nodes_.empty() || time - nodes_.back().time > same_time) nodes_.emplace_back().time = time;
  }
  const auto node_at = [&](double time) {
    const auto found = std::lower_bound(nodes_.begin(), nodes_.end(), time - same_time,
                                        [](const Node& node, double at) { return node.time < at; });
    return static_cast<std::size_t>(found - nodes_.begin());
  };
  std::vector<std::vector<std::size_t>> of_node(nodes_.size());
  for (std::size_t i = 0; i < clicks.size(); ++i) of_node[node_at(clicks[i].time)].push_back(i);
  const std::size_t resting = rest ? node_at(*rest) : nodes_.size();
  for (const double time : times) wanted_.push_back(node_at(time));

  const auto first =
      std::min_element(clicks.begin(), clicks.end(), [](const Click& a, const Click& b) { return a.time < b.time; });
  for (std::size_t k = 0; k < nodes_.size(); ++k) {
    Node& node = nodes_[k];
    if (k == 0) {
      node.predicted << first->place, 0, 0, 0, 0;
      node.predicted_covariance.setZero();
      for (const auto& [at, sd] :
           {std::pair<Eigen::Index, double>(0, prior_place), {2, prior_speed}, {4, prior_acceleration}}) {
        node.predicted_covariance(at, at) = node.predicted_covariance(at + 1, at + 1) = sd * sd;
      }
    } else {
      const Node& before = nodes_[k - 1];
      const Onward on = onward(node.time - before.time, jerk_);
      node.predicted = on.by * before.filtered;
      node.predicted_covariance = on.by * before.filtered_covariance * on.by.transpose() + on.noise;
      make_symmetric(node.predicted_covariance);
    }
    node.filtered = node.predicted;
    node.filtered_covariance = node.predicted_covariance;
    for (const std::size_t i : of_node[k]) {
      log_likelihood_ += update<2>(node.filtered, node.filtered_covariance, 0, clicks[i].place, clicks[i].covariance);
    }
    if (k == resting) {
      const double v = options.rest_speed * options.rest_speed,
                   a = options.rest_acceleration * options.rest_acceleration;
      log_likelihood_ += update<4>(node.filtered, node.filtered_covariance, 2, Eigen::Vector4d::Zero(),
                                   Eigen::Vector4d(v, v, a, a).asDiagonal().toDenseMatrix());
    }
  }
  for (std::size_t k = nodes_.size(); k-- > 0;) {
    Node& node = nodes_[k];
    if (k + 1 == nodes_.size()) {
      node.gain.setZero();
      node.smoothed = node.filtered;
      node.smoothed_covariance = node.filtered_covariance;
      continue;
    }
    const Node& next = nodes_[k + 1];
    const Onward on = onward(next.time - node.time, jerk_);
    node.gain = next.predicted_covariance.ldlt().solve(on.by * node.filtered_covariance).transpose();
    node.smoothed = node.filtered + node.gain * (next.smoothed - next.predicted);
    node.smoothed_covariance = node.filtered_covariance + node.gain *
                                                              (next.smoothed_covariance - next.predicted_covariance) *
                                                              node.gain.transpose();
    make_symmetric(node.smoothed_covariance);
  }
  for (const std::size_t at : wanted_) states_.push_back({nodes_[at].smoothed, nodes_[at].smoothed_covariance});
  // A residual r = click - smoothed has covariance R - P; deleted it is (I - P R^-1)^-1 r, so its size is r' (R - P)^-1
  // r.
  for (std::size_t i = 0; i < clicks.size(); ++i) {
    const Node& node = nodes_[node_at(clicks[i].time)];
    const Eigen::Vector2d off = clicks[i].place - node.smoothed.head<2>();
    const Eigen::Matrix2d left = clicks[i].covariance - node.smoothed_covariance.topLeftCorner<2, 2>();
    const bool known = left(0, 0) > 1e-9 * clicks[i].covariance(0, 0) &&
                       left.determinant() > 1e-9 * clicks[i].covariance.determinant();
    sizes_.push_back(known && clicks.size() > 1 ? std::sqrt(std::max(0.0, off.dot(left.inverse() * off))) : infinity);
  }
}

void Smoother::prepare_draws() {
  for (std::size_t k = 0; k < nodes_.size(); ++k) {
    Node& node = nodes_[k];
    Covariance6 left = node.filtered_covariance;
    if (k + 1 < nodes_.size()) {
      const Onward on = onward(nodes_[k + 1].time - node.time, jerk_);
      const Covariance6 rest = Covariance6::Identity() - node.gain * on.by;
      left = rest * node.filtered_covariance * rest.transpose() + node.gain * on.noise * node.gain.transpose();
      make_symmetric(left);
    }
    const Eigen::LDLT<Covariance6> parts(left);
    const Motion6 spread = parts.vectorD().cwiseMax(0).cwiseSqrt();
    Covariance6 root = parts.matrixL();
    root = (root * spread.asDiagonal()).eval();
    node.root = parts.transpositionsP().transpose() * root;
  }
}

SampledWay Smoother::draw(std::span<const double> normal) const {
  if (normal.size() != numbers()) {
    throw InputError("normal: found " + std::to_string(normal.size()) +
                     " numbers; accepted: " + std::to_string(numbers()));
  }
  std::vector<Motion6> drawn(nodes_.size());
  for (std::size_t k = nodes_.size(); k-- > 0;) {
    const Node& node = nodes_[k];
    const Eigen::Map<const Motion6> numbers(normal.data() + 6 * k);
    drawn[k] = node.filtered + node.root * numbers;
    if (k + 1 < nodes_.size()) drawn[k] += node.gain * (drawn[k + 1] - nodes_[k + 1].predicted);
  }
  SampledWay way;
  for (const std::size_t at : wanted_) {
    way.place.emplace_back(drawn[at].head<2>());
    way.velocity.emplace_back(drawn[at].segment<2>(2));
  }
  return way;
}

std::vector<bool> strange_clicks(std::span<const Click> clicks, std::optional<double> rest, double over,
                                 const SmootherOptions& options) {
  std::vector<bool> strange(clicks.size(), false);
  std::vector<Click> kept(clicks.begin(), clicks.end());
  std::vector<std::size_t> which(clicks.size());
  for (std::size_t i = 0; i < which.size(); ++i) which[i] = i;
  while (kept.size() > 2) {
    const Smoother smoother(kept, rest, {}, options);
    const std::vector<double>& sizes = smoother.deletion_sizes();
    std::size_t worst = kept.size();
    double greatest = over;
    for (std::size_t i = 0; i < kept.size(); ++i) {
      if (std::isfinite(sizes[i]) && sizes[i] > greatest) {
        greatest = sizes[i];
        worst = i;
      }
    }
    if (worst == kept.size()) break;
    strange[which[worst]] = true;
    kept.erase(kept.begin() + static_cast<std::ptrdiff_t>(worst));
    which.erase(which.begin() + static_cast<std::ptrdiff_t>(worst));
  }
  return strange;
}

Offset fit_offset(std::span<const TwiceSeen> men, double error, const SmootherOptions& options) {
  if (!(error > 0) || !std::isfinite(error)) throw InputError("error is " + shown(error) + "; accepted: s, above 0");
  std::vector<Click> clicks;
  const auto fit = [&](double seconds) {
    double sum = -seconds * seconds / (2 * error * error);
    for (const TwiceSeen& man : men) {
      clicks.assign(man.first.begin(), man.first.end());
      for (Click click : man.second) {
        click.time += seconds;
        clicks.push_back(click);
      }
      if (!clicks.empty()) sum += Smoother(clicks, man.rest, {}, options).log_likelihood();
    }
    return sum;
  };
  constexpr double golden = 0.6180339887498949, settled = 1e-4;  // s
  double low = -4 * error, high = 4 * error;
  double left = high - golden * (high - low), right = low + golden * (high - low);
  double at_left = fit(left), at_right = fit(right);
  while (high - low > settled) {
    if (at_left > at_right) {
      high = right;
      right = left;
      at_right = at_left;
      at_left = fit(left = high - golden * (high - low));
    } else {
      low = left;
      left = right;
      at_left = at_right;
      at_right = fit(right = low + golden * (high - low));
    }
  }
  const double best = (low + high) / 2, step = error / 4;
  const double bend = (2 * fit(best) - fit(best - step) - fit(best + step)) / (step * step);
  return {best, std::min(error, bend > 0 ? 1 / std::sqrt(bend) : error)};
}

}  // namespace shortedge
