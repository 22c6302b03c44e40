#pragma once
/// Bands of figures that noise pushes one way.
///
/// The draws lay noise on places that have it already, so a figure that noise can only raise (the greatest of many
/// frames, a size near 0) is raised twice, and the band of the draws lies to one side of what is true. For these
/// figures the band is [r + A w, r + B w], r the recorded figure, w the width of the band of the draws, A and B the
/// 3 % and 97 % quantiles of (true - r) / w on made plays whose true places are known, learnt once a figure and
/// sigma (carried_table.inc, which tests/band_table.py makes) and linear in sigma between; below the least sigma
/// and above the greatest as there. Clamped at the figure's bounds; a band of no width, an infinite and a missing
/// one stay. All other figures keep the band of the draws. What was tried and failed beside it: the basic
/// bootstrap, a shift by the draws' bias, a posterior, extrapolation in sigma.
///
/// Some have no band, since none holds: closest_in and foot_speed with more than 0.1 yd of noise, closest with more
/// than 0.15, peak_cutoff_ratio and nearest_rusher_min with more than 0.2, ground_given with less than 0.1; where
/// velocities are recorded, the figures here that are made of speeds: the table is of fitted ones; and times that jump
/// from one moment to another (unheld_figures). Noise that is the tracks' own was not learnt on: its bands are the
/// draws'.

#include <array>
#include <optional>
#include <span>
#include <string_view>

namespace shortedge {

inline constexpr std::array carried_sigmas{0.05, 0.08, 0.12, 0.18, 0.25};  ///< yd per axis, of the table

struct CarriedEnd {
  double low, high;  ///< A, B
};

struct CarriedFigure {
  std::string_view table, column;
  double least, greatest;                              ///< bounds of the figure
  bool of_speed;                                       ///< made of velocities
  double most_sigma;                                   ///< yd, with more noise it has no band
  std::array<CarriedEnd, carried_sigmas.size()> ends;  ///< by carried_sigmas
};

std::span<const CarriedFigure> carried_figures();

/// A figure of the draws' band that has none with more noise than this, yd, nor with less than that, but for none.
struct UnheldFigure {
  std::string_view table, column;
  double most_sigma;
  double least_sigma = 0;
};

/// When a peak was jumps with noise to another of nearly the same height, and a contact to the next frame within meet.
/// ground_given, a greatest value counted from the contact, is held too seldom where the noise is small (83 % on one
/// script at 0.08 yd): the draws' band is then narrower than the jump.
std::span<const UnheldFigure> unheld_figures();

/// What bands are made of beside the draws.
struct BandNoise {
  double sigma = 0;                  ///< yd per axis
  bool recorded_velocities = false;  ///< not fitted to the places
  bool carried = true;               ///< false: all bands are the draws', as when the table is learnt
};

/// How one figure's bands are made from those of the draws.
class CarriedBand {
 public:
  CarriedBand(std::string_view table, std::string_view column, const BandNoise& noise);
  /// Changes the band of the draws of a recorded figure.
  void carry(double recorded, double& low, double& high) const;

 private:
  const CarriedFigure* figure_ = nullptr;
  bool none_ = false;
  CarriedEnd end_{0, 0};
};

}  // namespace shortedge
