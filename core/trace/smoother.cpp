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

constexpr double same_time = 1e-9;         // s
constexpr double shortest_stretch = 0.04;  // s: shorter ones move nobody
constexpr double least_scale = 0.01, most_scale = 1e4;
constexpr double prior_place = 100, prior_speed = 10, prior_acceleration = 10;

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
  for (const auto& [name, value] :
       {std::pair("jerk", jerk), std::pair("start_jerk", start_jerk), std::pair("rest_speed", rest_speed),
        std::pair("rest_acceleration", rest_acceleration)}) {
    if (!(value > 0) || !std::isfinite(value))
      throw InputError(std::string(name) + " is " + shown(value) + "; accepted: above 0");
  }
  if (!(tail > 0)) throw InputError("tail is " + shown(tail) + "; accepted: above 0");
  if (!(start >= 0) || !std::isfinite(start)) throw InputError("start is " + shown(start) + "; accepted: 0 and up");
}

std::size_t Smoother::node_at(double time) const {
  const auto found = std::lower_bound(nodes_.begin(), nodes_.end(), time - same_time,
                                      [](const Node& node, double at) { return node.time < at; });
  return static_cast<std::size_t>(found - nodes_.begin());
}

Smoother::Step Smoother::step_from(std::size_t node, bool scaled) const {
  const double from = nodes_[node].time, dt = nodes_[node + 1].time - from, d2 = dt * dt, d3 = d2 * dt;
  const double since = rest_ ? from - *rest_ : -1;
  const bool starts = since > -same_time && since < start_seconds - same_time;
  const double jerk = starts ? options_.start_jerk : options_.jerk;
  Eigen::Matrix3d by, noise;
  by << 1, dt, d2 / 2, 0, 1, dt, 0, 0, 1;
  noise << d3 * d2 / 20, d2 * d2 / 8, d3 / 6, d2 * d2 / 8, d3 / 3, d2 / 2, d3 / 6, d2 / 2, dt;
  noise *= jerk;
  if (std::abs(since) <= same_time) {
    const Eigen::Vector3d jump = options_.start * by.col(2);
    noise += jump * jump.transpose();
  }
  if (scaled && !scales_.empty()) {
    const auto stretch = std::upper_bound(stretches_.begin(), stretches_.end(), from + same_time);
    if (stretch != stretches_.begin()) noise *= scales_[static_cast<std::size_t>(stretch - stretches_.begin()) - 1];
  }
  Step out{Covariance6::Zero(), Covariance6::Zero()};
  for (Eigen::Index i = 0; i < 3; ++i) {
    for (Eigen::Index j = 0; j < 3; ++j) {
      out.by(2 * i, 2 * j) = out.by(2 * i + 1, 2 * j + 1) = by(i, j);
      out.noise(2 * i, 2 * j) = out.noise(2 * i + 1, 2 * j + 1) = noise(i, j);
    }
  }
  return out;
}

void Smoother::filter(std::span<const Click> clicks, std::optional<double> rest, std::span<const double> times) {
  std::vector<double> all(times.begin(), times.end());
  for (const Click& click : clicks) all.push_back(click.time);
  rest_ = rest;
  if (rest) all.push_back(*rest);
  if (!std::all_of(all.begin(), all.end(), [](double time) { return std::isfinite(time); })) {
    throw InputError("times: found one that is not finite; accepted: s");
  }
  std::sort(all.begin(), all.end());
  if (rest && *rest + start_seconds < all.back()) {
    all.push_back(*rest + start_seconds);
    std::sort(all.begin(), all.end());
  }
  for (const double time : all) {
    if (nodes_.empty() || time - nodes_.back().time > same_time) nodes_.emplace_back().time = time;
  }
  std::vector<std::vector<std::size_t>> of_node(nodes_.size());
  for (std::size_t i = 0; i < clicks.size(); ++i) of_node[node_at(clicks[i].time)].push_back(i);
  const std::size_t resting = rest ? node_at(*rest) : nodes_.size();

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
      const Step on = step_from(k - 1);
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
      const double v = options_.rest_speed * options_.rest_speed,
                   a = options_.rest_acceleration * options_.rest_acceleration;
      log_likelihood_ += update<4>(node.filtered, node.filtered_covariance, 2, Eigen::Vector4d::Zero(),
                                   Eigen::Vector4d(v, v, a, a).asDiagonal().toDenseMatrix());
    }
  }
}

