#include "trace/smoother.hpp"

#include <doctest/doctest.h>

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <cmath>

#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;
using scenes::cases;
using scenes::Random;

namespace {

/// The same model as a Gaussian process: the joint covariance of the states at all times, from the prior of the first
/// on, conditioned on everything at once.
struct Dense {
  std::vector<double> times;
  Eigen::VectorXd mean;
  Eigen::MatrixXd covariance;

  Dense(const std::vector<Click>& clicks, std::optional<double> rest, std::vector<double> wanted,
        const SmootherOptions& options = {}) {
    times = std::move(wanted);
    for (const Click& click : clicks) times.push_back(click.time);
    if (rest) times.push_back(*rest);
    std::sort(times.begin(), times.end());
    times.erase(std::unique(times.begin(), times.end()), times.end());
    const auto n = static_cast<Eigen::Index>(times.size());
    const auto first =
        std::min_element(clicks.begin(), clicks.end(), [](const Click& a, const Click& b) { return a.time < b.time; });
    // cov(state(s), state(t)) for s <= t is var(state(s)) F(t - s)'; var by integration of F(r) w w' F(r)'.
    const auto flow = [](double t) {
      Eigen::Matrix3d f;
      f << 1, t, t * t / 2, 0, 1, t, 0, 0, 1;
      return f;
    };
    // White jerk from one moment to another, seen at t. Gauss-Legendre of three points is exact for this quartic.
    const auto white = [&](double from, double to, double t) {
      const double at[] = {0.5 - std::sqrt(0.15), 0.5, 0.5 + std::sqrt(0.15)},
                   weight[] = {5.0 / 18, 8.0 / 18, 5.0 / 18};
      Eigen::Matrix3d sum = Eigen::Matrix3d::Zero();
      for (int i = 0; i < 3 && to > from; ++i) {
        const Eigen::Vector3d push = flow(t - from - (to - from) * at[i]).col(2);
        sum += (to - from) * weight[i] * push * push.transpose();
      }
      return sum;
    };
    const auto variance = [&](double t) {
      Eigen::Matrix3d sum = flow(t) * Eigen::Vector3d(1e4, 1e2, 1e2).asDiagonal() * flow(t).transpose();
      const double snap = rest ? *rest - times[0] : 1e3, started = snap + 0.6;
      sum += options.jerk * (white(0, std::min(snap, t), t) + white(started, t, t));
      sum += options.start_jerk * white(snap, std::min(started, t), t);
      if (t > snap) sum += options.start * options.start * flow(t - snap).col(2) * flow(t - snap).col(2).transpose();
      return sum;
    };
    Eigen::MatrixXd prior = Eigen::MatrixXd::Zero(6 * n, 6 * n);
    Eigen::VectorXd start = Eigen::VectorXd::Zero(6 * n);
    for (Eigen::Index i = 0; i < n; ++i) {
      start.segment<2>(6 * i) = first->place;
      for (Eigen::Index j = i; j < n; ++j) {
        const double s = times[static_cast<std::size_t>(i)] - times[0],
                     t = times[static_cast<std::size_t>(j)] - times[0];
        const Eigen::Matrix3d one = variance(s) * flow(t - s).transpose();
        for (Eigen::Index a = 0; a < 3; ++a) {
          for (Eigen::Index b = 0; b < 3; ++b) {
            for (Eigen::Index axis = 0; axis < 2; ++axis) {
              prior(6 * i + 2 * a + axis, 6 * j + 2 * b + axis) = one(a, b);
              prior(6 * j + 2 * b + axis, 6 * i + 2 * a + axis) = one(a, b);
            }
          }
        }
      }
    }
    const Eigen::Index rows = 2 * static_cast<Eigen::Index>(clicks.size()) + (rest ? 4 : 0);
    Eigen::MatrixXd look = Eigen::MatrixXd::Zero(rows, 6 * n), error = Eigen::MatrixXd::Zero(rows, rows);
    Eigen::VectorXd seen = Eigen::VectorXd::Zero(rows);
    for (std::size_t c = 0; c < clicks.size(); ++c) {
      const auto row = 2 * static_cast<Eigen::Index>(c);
      look.block<2, 2>(row, 6 * index(clicks[c].time)).setIdentity();
      error.block<2, 2>(row, row) = clicks[c].covariance;
      seen.segment<2>(row) = clicks[c].place;
    }
    if (rest) {
      look.block<4, 4>(rows - 4, 6 * index(*rest) + 2).setIdentity();
      error.bottomRightCorner<4, 4>().diagonal() << 0.01, 0.01, 0.09, 0.09;
    }
    const Eigen::MatrixXd spread = look * prior * look.transpose() + error;
    const Eigen::MatrixXd gain = spread.ldlt().solve(look * prior).transpose();
    mean = start + gain * (seen - look * start);
    covariance = prior - gain * look * prior;
  }
  Eigen::Index index(double time) const { return std::lower_bound(times.begin(), times.end(), time) - times.begin(); }
};

std::vector<Click> some_clicks(Random& random, int many) {
  std::vector<Click> clicks;
  for (int i = 0; i < many; ++i) {
    Eigen::Matrix2d root;
    root << random.number(0.1, 0.4), 0, random.number(-0.3, 0.3), random.number(0.1, 0.4);
    clicks.push_back(
        {std::round(random.number(-0.5, 3) * 1000) / 1000, Point(50, 25) + random.point(3), root * root.transpose()});
  }
  return clicks;
}

}  // namespace

