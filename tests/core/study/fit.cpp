#include "study/fit.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "scenes.hpp"
#include "study/speeds.hpp"
#include "tracking/velocity.hpp"

using namespace shortedge;
using doctest::Approx;
using scenes::refusal, scenes::cases;

namespace {

const std::vector<double> a1_metres{5, 10, 15, 20, 30, 40}, a1_seconds{1.158, 1.893, 2.541, 3.149, 4.313, 5.444};

/// Position noise of a good tracking system, 0.1 m radial, in yd per axis, correlated over 0.7 s.
constexpr double noise_sd = 0.1 / 0.9144 / 1.4142135623730951;

struct Invent {
  std::mt19937_64 engine;
  std::normal_distribution<double> normal;
  explicit Invent(std::uint64_t seed) : engine(seed) {}

  double spread(double median, double share) { return median * std::exp(share * normal(engine)); }
  double gauss(double sd) { return sd * normal(engine); }
  /// A man of the spread of rushers: top speed 9.7 yd/s +- 4 %, tau 0.9 s +- 8 % (from memory, no source).
  Sprint man() { return {spread(9.7, 0.04), spread(0.9, 0.08)}; }
};

class Drift {
 public:
  Drift(Invent& invent, double sd, double step)
      : invent_(invent), sd_(sd), keep_(std::exp(-step / 0.7)), value_(invent.gauss(sd)) {}
  double next() {
    const double now = value_;
    value_ = keep_ * value_ + invent_.gauss(sd_ * std::sqrt(1 - keep_ * keep_));
    return now;
  }

 private:
  Invent& invent_;
  double sd_, keep_, value_;
};

/// A run of `seconds` s after a start about 0.22 s after the snap.
TimedRun run_of(Invent& invent, const Sprint& man, double seconds, double sd, double step = 0.1) {
  TimedRun run;
  Drift drift(invent, sd, step);
  const double start = invent.spread(0.22, 0.15), place = invent.gauss(5);
  for (double t = 0; t < start + seconds; t += step) {
    run.time.push_back(t);
    run.way.push_back(place + drift.next() + man.distance_after(std::max(0.0, t - start), 0));
  }
  return run;
}

bool holds(const Estimate& estimate, double truth) { return estimate.low <= truth && truth <= estimate.high; }

/// A play of three: a passer far back, the man, and one who meets him at `contact` s. `path` is the man's place over
/// time.
struct Filmed {
  Play play;
  Motion motion;

