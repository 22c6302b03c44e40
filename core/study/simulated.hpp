#pragma once
/// Drop studies by simulation: many draws of one formation at one depth, counted; or the same draws of two, paired.
///
/// Memory does not grow with the draws: shares are counts, quantiles come from counts in narrow bins. Counts are whole
/// numbers, so the result is the same for any number of threads. All of it is conditional on the assumptions
/// (simulate/assumptions.hpp).

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "base/parallel.hpp"
#include "simulate/rep.hpp"

namespace shortedge {

/// When the ball is to be thrown. By the clock: `hold` after the drop tops (lognormal), in a share of draws
/// `second_takes` later, for a second read. A ball from a three-step drop is out in rhythm: of drops that top by 1.05
/// s none has a second read, of those from 1.7 s on (five steps) all of the share, between them part (assumption; a
/// share of 1 is every draw). Else normal, `time` for a drop of seven yards and `per_yard` more for each yard more (0:
/// fixed). Not before half a second. What lies behind them: an assumption each, so a study shows all.
struct ThrowPlan {
  bool clock = true;
  double hold = 0.65, hold_spread = 0.15;            ///< s, of its logarithm
  double second_read = 0.30, second_takes = 0.5;     ///< share, s
  double time = 2.7, spread = 0.3, per_yard = 0.12;  ///< s after the snap, s, s/yd

  static ThrowPlan by_time(double time, double spread, double per_yard) {
    ThrowPlan plan;
    plan.clock = false, plan.time = time, plan.spread = spread, plan.per_yard = per_yard;
    return plan;
  }
  /// Throws InputError for a time outside 0.5 to 10 s, a spread outside 0 to 2 s, a rate outside -1 to 1 s/yd, a hold
  /// or second read outside 0 to 5 s, a share outside 0 to 1.
  void validate() const;
  double at(double depth, double top_time, const PasserDraw& draw) const;
};

/// Counts of a number in bins of equal width. What lies below is in the first bin; of what lies above the last it is
/// known only that it does.
class Counts {
 public:
  Counts(double least, double most, std::size_t bins)
      : least_(least), width_((most - least) / static_cast<double>(bins)), bins_(bins) {}
  void add(double value);
  void add(const Counts& other);
  std::uint64_t count() const;
  /// The value below which a share q of them lies, by a straight line inside the bin; infinite when it lies above all
  /// bins, NaN of none.
  double quantile(double q) const;

 private:
  double least_, width_;
  std::vector<std::uint64_t> bins_;
  std::uint64_t above_ = 0;
};

/// What came of it before the throw.
struct Outcomes {
  std::uint64_t arrived = 0, pressure = 0, hurried = 0;  ///< draws; pressure as reps measure it; hurried: one of these,
                                                         ///< or the ball thrown early
  std::uint64_t hips = 0, hips_early = 0;                ///< draws; hips_early: opened by 1.2 s
  Counts hips_time{0, 12, 1200}, arrival_time{0, 12, 1200};  ///< s, of those draws
  Counts cutoff{0, 10, 5000}, exposure{0, 1, 500};           ///< peaks; of a play the greatest of its men's

  void add(const Outcomes& other);
};

struct DepthResult {
  double depth = nan, top_time = nan;
  std::uint64_t draws = 0;
  Outcomes play;
  std::vector<Outcomes> protectors;  ///< arrivals and pressures are charged to the man who had the rusher
};

/// One side of a study.
struct Case {
  const Formation& formation;
  const Assumptions& assumptions;
  ThrowPlan throws;
  double depth;  ///< yd
};

struct Draws {
  std::uint64_t seed = 1, count = 2000;
  double step = RepSimulator::default_step;  ///< s
};

/// Nothing when `progress` stopped it. Throws InputError for what any of it refuses.
std::optional<DepthResult> study_depth(const Case& of, const Draws& draws, unsigned threads = 0,
                                       const Progress& progress = {});

/// The same draws on both sides: of each outcome in how many draws neither, only the first, only the second and both
/// had it. In the order arrived, pressure, hurried, hips, hips_early.
using Pairing = std::array<std::array<std::uint64_t, 4>, 5>;
std::optional<Pairing> study_pair(const Case& first, const Case& second, const Draws& draws, unsigned threads = 0,
                                  const Progress& progress = {});

}  // namespace shortedge