TEST_CASE("the smoother is the Gaussian process's posterior") {
  Random random(31);
  for (int i = 0; i < cases(20, 200); ++i) {
    std::vector<Click> clicks = some_clicks(random, random.whole(1, 9));
    if (random.whole(0, 1))
      clicks.push_back({clicks[0].time, clicks[0].place + Point(0.1, 0), clicks[0].covariance});  // two views
    const std::optional<double> rest = random.whole(0, 1) ? std::optional<double>(0.0) : std::nullopt;
    const std::vector<double> times{-0.3, 0, 0.25, 0.7, 1.9, 3.4};
    SmootherOptions options;
    if (i % 2 == 1) options = {.jerk = 150, .start_jerk = 1200, .start = 5};
    const Smoother smoother(clicks, rest, times, options);
    const Dense dense(clicks, rest, times, options);
    for (std::size_t k = 0; k < times.size(); ++k) {
      const Eigen::Index at = 6 * dense.index(times[k]);
      const Motion6 off = smoother.states()[k].mean - dense.mean.segment<6>(at);
      CHECK(off.head<2>().norm() < 1e-5);
      CHECK(off.norm() < 1e-4);
      const Covariance6 one = smoother.states()[k].covariance, other = dense.covariance.block<6, 6>(at, at);
      CHECK((one - other).norm() <= 1e-5 * (1 + other.norm()));
    }
  }
}

TEST_CASE("deletion sizes are of the click against the rest without it") {
  Random random(32);
  for (int i = 0; i < 20; ++i) {
    const std::vector<Click> clicks = some_clicks(random, 7);
    const Smoother whole(clicks, 0.0, {});
    for (std::size_t c = 0; c < clicks.size(); ++c) {
      std::vector<Click> rest = clicks;
      rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(c));
      const double times[] = {clicks[c].time};
      const Smoother without(rest, 0.0, times);
      const Eigen::Matrix2d spread = clicks[c].covariance + without.states()[0].covariance.topLeftCorner<2, 2>();
      const Point off = clicks[c].place - without.states()[0].place();
      // The prior is centred on the first click: taking that one out moves it, by nothing at 100 yd.
      CHECK(whole.deletion_sizes()[c] == Approx(std::sqrt(off.dot(spread.inverse() * off))).epsilon(1e-3));
    }
  }
}

TEST_CASE("draws have the posterior's mean and covariance, and go together from time to time") {
  Random random(33);
  std::normal_distribution<double> normal;
  const std::vector<Click> clicks = some_clicks(random, 6);
  const std::vector<double> times{0.2, 0.5, 2.2};
  const SmootherOptions options{.jerk = 200, .start_jerk = 900, .start = 6};
  Smoother smoother(clicks, 0.0, times, options);
  smoother.prepare_draws();
  const Dense dense(clicks, 0.0, times, options);
  constexpr int many = 20000;
  Eigen::VectorXd wanted(12), sum = Eigen::VectorXd::Zero(12);
  Eigen::MatrixXd squares = Eigen::MatrixXd::Zero(12, 12), covariance(12, 12);
  for (Eigen::Index a = 0; a < 3; ++a) {
    const Eigen::Index at = 6 * dense.index(times[static_cast<std::size_t>(a)]);
    wanted.segment<4>(4 * a) = dense.mean.segment<4>(at);
    for (Eigen::Index b = 0; b < 3; ++b) {
      covariance.block<4, 4>(4 * a, 4 * b) =
          dense.covariance.block<4, 4>(at, 6 * dense.index(times[static_cast<std::size_t>(b)]));
    }
  }
  std::vector<double> numbers(smoother.numbers());
  for (int i = 0; i < many; ++i) {
    for (double& number : numbers) number = normal(random.engine);
    const SampledWay way = smoother.draw(numbers);
    Eigen::VectorXd one(12);
    for (Eigen::Index k = 0; k < 3; ++k) {
      one.segment<2>(4 * k) = way.place[static_cast<std::size_t>(k)];
      one.segment<2>(4 * k + 2) = way.velocity[static_cast<std::size_t>(k)];
    }
    sum += (one - wanted) / many;
    squares += (one - wanted) * (one - wanted).transpose() / many;
  }
  for (Eigen::Index k = 0; k < 12; ++k) {
    CHECK(std::abs(sum[k]) < 5 * std::sqrt(covariance(k, k) / many));
    for (Eigen::Index j = 0; j < 12; ++j) {
      CHECK(std::abs(squares(k, j) - covariance(k, j)) < 0.05 * std::sqrt(covariance(k, k) * covariance(j, j)));
    }
  }
}