  template <class Path>
  Filmed(Invent& invent, Path&& path, double contact, double sd, double step, Role role) {
    Samples own;
    Drift across(invent, sd, step), along(invent, sd, step);
    for (int i = -static_cast<int>(std::lround(1 / step)); i * step < contact + 0.5; ++i) {
      own.time.push_back(i * step);
      const double u = across.next(), v = along.next();
      own.place.push_back(path(i * step) + Point(u, v));
    }
    const std::vector<Point> velocity = fit_velocity(own.time, own.place);
    play.men.resize(3);
    play.men[1].slot = role == Role::protector ? Slot::RT : Slot::none;
    play.passer = 0;
    (role == Role::rusher ? play.rushers : play.protectors) = {1};
    (role == Role::rusher ? play.protectors : play.rushers) = {2};
    play.offense = play.protectors;
    play.throw_time = 20;
    motion.men = 3;
    for (std::size_t i = 0; i < own.time.size(); ++i) {
      if (own.time[i] < -1e-9) continue;
      play.time.push_back(own.time[i]);
      const Point other = own.place[i] + Point(0, own.time[i] < contact - 1e-9 ? 6 : 1);
      for (const Point& at : {Point(0, 60), own.place[i], other}) motion.place.push_back(at);
      for (const Point& speed : {Point(0, 0), velocity[i], Point(0, 0)}) motion.velocity.push_back(speed);
    }
    play.end_time = play.time.back();
  }
};

/// Runs `seconds` s round a bend of 7 yd, brakes for 0.3 s and is met.
std::optional<TimedRun> filmed_run(Invent& invent, const Sprint& man, double seconds, double sd, double step) {
  const double start = invent.spread(0.22, 0.15), brakes = start + seconds;
  const auto path = [&](double t) {
    const double left = std::clamp(t - brakes, 0.0, 0.4);
    double way = man.distance_after(std::clamp(t - start, 0.0, seconds), 0);
    way += man.speed_after(seconds, 0) * (left - left * left / 0.8 / 2);
    return Point(6 - 7 * (1 - std::cos(way / 7)), -1 + 7 * std::sin(way / 7));
  };
  const Filmed filmed(invent, path, brakes + 0.3, sd, step, Role::rusher);
  return free_run(filmed.play, filmed.motion, Rules(), 1);
}

/// Sets back and outward by the simulator's driving law: his acceleration is (wanted - v) / 0.15, at most (8.9 - v) /
/// 0.9. What he wants is his kick speed, and `braking`, down to half of it, over the last third of a second.
std::optional<TimedRun> filmed_set(Invent& invent, double kick, double seconds, bool braking, double sd, double step) {
  const double start = invent.spread(0.15, 0.15), fine = 1e-3;
  std::vector<double> way{0};
  for (double t = 0, v = 0; t < seconds + 2; t += fine) {
    const double late = braking ? std::clamp((t - seconds + 0.33) / 0.33, 0.0, 1.0) : 0;
    v += fine * std::min((kick * (1 - 0.5 * late) - v) / 0.15, (8.9 - v) / 0.9);
    way.push_back(way.back() + fine * v);
  }
  const auto path = [&](double t) -> Point {
    return Point(2.4, 0.9) + way[static_cast<std::size_t>(std::max(0.0, t - start) / fine)] * Point(0.5, 0.8660254);
  };
  const Filmed filmed(invent, path, start + seconds, sd, step, Role::protector);
  return set_run(filmed.play, filmed.motion, Rules(), 1);
}

}  // namespace

TEST_CASE("published fits of split times") {
  // Documentation of a general sprint-profile package by M. Jovanovic (release 1.1.4, Zenodo 4296844): fits by least
  // squares in time, standard errors and residuals as printed there; six decimals recomputed.
  const SplitFit first = fit_splits(a1_metres, a1_seconds);
  CHECK(std::abs(first.vmax.value - 8.591143) <= 5.1e-7);
  CHECK(std::abs(first.tau.value - 0.811329) <= 5.1e-7);
  CHECK(std::abs(first.vmax_error - 0.1225) <= 5.1e-5);
  CHECK(std::abs(first.tau_error - 0.0458) <= 5.1e-5);
  const std::vector<double> residuals{-.053, -.004, .020, .027, .014, -.022};
  for (std::size_t i = 0; i < residuals.size(); ++i) CHECK(std::abs(first.residuals[i] - residuals[i]) <= 5.1e-4);
  // Student's t for 4 degrees of freedom, 0.975: 2.776 (any table).
  CHECK((first.vmax.high - first.vmax.low) / first.vmax_error == Approx(2 * 2.776).epsilon(2e-4));
  CHECK((first.tau.high - first.tau.low) / first.tau_error == Approx(2 * 2.776).epsilon(2e-4));

  std::vector<double> later = a1_seconds;
  for (double& time : later) time += 0.3;
  const SplitFit second = fit_splits(a1_metres, later);
  CHECK(std::abs(second.vmax.value - 9.127769) <= 5.1e-7);
  CHECK(std::abs(second.tau.value - 1.377624) <= 5.1e-7);

  const SplitFit third =
      fit_splits(std::vector<double>{5, 10, 20, 30, 35}, std::vector<double>{1.21, 1.99, 3.38, 4.71, 5.30});
  CHECK(std::abs(third.vmax.value - 7.553185) <= 5.1e-7);
  CHECK(std::abs(third.tau.value - 0.706663) <= 5.1e-7);
  CHECK(std::abs(third.vmax.value / third.tau.value - 10.68852) <= 1e-5);  // printed as greatest acceleration
}

