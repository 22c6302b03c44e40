#include "study/simulated.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <string>

#include "base/error.hpp"

namespace shortedge {

namespace {

constexpr double of_depth = 7.0;                    // yd, the drop a ThrowPlan's time is for
constexpr double least_throw = 0.5;                 // s
constexpr double quick_top = 1.05, full_top = 1.7;  // s: of a three- and a five-step drop
constexpr double early = 1.2;                       // s
constexpr std::size_t part_draws = 64;              // draws a thread takes at a time
constexpr std::uint64_t most_draws = 1'000'000'000;

/// When things first happened before the throw, infinite for never; and peaks, NaN for none.
struct Firsts {
  double arrival = infinity, pressure = infinity, hurried = infinity, hips = infinity;
  double cutoff = nan, exposure = nan;

  void add(const Firsts& other) {
    arrival = std::min(arrival, other.arrival);
    pressure = std::min(pressure, other.pressure);
    hurried = std::min(hurried, other.hurried);
    hips = std::min(hips, other.hips);
    cutoff = std::fmax(cutoff, other.cutoff);
    exposure = std::fmax(exposure, other.exposure);
  }
  std::array<bool, 5> happened() const {
    return {arrival < infinity, pressure < infinity, hurried < infinity, hips < infinity, hips <= early};
  }
};

struct RepFirsts {
  Firsts play;
  std::array<Firsts, most_men> men;
};

RepFirsts firsts(const RepRecord& record, const Formation& formation) {
  RepFirsts all;
  const double thrown = record.throw_time;
  for (std::size_t i = 0; i < formation.protectors.size(); ++i) {
    const ProtectorRecord& of = record.protectors[i];
    Firsts& man = all.men[i];
    if (of.hips <= thrown) man.hips = of.hips;
    if (formation.protectors[i].man != no_man && formation.protectors[i].job != Job::chip) man.cutoff = of.peak_cutoff;
    man.exposure = of.peak_exposure;
    all.play.add(man);
  }
  for (std::size_t j = 0; j < formation.rushers.size(); ++j) {
    const RusherRecord& of = record.rushers[j];
    Firsts rush;
    if (of.arrival <= thrown) rush.arrival = rush.pressure = of.arrival;
    if (of.pressure <= thrown) rush.pressure = of.pressure;
    rush.hurried = std::fmin(rush.pressure, of.hurried);
    all.play.add(rush);
    if (of.had_by != no_man) all.men[static_cast<std::size_t>(of.had_by)].add(rush);
  }
  return all;
}

void count(const Firsts& of, Outcomes& outcomes) {
  const auto [arrived, pressure, hurried, hips, hips_early] = of.happened();
  outcomes.arrived += arrived;
  outcomes.pressure += pressure;
  outcomes.hurried += hurried;
  outcomes.hips += hips;
  outcomes.hips_early += hips_early;
  if (arrived) outcomes.arrival_time.add(of.arrival);
  if (hips) outcomes.hips_time.add(of.hips);
  if (!std::isnan(of.cutoff)) outcomes.cutoff.add(of.cutoff);
  if (!std::isnan(of.exposure)) outcomes.exposure.add(of.exposure);
}

void check(const char* what, double value, double least, double most, const char* unit) {
  if (value >= least && value <= most) return;
  throw InputError(std::string(what) + " is " + shown(value) + " " + unit + "; accepted: " + shown(least) + " to " +
                   shown(most));
}

void validate(const Case& of, const Draws& draws) {
  of.formation.validate();
  of.assumptions.validate();
  of.throws.validate();
  if (draws.count < 1 || draws.count > most_draws) {
    throw InputError("draws is " + std::to_string(draws.count) + "; accepted: 1 to " + std::to_string(most_draws));
  }
}

/// One side of a study on one thread.
class Side {
 public:
  Side(const Case& of, const Draws& draws)
      : of_(of),
        seed_(draws.seed),
        drop_(of.formation, of.assumptions, of.depth),
        simulator_(of.formation, of.assumptions, drop_, draws.step) {}

  /// Draws `first` to before `end`, at most as many as run side by side; they stand until the next run.
  std::span<const RepFirsts> run(std::uint64_t first, std::uint64_t end) {
    trials_.clear();
    for (std::uint64_t number = first; number < end; ++number) {
      const Draw drawn = draw(of_.formation, of_.assumptions, seed_, number);
      trials_.push_back({drawn, of_.throws.at(of_.depth, drop_.top_time(), drawn.passer)});
    }
    firsts_.clear();
    for (const RepRecord& record : simulator_.run(trials_, 0)) firsts_.push_back(firsts(record, of_.formation));
    return firsts_;
  }