TEST_CASE("another man's click is named, and no other") {
  Random random(34);
  std::normal_distribution<double> normal;
  int named = 0, falsely = 0, clicked = 0;
  for (int i = 0; i < cases(200, 2000); ++i) {
    std::vector<Click> clicks;
    const Point speed = random.point(4);
    for (double t = 0; t < 3.01; t += 0.3) {
      clicks.push_back(
          {t, Point(50, 25) + t * t / (t + 0.5) * speed + 0.2 * Point(normal(random.engine), normal(random.engine)),
           0.04 * Eigen::Matrix2d::Identity()});
    }
    const auto other = static_cast<std::size_t>(random.whole(1, 9));
    clicks[other].place += 3 * Point(std::cos(i), std::sin(i));
    const std::vector<bool> strange = strange_clicks(clicks, 0.0);
    for (std::size_t c = 0; c < clicks.size(); ++c) {
      if (c == other) named += strange[c];
      if (c != other) falsely += strange[c];
    }
    clicked += static_cast<int>(clicks.size());
  }
  CHECK(named == cases(200, 2000));
  CHECK(falsely <= 0.005 * clicked);
}

TEST_CASE("a man who bursts is followed, one who stands does not wander") {
  // A burst is followed, and a man who stands wanders less.
  std::normal_distribution<double> normal;
  Random random(36);
  const SmootherOptions heavy{.jerk = 100, .start_jerk = 100, .start = 1, .tail = 4};
  SmootherOptions plain = heavy;
  plain.tail = infinity;
  double off_heavy = 0, off_plain = 0, wide = 0, wide_plain = 0, still_heavy = 0, still_plain = 0;
  double burst = 0, quiet = 0;
  for (int i = 0; i < cases(60, 600); ++i) {
    // Stands until 1.2 s, is then two yards further within 0.15 s, and stands again.
    const auto at = [](double t) { return Point(50 + 2 * std::clamp((t - 1.2) / 0.15, 0.0, 1.0), 25); };
    std::vector<Click> clicks;
    for (double t = -0.3; t < 3; t += 0.3) {
      const Point off = 0.1 * Point(normal(random.engine), normal(random.engine));
      clicks.push_back({t, at(t) + off, 0.01 * Eigen::Matrix2d::Identity()});
    }
    const std::vector<double> times{0.6, 1.5, 2.4};
    const Smoother one(clicks, 0.0, times, heavy), other(clicks, 0.0, times, plain);
    off_heavy += (one.states()[1].place() - at(1.5)).squaredNorm();
    off_plain += (other.states()[1].place() - at(1.5)).squaredNorm();
    wide += one.states()[1].covariance(0, 0);
    still_heavy += one.states()[0].covariance(0, 0);
    still_plain += other.states()[0].covariance(0, 0);
    wide_plain += other.states()[1].covariance(0, 0);
    // The stretch of the burst, or one beside it, has the greatest scale of all.
    const std::vector<double>& scales = one.scales();
    const auto greatest = std::max_element(scales.begin(), scales.end()) - scales.begin();
    CHECK(greatest >= 5);
    CHECK(greatest <= 7);
    burst += scales[static_cast<std::size_t>(greatest)];
    quiet += scales.back();
    CHECK(other.scales().empty());
  }
  CHECK(off_heavy < 0.5 * off_plain);
  CHECK(still_heavy < still_plain);
  CHECK(wide > wide_plain);
  CHECK(burst > 4 * quiet);
}