TEST_CASE("where the first published fit has half its acceleration and 95 % of its speed") {
  // Printed as 1.3 and 14 m; computed 1.34623 and 14.25867 from the fit's four printed digits, which leave 8e-5 of
  // either.
  const SplitFit fit = fit_splits(a1_metres, a1_seconds);
  const Sprint sprint{fit.vmax.value, fit.tau.value};
  CHECK(std::abs(sprint.distance_after(sprint.time_to_speed(sprint.vmax / 2, 0), 0) - 1.34623) <= 8e-5 * 1.34623);
  CHECK(std::abs(sprint.distance_after(sprint.time_to_speed(0.95 * sprint.vmax, 0), 0) - 14.25867) <= 8e-5 * 14.25867);
}

TEST_CASE("splits of the closed form, and two splits of a dash") {
  // Computed from the closed form to 4 decimals: vmax 8, tau 0.8 and vmax 9, tau 1.
  const SplitFit eight = fit_splits(std::vector<double>{1, 2, 5, 9.144, 10, 20, 36.576, 40},
                                    std::vector<double>{.4931, .7280, 1.2592, 1.8653, 1.9829, 3.2869, 5.3710, 5.7994});
  CHECK(eight.vmax.value == Approx(8).epsilon(1e-4));
  CHECK(eight.tau.value == Approx(0.8).epsilon(2e-4));
  const SplitFit nine =
      fit_splits(std::vector<double>{5, 10, 20, 40}, std::vector<double>{1.2766, 1.9719, 3.1807, 5.4401});
  CHECK(nine.vmax.value == Approx(9).epsilon(1e-4));
  CHECK(nine.tau.value == Approx(1).epsilon(2e-4));
  // 10 and 40 yd in metres; published targets 1.80 and 5.3, 1.85 and 5.3; solved 7.96, 0.71 and 8.14, 0.81.
  const std::vector<double> dash{9.144, 36.576};
  const SplitFit tackle = fit_splits(dash, std::vector<double>{1.80, 5.3});
  CHECK(std::abs(tackle.vmax.value - 7.96) <= 5.1e-3);
  CHECK(std::abs(tackle.tau.value - 0.71) <= 5.1e-3);
  CHECK(std::isnan(tackle.vmax_error));
  CHECK(std::isnan(tackle.tau.low));
  const SplitFit guard = fit_splits(dash, std::vector<double>{1.85, 5.3});
  CHECK(std::abs(guard.vmax.value - 8.14) <= 5.1e-3);
  CHECK(std::abs(guard.tau.value - 0.81) <= 5.1e-3);
}

TEST_CASE("splits that make no sense are refused") {
  using V = std::vector<double>;
  CHECK(refusal([] { fit_splits(V{5}, V{1}); }) == "splits: found 1; accepted: two or more");
  CHECK(refusal([] { fit_splits(V{}, V{}); }) == "splits: found 0; accepted: two or more");
  CHECK(refusal([] { fit_splits(V{5, 10}, V{1}); }) == "splits: found 2 distances and 1 times; accepted: as many");
  CHECK(refusal([] { fit_splits(V{5, 5}, V{1, 2}); }) ==
        "splits, distance: found 5 after 5; accepted: finite, positive and increasing");
  CHECK(refusal([] { fit_splits(V{5, 10}, V{-1, 2}); }) ==
        "splits, time: found -1 after 0; accepted: finite, positive and increasing");
  CHECK(refusal([] { fit_splits(V{5, 10}, V{scenes::nan, 2}); }).find("splits, time: found nan") == 0);
  const char* no_sprint = "splits: no sprint fits them";
  CHECK(refusal([] { fit_splits(V{5, 10, 20}, V{1, 2, 4}); }).find(no_sprint) == 0);  // one speed throughout
  CHECK(refusal([] { fit_splits(V{1, 4, 9, 16}, V{1, 2, 3, 4}); }).find(no_sprint) ==
        0);  // one acceleration throughout
  CHECK(refusal([] { fit_splits(V{1, 2, 9}, V{1, 1.9, 2}); }).find(no_sprint) == 0);
}

