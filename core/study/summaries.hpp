#pragma once
/// What a game's coordinates come to: figures of how protectors and rushers moved, of recorded plays and of simulated
/// ones alike. They are what assumptions are fitted by (bindings/FIT.md).
///
/// A pair is a protector and the rusher he had at the snap. Its features are of places alone, as they were sampled:
/// where the two are at stated times, their distance, when they met, how fast each ran before and after, who gave
/// ground, who got past. A game's summary is the mean and the standard deviation of each feature over its pairs, apart
/// for men on the edge and inside. A feature that a pair has not (they never met; they stood that near from the first
/// sample, so there is nothing before; the play was over) is left out of both, and a summary of fewer than two values
/// is NaN.
///
/// Simulated plays are made to be seen as the recording was: from the places at the snap, where the drop topped when
/// it did and to the depth it did, to the recorded throw, with noise of position (measure/noise.hpp) at the recording's
/// own times. A recorded place at the snap is itself wrong by some noise: the men stand where they may truly have
/// stood, and their noise goes on from what the recorded place is off that, so at the snap both see the same.

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/parallel.hpp"
#include "simulate/formation.hpp"
#include "simulate/rep.hpp"

namespace shortedge {

inline constexpr double summary_end = 3.0;    ///< s after the snap: nothing later counts
inline constexpr std::size_t alike_reps = 4;  ///< games simulated with each set of assumptions

/// SHORTEDGE_PAIR_FEATURES lists them: X(name, unit, what it is). Back: away from the line, to the passer's side;
/// outward: away from the middle on the protector's side; met: in the first sample nearer than 1.3 yd (as a time,
/// between samples in proportion). A velocity is that from so many samples before to as many after as come nearest to
/// 0.15 s (ties up, to 1e-9; at an end from there).
#define SHORTEDGE_PAIR_FEATURES(X)                                                                           \
  X(meets, "s", "when they met")                                                                             \
  X(nearest, "yd", "their least distance")                                                                   \
  X(apart, "yd", "their mean distance once they have met, while within 1.6 yd")                              \
  X(closes, "yd/s", "the rusher's speed toward the protector when they met")                                 \
  X(rush_before, "yd/s", "the rusher's greatest speed before they met")                                      \
  X(rush_after, "yd/s", "the rusher's mean speed from 0.2 to 0.7 s after they met")                          \
  X(rush_most, "yd/s", "the rusher's greatest speed")                                                        \
  X(rush_starts, "s", "when the rusher was 0.3 yd from where he lined up")                                   \
  X(rush_one, "s", "when the rusher was 1 yd from where he lined up")                                        \
  X(rush_three, "s", "when the rusher was 3 yd from where he lined up")                                      \
  X(block_before, "yd/s", "the protector's greatest speed before they met")                                  \
  X(block_after, "yd/s", "the protector's greatest speed after they met")                                    \
  X(block_out, "yd/s", "the protector's greatest speed outward")                                             \
  X(block_back, "yd/s", "the protector's greatest speed straight back before they met")                      \
  X(block_fast, "", "share of the time the protector was faster than 3.3 yd/s")                              \
  X(block_starts, "s", "when the protector was 0.2 yd from where he lined up")                               \
  X(block_set, "yd", "how deep the protector had gone when they met")                                        \
  X(gives, "yd/s", "how fast the protector went back in the 0.8 s after they met")                           \
  X(slips, "yd/s", "mean speed round one another, either way, in the 0.8 s after they met")                  \
  X(slips_out, "yd/s", "mean speed round one another, outward less inward, in the 0.8 s after they met")     \
  X(past, "", "share of the time since they met with the rusher 0.2 yd nearer to the passer")                \
  X(gets_past, "s", "when the rusher, once they had met, was first 0.2 yd nearer to the passer")             \
  X(to_passer, "yd", "the rusher's least distance from the passer")                                          \
  X(off_line, "yd", "the protector's mean distance from the rusher's line to the passer")                    \
  X(off_line_out, "yd", "how far outside the rusher's line to the passer the protector was before they met") \
  X(inside_most, "yd", "the farthest inward the rusher came from where he lined up")                         \
  X(outside_most, "yd", "the farthest outward the rusher came from where he lined up")

/// Times (s after the snap) at which places and distances are read.
inline constexpr std::array along_times{0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.2, 1.5, 1.8, 2.1, 2.5};
inline constexpr std::array across_times{0.5, 0.8, 1.2, 1.6, 2.1};
inline constexpr std::array apart_times{0.4, 0.6, 0.8, 1.0, 1.2, 1.5, 1.8, 2.1, 2.5};

#define SHORTEDGE_COUNT(name, unit, says) +1
inline constexpr std::size_t told_features = 0 SHORTEDGE_PAIR_FEATURES(SHORTEDGE_COUNT);
#undef SHORTEDGE_COUNT
inline constexpr std::size_t pair_features =
    told_features + 2 * along_times.size() + 2 * across_times.size() + apart_times.size();
inline constexpr std::size_t pair_kinds = 2;  ///< on the edge, inside
inline constexpr std::size_t summary_size = pair_kinds * pair_features * 2;

/// In words, in order: "edge: when they met (s), mean", "edge: when they met (s), spread", ...
std::vector<std::string> summary_names();

struct SeenPair {
  std::size_t protector = 0, rusher = 0;  ///< indices into the formation's
  bool inside = false;
  int side = 1;  ///< outward: -1 left, +1 right
};

/// A recorded play, as far as it is given to who simulates it.
struct SeenPlay {
  Formation formation;        ///< as at the snap
  double depth = nan;         ///< yd, of the drop
  double top_time = nan;      ///< s; NaN: as assumed
  double until = nan;         ///< s, the throw
  std::vector<double> times;  ///< s after the snap, increasing, two or more: its samples up to then
  std::vector<SeenPair> pairs;
  /// Where the men may have stood at the snap: any number of draws one after another, each of the passer, the
  /// protectors, the rushers, yd in the play frame. None: as the formation has them, seen with noise as at any time.
  std::vector<Point> spots;
};

/// The features of one pair, NaN for those it has not; places at as many times, two or more, yd in the play frame.
/// Throws InputError for fewer, and for places of another number.
std::array<double, pair_features> features_of(std::span<const double> times, std::span<const Point> passer,
                                              std::span<const Point> protector, std::span<const Point> rusher,
                                              int side);

/// Means and standard deviations over pairs.
class Summary {
 public:
  void add(const std::array<double, pair_features>& features, bool inside);
  std::array<double, summary_size> figures() const;

 private:
  struct Sums {
    double count = 0, mean = 0, squares = 0;  // by Welford's method
  };
  std::array<Sums, pair_kinds * pair_features> sums_{};
};

/// The summary of recorded plays: places[play] at times[frame] of the passer, the protectors, the rushers, frame by
/// frame, as Film has them. Throws InputError for another number of plays or places, for fewer than two samples, and
/// for a pair of men who are not there.
std::array<double, summary_size> summary_of(std::span<const SeenPlay> plays,
                                            std::span<const std::vector<Point>> places);

/// For each set of assumptions alike_reps games of these plays, simulated: summaries one after another. They depend on
/// the seed alone, not on threads. Nothing when `progress` (in plays) stopped it. sigma: yd per axis, 0 or more. Throws
/// InputError for a formation, an assumption or a depth that the simulator refuses, for times that do not increase, for
/// a play without an end, for spots of another number of men, and as `summary_of` does.
std::optional<std::vector<double>> simulated_summaries(std::span<const SeenPlay> plays,
                                                       std::span<const Assumptions> sets, double sigma,
                                                       std::uint64_t seed, unsigned threads = 0,
                                                       const Progress& progress = {});

}  // namespace shortedge