TEST_CASE("scales are the fixed point of their formula") {
  // One stretch alone, along one axis, no rest: written out densely. Two clicks at 0 and 0.5; w = state(0.5) - F
  // state(0).
  Random random(37);
  for (int i = 0; i < 20; ++i) {
    const double tail = random.number(2, 8), jerk = random.number(50, 400), dt = random.number(0.2, 0.8);
    const Point there = random.point(9);
    const std::vector<Click> clicks{{0, {0, 0}, 0.02 * Eigen::Matrix2d::Identity()},
                                    {dt, there, 0.03 * Eigen::Matrix2d::Identity()}};
    const Smoother smoother(clicks, std::nullopt, {}, {.jerk = jerk, .tail = tail});
    REQUIRE(smoother.scales().size() == 1);
    Eigen::Matrix3d flow, noise;
    flow << 1, dt, dt * dt / 2, 0, 1, dt, 0, 0, 1;
    noise << std::pow(dt, 5) / 20, std::pow(dt, 4) / 8, std::pow(dt, 3) / 6, std::pow(dt, 4) / 8, std::pow(dt, 3) / 3,
        dt * dt / 2, std::pow(dt, 3) / 6, dt * dt / 2, dt;
    noise *= jerk;
    double scale = 1;
    for (int step = 0; step < 12; ++step) {
      // Unknowns s (3) and w (3); seen: s_0 and (F s + w)_0.
      Eigen::Matrix<double, 6, 6> prior = Eigen::Matrix<double, 6, 6>::Zero();
      prior.topLeftCorner<3, 3>() = Eigen::Vector3d(1e4, 100, 100).asDiagonal();
      prior.bottomRightCorner<3, 3>() = scale * noise;
      Eigen::Matrix<double, 2, 6> look = Eigen::Matrix<double, 2, 6>::Zero();
      look(0, 0) = 1;
      look.block<1, 3>(1, 0) = flow.row(0);
      look(1, 3) = 1;
      const Eigen::Matrix2d spread =
          look * prior * look.transpose() + Eigen::Matrix2d(Eigen::Vector2d(0.02, 0.03).asDiagonal());
      const Eigen::Matrix<double, 6, 2> gain = prior * look.transpose() * spread.inverse();
      const Eigen::Matrix3d left = (prior - gain * look * prior).bottomRightCorner<3, 3>();
      double size = 0;
      for (Eigen::Index axis = 0; axis < 2; ++axis) {
        const Eigen::Vector3d moved = (gain * Eigen::Vector2d(0, there[axis])).tail<3>();
        size += (noise.inverse() * (moved * moved.transpose() + left)).trace();
      }
      scale = (tail + size) / (tail + 6);
    }
    CHECK(smoother.scales()[0] == Approx(scale).epsilon(1e-4));
  }
}

TEST_CASE("two films' clocks are fitted") {
  Random random(35);
  std::normal_distribution<double> normal;
  std::vector<TwiceSeen> men;
  for (int man = 0; man < 12; ++man) {
    const Point speed = random.point(5), start = random.point(5);
    TwiceSeen seen;
    seen.rest = 0;
    for (double t = 0; t < 3; t += 0.3) {
      const auto at = [&](double time) -> Point {
        return start + (time > 0 ? time * time / (time + 0.4) : 0.0) * speed;
      };
      const auto click = [&](double time) {
        return Click{time, at(time) + 0.1 * Point(normal(random.engine), normal(random.engine)),
                     0.01 * Eigen::Matrix2d::Identity()};
      };
      seen.first.push_back(click(t));
      seen.second.push_back(click(t + 0.15));
      seen.second.back().time -= 0.04;  // its clock is late by this
    }
    men.push_back(seen);
  }
  const Offset offset = fit_offset(men, 0.05);
  CHECK(std::abs(offset.seconds - 0.04) < 4 * offset.error);
  CHECK(offset.error < 0.01);
  CHECK(offset.error > 0.0005);
  CHECK(std::abs(fit_offset({}, 0.05).seconds) < 1e-3);
}

TEST_CASE("what cannot be smoothed is refused") {
  const std::vector<Click> good{{0, {1, 1}, Eigen::Matrix2d::Identity()}};
  CHECK(scenes::refusal([&] { Smoother({}, {}, {}); }).find("found none") != std::string::npos);
  std::vector<Click> bad = good;
  bad[0].covariance(0, 0) = -1;
  CHECK(scenes::refusal([&] { Smoother(bad, {}, {}); }).find("positive definite") != std::string::npos);
  bad = good;
  bad[0].time = scenes::nan;
  CHECK(scenes::refusal([&] { Smoother(bad, {}, {}); }).find("finite") != std::string::npos);
  CHECK(scenes::refusal([&] { Smoother(good, {}, {}, {.jerk = 0}); }) == "jerk is 0; accepted: above 0");
  CHECK(scenes::refusal([&] { Smoother(good, {}, {}, {.start_jerk = -1}); }) == "start_jerk is -1; accepted: above 0");
  CHECK(scenes::refusal([&] { Smoother(good, {}, {}, {.tail = 0}); }) == "tail is 0; accepted: above 0");
  CHECK(scenes::refusal([&] { Smoother(good, {}, {}, {.start = -1}); }) == "start is -1; accepted: 0 and up");
  CHECK(std::isinf(Smoother(good, {}, {}).deletion_sizes()[0]));
  CHECK(strange_clicks(good, {}) == std::vector<bool>{false});
}