TEST_CASE("runs without noise give their sprint back") {
  Invent invent(11);
  for (int man = 0; man < cases(40, 400); ++man) {
    const Sprint truth{invent.spread(9.7, 0.1), invent.spread(0.9, 0.2)};
    std::vector<TimedRun> runs;
    for (int i = 0; i < 8; ++i) runs.push_back(run_of(invent, truth, 0.8 + 0.2 * i, 0, i % 2 ? 0.1 : 0.04));
    const RunsFit both = fit_runs(runs);
    CHECK(both.vmax.value == Approx(truth.vmax).epsilon(1e-6));
    CHECK(both.tau.value == Approx(truth.tau).epsilon(1e-6));
    CHECK(both.vmax.high - both.vmax.low < 1e-6);
    const RunsFit held = fit_runs(runs, truth.tau);
    CHECK(held.vmax.value == Approx(truth.vmax).epsilon(1e-6));
    CHECK(held.tau.value == truth.tau);
  }
}

TEST_CASE("95 % intervals hold the truth about as often as they say") {
  // Noise like a good tracking system's. The allowance below 95 % is for few runs and for chance in this many men.
  for (const auto& [runs_each, seconds] : {std::pair(8, 1.4), std::pair(20, 1.0), std::pair(30, 1.3)}) {
    Invent invent(static_cast<std::uint64_t>(runs_each));
    const int men = cases(200, 2000);
    int vmax = 0, tau = 0, held = 0;
    double bias = 0;
    for (int man = 0; man < men; ++man) {
      const Sprint truth = invent.man();
      std::vector<TimedRun> runs;
      for (int i = 0; i < runs_each; ++i)
        runs.push_back(run_of(invent, truth, seconds * invent.spread(1, 0.1), noise_sd));
      const RunsFit both = fit_runs(runs);
      vmax += holds(both.vmax, truth.vmax);
      tau += holds(both.tau, truth.tau);
      held += holds(fit_runs(runs, truth.tau).vmax, truth.vmax);
      bias += std::log(both.vmax.value / truth.vmax) / men;
    }
    MESSAGE(runs_each << " runs of " << seconds << " s: held by the interval, of " << men << " men: top speed " << vmax
                      << ", tau " << tau << ", top speed given tau " << held);
    CHECK(vmax >= 0.9 * men);
    CHECK(tau >= 0.9 * men);
    CHECK(held >= 0.9 * men);
    CHECK(vmax < men);  // an interval that always holds the truth would be too wide
    CHECK(std::abs(bias) < 0.02);
  }
}

TEST_CASE("from tracks with noise, through velocities, braking and contact") {
  for (const double step : {0.1, 0.04}) {
    Invent invent(77);
    const int men = cases(100, 1000);
    int vmax = 0, tau = 0, held = 0;
    for (int man = 0; man < men; ++man) {
      const Sprint truth = invent.man();
      std::vector<TimedRun> runs;
      for (int i = 0; i < 25; ++i) {
        if (auto run = filmed_run(invent, truth, 1.3 * invent.spread(1, 0.1), noise_sd, step)) runs.push_back(*run);
      }
      REQUIRE(runs.size() >= 20);
      const RunsFit both = fit_runs(runs);
      vmax += holds(both.vmax, truth.vmax);
      tau += holds(both.tau, truth.tau);
      held += holds(fit_runs(runs, truth.tau).vmax, truth.vmax);
    }
    MESSAGE("tracks every " << step << " s: held by the interval, of " << men << " men: top speed " << vmax << ", tau "
                            << tau << ", top speed given tau " << held);
    CHECK(vmax >= 0.85 * men);
    CHECK(tau >= 0.85 * men);
    CHECK(held >= 0.88 * men);
  }
}

TEST_CASE("a pair with a default tau gives the runs as far as they went") {
  // A man whose tau is not the default: his top speed then is not his own, but the way of his runs is.
  Invent invent(5);
  const Sprint truth{9.9, 1.1};
  std::vector<TimedRun> runs;
  for (int i = 0; i < 40; ++i) runs.push_back(run_of(invent, truth, 1.0, noise_sd));
  const RunsFit held = fit_runs(runs, default_speeds.tau);
  CHECK_FALSE(holds(held.vmax, truth.vmax));
  const Sprint pair{held.vmax.value, default_speeds.tau};
  CHECK(std::abs(pair.distance_after(1, 0) - truth.distance_after(1, 0)) < 0.1);
}