void Smoother::smooth_back() {
  for (std::size_t k = nodes_.size(); k-- > 0;) {
    Node& node = nodes_[k];
    if (k + 1 == nodes_.size()) {
      node.gain.setZero();
      node.smoothed = node.filtered;
      node.smoothed_covariance = node.filtered_covariance;
      continue;
    }
    const Node& next = nodes_[k + 1];
    const Step on = step_from(k);
    node.gain = next.predicted_covariance.ldlt().solve(on.by * node.filtered_covariance).transpose();
    node.smoothed = node.filtered + node.gain * (next.smoothed - next.predicted);
    node.smoothed_covariance = node.filtered_covariance + node.gain *
                                                              (next.smoothed_covariance - next.predicted_covariance) *
                                                              node.gain.transpose();
    make_symmetric(node.smoothed_covariance);
  }
}

void Smoother::find_scales(std::span<const Click> clicks, std::optional<double> rest) {
  Smoother bare;
  bare.options_ = options_;
  for (int repetition = 0; repetition < scale_steps; ++repetition) {
    bare.nodes_.clear();
    bare.filter(clicks, rest, {});
    bare.smooth_back();
    const std::size_t stretches = bare.nodes_.size() - 1;
    if (bare.scales_.empty()) {
      bare.scales_.assign(stretches, 1.0);
      for (std::size_t k = 0; k < stretches; ++k) bare.stretches_.push_back(bare.nodes_[k].time);
    }
    std::vector<double> scales(stretches, 1.0);
    for (std::size_t k = 0; k < stretches; ++k) {
      const Node &node = bare.nodes_[k], &next = bare.nodes_[k + 1];
      if (next.time - node.time < shortest_stretch) continue;
      const Step on = bare.step_from(k, false);
      const Motion6 moved = next.smoothed - on.by * node.smoothed;
      const Covariance6 through = on.by * node.gain * next.smoothed_covariance;
      const Covariance6 square = moved * moved.transpose() + next.smoothed_covariance - through - through.transpose() +
                                 on.by * node.smoothed_covariance * on.by.transpose();
      double size = 0;
      for (Eigen::Index axis = 0; axis < 2; ++axis) {
        Eigen::Matrix3d own, of_axis;
        for (Eigen::Index i = 0; i < 3; ++i) {
          for (Eigen::Index j = 0; j < 3; ++j) {
            own(i, j) = on.noise(2 * i + axis, 2 * j + axis);
            of_axis(i, j) = square(2 * i + axis, 2 * j + axis);
          }
        }
        size += own.ldlt().solve(of_axis).trace();
      }
      scales[k] = std::clamp((options_.tail + size) / (options_.tail + 6), least_scale, most_scale);
    }
    bare.scales_ = scales;
  }
  scales_ = std::move(bare.scales_);
  stretches_ = std::move(bare.stretches_);
}

double Smoother::log_likelihood(std::span<const Click> clicks, std::optional<double> rest,
                                const SmootherOptions& options) {
  options.validate();
  check(clicks);
  Smoother smoother;
  smoother.options_ = options;
  smoother.filter(clicks, rest, {});
  return smoother.log_likelihood_;
}

Smoother::Smoother(std::span<const Click> clicks, std::optional<double> rest, std::span<const double> times,
                   const SmootherOptions& options)
    : options_(options) {
  options.validate();
  check(clicks);
  if (std::isfinite(options.tail)) find_scales(clicks, rest);
  filter(clicks, rest, times);
  for (const double time : times) wanted_.push_back(node_at(time));
  smooth_back();
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
      const Step on = step_from(k);
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
      if (!clicks.empty()) sum += Smoother::log_likelihood(clicks, man.rest, options);
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
