#include "measure/carried.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/point.hpp"

namespace shortedge {

namespace {

constexpr double always = infinity;
constexpr std::array figures{
#include "measure/carried_table.inc"
};

constexpr std::array unheld{
    UnheldFigure{"reps", "peak_cutoff_time", 0},  UnheldFigure{"reps", "peak_outside_time", 0.1},
    UnheldFigure{"reps", "peak_film_time", 0.1},  UnheldFigure{"reps", "peak_inside_time", 0.15},
    UnheldFigure{"reps", "contact_time", 0.15},   UnheldFigure{"reps", "contact_film_time", 0.15},
    UnheldFigure{"reps", "island_seconds", 0.15}, UnheldFigure{"reps", "ground_given", always, 0.1},
};

CarriedEnd end_at(const CarriedFigure& figure, double sigma) {
  const auto above = std::lower_bound(carried_sigmas.begin(), carried_sigmas.end(), sigma);
  if (above == carried_sigmas.begin()) return figure.ends.front();
  if (above == carried_sigmas.end()) return figure.ends.back();
  const auto at = static_cast<std::size_t>(above - carried_sigmas.begin());
  const CarriedEnd &before = figure.ends[at - 1], &after = figure.ends[at];
  const double share = (sigma - carried_sigmas[at - 1]) / (carried_sigmas[at] - carried_sigmas[at - 1]);
  return {before.low + share * (after.low - before.low), before.high + share * (after.high - before.high)};
}

}  // namespace

std::span<const CarriedFigure> carried_figures() { return figures; }
std::span<const UnheldFigure> unheld_figures() { return unheld; }

CarriedBand::CarriedBand(std::string_view table, std::string_view column, const BandNoise& noise) {
  if (!noise.carried) return;
  none_ = std::any_of(unheld.begin(), unheld.end(), [&](const UnheldFigure& one) {
    return one.table == table && one.column == column &&
           (noise.sigma > one.most_sigma || (noise.sigma > 0 && noise.sigma < one.least_sigma));
  });
  const auto found = std::find_if(figures.begin(), figures.end(),
                                  [&](const CarriedFigure& one) { return one.table == table && one.column == column; });
  if (found == figures.end()) return;
  figure_ = &*found;
  none_ = noise.sigma > found->most_sigma || (found->of_speed && noise.recorded_velocities);
  end_ = end_at(*found, noise.sigma);
}

void CarriedBand::carry(double recorded, double& low, double& high) const {
  if (none_) {
    low = high = nan;
    return;
  }
  if (!figure_) return;
  const double width = high - low;
  if (!(width > 0) || !std::isfinite(width) || !std::isfinite(recorded)) return;
  low = std::clamp(recorded + end_.low * width, figure_->least, figure_->greatest);
  high = std::clamp(recorded + end_.high * width, figure_->least, figure_->greatest);
}

}  // namespace shortedge