TEST_CASE("kick speed by the driving law, from tracks with noise") {
  for (const auto& [step, braking] :
       {std::pair(0.1, false), std::pair(0.1, true), std::pair(0.04, false), std::pair(0.04, true)}) {
    Invent invent(31);
    const int men = cases(100, 1000);
    int kicks = 0;
    double bias = 0;
    for (int man = 0; man < men; ++man) {
      const double truth = invent.spread(2.2, 0.1);
      std::vector<TimedRun> sets;
      for (int i = 0; i < 20; ++i) {
        if (auto set = filmed_set(invent, truth, 1.1 * invent.spread(1, 0.1), braking, noise_sd, step))
          sets.push_back(*set);
      }
      REQUIRE(sets.size() >= fewest_runs);
      const Estimate kick = fit_runs(sets, default_speeds.kick_tau).vmax;
      kicks += holds(kick, truth);
      bias += std::log(kick.value / truth) / men;
    }
    MESSAGE("sets every " << step << std::string(braking ? " s, braking" : " s") << ": held by the interval, of " << men
                          << " men: " << kicks << "; bias " << 100 * bias << " %");
    CHECK(kicks >= 0.8 * men);
    CHECK(std::abs(bias) < 0.02);
  }
}

TEST_CASE("too little to fit says so") {
  Invent invent(3);
  const Sprint man{9.7, 0.9};
  std::vector<TimedRun> runs;
  CHECK(std::isnan(fit_runs(runs).vmax.value));
  for (std::size_t i = 1; i < fewest_runs; ++i) runs.push_back(run_of(invent, man, 1.5, 0));
  CHECK(std::isnan(fit_runs(runs).vmax.value));
  CHECK(std::isnan(fit_runs(runs, 0.9).vmax.low));
  runs.push_back({{0.0}, {1.0}});  // one sample is no run
  const RunsFit fit = fit_runs(runs);
  CHECK(std::isnan(fit.vmax.value));
  CHECK(fit.start.size() == runs.size());
  // Men who stand still.
  std::vector<TimedRun> still(8, TimedRun{{0, .1, .2, .3, .4, .5, .6}, {1, 1, 1, 1, 1, 1, 1}});
  const RunsFit none = fit_runs(still);
  CHECK(std::isnan(none.vmax.value));
  CHECK(std::isnan(fit_runs(still, 0.15).vmax.value));
}

TEST_CASE("what is a free run") {
  Invent invent(9);
  const Sprint man{9.7, 0.9};
  const auto straight = [&](double t) { return Point(5, -1 + man.distance_after(std::max(0.0, t - 0.25), 0)); };
  const auto filmed = [&](auto&& path, double contact) { return Filmed(invent, path, contact, 0, 0.1, Role::rusher); };
  const auto run = [](const Filmed& made) { return free_run(made.play, made.motion, Rules(), 1); };

  const auto free = run(filmed(straight, 1.6));
  REQUIRE(free);
  CHECK(free->time.front() <= 0.3);
  CHECK(free->time.back() <= 1.6);
  CHECK(free->time.back() >= 1.3);
  CHECK(free->way.back() == Approx(straight(free->time.back()).y() - straight(free->time.front()).y()).epsilon(1e-9));

  CHECK_FALSE(run(filmed(straight, 0.4)));                                       // met at once
  CHECK_FALSE(run(filmed([](double) { return Point(5, -1); }, 1.6)));            // never moves
  CHECK_FALSE(run(filmed([](double t) { return Point(5, -8 + 6 * t); }, 1.6)));  // on the move at the snap
  Filmed gone = filmed(straight, 1.6);
  for (std::size_t frame = 0; frame < gone.play.frames(); ++frame) gone.motion.place[3 * frame + 1] = absent();
  for (Point& speed : gone.motion.velocity) speed = absent();
  CHECK_FALSE(run(gone));
  Filmed once = filmed(straight, 1.6);
  once.play.time.resize(1);
  CHECK_FALSE(run(once));

  // A square turn after 1 s ends it.
  const auto turns = [&](double t) -> Point {
    return t < 1.25 ? straight(t) : straight(1.25) - (straight(t).y() - straight(1.25).y()) * Point(1, 0);
  };
  const auto before = run(filmed(turns, 2.2));
  REQUIRE(before);
  CHECK(before->time.back() <= 1.3);
}
