#pragma once
/// A play's clock and a man's place at its frames.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "geometry/point.hpp"

namespace shortedge {

/// The union of all samples' times, sorted, in which times within 5 ms of a frame's first are that frame. Takes any
/// order; `times` is used up.
std::vector<double> frame_times(std::vector<double> times);

/// How a man's place at a frame is made of his samples: at `before` when they are the same, else between the two.
struct Mix {
  std::int32_t before = -1, after = -1;  ///< -1: he is absent at this frame
  double share = 0;                      ///< of `after`

  bool absent() const noexcept { return before < 0; }
  bool filled() const noexcept { return before != after; }
};

/// For each frame the man's own sample of that frame (the first, if he has more), else a line between two samples at
/// most 0.5 s apart; never beyond his samples. Both sorted by time. It depends on the times alone: men stamped alike
/// share one.
std::vector<Mix> mix_samples(std::span<const double> frames, std::span<const double> samples);

/// The mixed value; NaN when absent.
inline Point mixed(const Mix& mix, std::span<const Point> samples) {
  if (mix.absent()) return absent();
  const Point& before = samples[static_cast<std::size_t>(mix.before)];
  if (!mix.filled()) return before;
  return before + mix.share * (samples[static_cast<std::size_t>(mix.after)] - before);
}

}  // namespace shortedge