 private:
  const Case& of_;
  std::uint64_t seed_;
  PasserDrop drop_;
  RepSimulator simulator_;
  std::vector<Trial> trials_;
  std::vector<RepFirsts> firsts_;
};

std::size_t parts_of(const Draws& draws) {
  return static_cast<std::size_t>((draws.count + part_draws - 1) / part_draws);
}

/// One a thread that has work.
std::vector<Side> sides_of(const Case& of, const Draws& draws, unsigned threads) {
  std::vector<Side> sides;
  const std::size_t working = std::min<std::size_t>(threads_wanted(threads), parts_of(draws));
  for (std::size_t worker = 0; worker < working; ++worker) sides.emplace_back(of, draws);
  return sides;
}

/// Calls work(worker, first, end) for all draws, as many at a time as run side by side.
template <class Work>
bool each_draw(const Draws& draws, unsigned threads, const Progress& progress, Work&& work) {
  const auto all = static_cast<std::size_t>(draws.count);
  return in_parts(parts_of(draws), threads, all, progress, [&](std::size_t worker, std::size_t part, const auto& tick) {
    const std::size_t last = std::min(all, (part + 1) * part_draws);
    for (std::size_t n = part * part_draws; n < last; n += RepSimulator::side_by_side) {
      const std::size_t end = std::min(last, n + RepSimulator::side_by_side);
      work(worker, n, end);
      for (std::size_t done = n; done < end; ++done) {
        if (!tick()) return;
      }
    }
  });
}

}  // namespace

void ThrowPlan::validate() const {
  check("throw", time, least_throw, 10, "s");
  check("throw_sd", spread, 0, 2, "s");
  check("throw_per_yard", per_yard, -1, 1, "s/yd");
  check("hold", hold, 0, 5, "s");
  check("hold_sd", hold_spread, 0, 1, "of its logarithm");
  check("second_read", second_read, 0, 1, "of draws");
  check("second_takes", second_takes, 0, 5, "s");
}

double ThrowPlan::at(double depth, double top_time, const PasserDraw& draw) const {
  if (!clock) return std::max(least_throw, time + per_yard * (depth - of_depth) + spread * draw.throw_off);
  const double held = hold * std::exp(hold_spread * draw.throw_off);
  // Always is always; a share of them is of drops that leave the time for it.
  const double leaves = std::clamp((top_time - quick_top) / (full_top - quick_top), 0.0, 1.0);
  const bool reads = draw.second_read < (second_read < 1 ? second_read * leaves : 1.0);
  return std::max(least_throw, top_time + held + (reads ? second_takes : 0.0));
}

void Counts::add(double value) {
  const double place = std::max(0.0, (value - least_) / width_);
  const auto end = static_cast<double>(bins_.size());
  if (place <= end) {
    ++bins_[static_cast<std::size_t>(std::min(place, end - 1))];
  } else {
    ++above_;
  }
}

void Counts::add(const Counts& other) {
  for (std::size_t i = 0; i < bins_.size(); ++i) bins_[i] += other.bins_[i];
  above_ += other.above_;
}

std::uint64_t Counts::count() const { return std::accumulate(bins_.begin(), bins_.end(), above_); }

double Counts::quantile(double q) const {
  const double wanted = q * static_cast<double>(count());
  double below = 0;
  for (std::size_t i = 0; i < bins_.size(); ++i) {
    const auto here = static_cast<double>(bins_[i]);
    if (here > 0 && below + here >= wanted) return least_ + width_ * (static_cast<double>(i) + (wanted - below) / here);
    below += here;
  }
  return above_ > 0 ? infinity : nan;
}

void Outcomes::add(const Outcomes& other) {
  arrived += other.arrived;
  pressure += other.pressure;
  hurried += other.hurried;
  hips += other.hips;
  hips_early += other.hips_early;
  hips_time.add(other.hips_time);
  arrival_time.add(other.arrival_time);
  cutoff.add(other.cutoff);
  exposure.add(other.exposure);
}

std::optional<DepthResult> study_depth(const Case& of, const Draws& draws, unsigned threads, const Progress& progress) {
  validate(of, draws);
  DepthResult result;
  result.depth = of.depth;
  result.top_time = PasserDrop(of.formation, of.assumptions, of.depth).top_time();
  result.protectors.resize(of.formation.protectors.size());
  std::vector<Side> sides = sides_of(of, draws, threads);
  std::vector<DepthResult> results(sides.size(), result);
  const bool finished =
      each_draw(draws, threads, progress, [&](std::size_t worker, std::uint64_t first, std::uint64_t end) {
        DepthResult& into = results[worker];
        for (const RepFirsts& rep : sides[worker].run(first, end)) {
          ++into.draws;
          count(rep.play, into.play);
          for (std::size_t i = 0; i < into.protectors.size(); ++i) count(rep.men[i], into.protectors[i]);
        }
      });
  if (!finished) return std::nullopt;
  for (const DepthResult& part : results) {
    result.draws += part.draws;
    result.play.add(part.play);
    for (std::size_t i = 0; i < part.protectors.size(); ++i) result.protectors[i].add(part.protectors[i]);
  }
  return result;
}

std::optional<Pairing> study_pair(const Case& first, const Case& second, const Draws& draws, unsigned threads,
                                  const Progress& progress) {
  validate(first, draws);
  validate(second, draws);
  std::vector<Side> one = sides_of(first, draws, threads), other = sides_of(second, draws, threads);
  std::vector<Pairing> pairings(one.size(), Pairing{});
  const bool finished =
      each_draw(draws, threads, progress, [&](std::size_t worker, std::uint64_t from, std::uint64_t end) {
        const auto ones = one[worker].run(from, end), others = other[worker].run(from, end);
        for (std::size_t n = 0; n < ones.size(); ++n) {
          const auto a = ones[n].play.happened(), b = others[n].play.happened();
          for (std::size_t outcome = 0; outcome < a.size(); ++outcome)
            ++pairings[worker][outcome][a[outcome] + 2u * b[outcome]];
        }
      });
  if (!finished) return std::nullopt;
  Pairing all{};
  for (const Pairing& part : pairings) {
    for (std::size_t i = 0; i < all.size(); ++i) {
      for (std::size_t k = 0; k < all[i].size(); ++k) all[i][k] += part[i][k];
    }
  }
  return all;
}

}  // namespace shortedge
