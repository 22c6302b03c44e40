#include "tracking/clock.hpp"

#include <algorithm>

#include "base/tolerances.hpp"

namespace shortedge {

namespace {
constexpr double frame_span = tolerance::same_frame + tolerance::time;
}

std::vector<double> frame_times(std::vector<double> times) {
  std::sort(times.begin(), times.end());
  std::size_t frames = 0;
  for (const double time : times) {
    if (frames == 0 || time - times[frames - 1] > frame_span) times[frames++] = time;
  }
  times.resize(frames);
  return times;
}

std::vector<Mix> mix_samples(std::span<const double> frames, std::span<const double> samples) {
  std::vector<Mix> mixes(frames.size());
  std::size_t next = 0;  // first sample not before the frame
  for (std::size_t frame = 0; frame < frames.size(); ++frame) {
    const double time = frames[frame];
    while (next < samples.size() && samples[next] < time) ++next;
    if (next == samples.size()) break;
    if (samples[next] - time <= frame_span) {
      mixes[frame] = {static_cast<std::int32_t>(next), static_cast<std::int32_t>(next), 0};
    } else if (next > 0 && samples[next] - samples[next - 1] <= tolerance::longest_gap + tolerance::time) {
      mixes[frame] = {static_cast<std::int32_t>(next - 1), static_cast<std::int32_t>(next),
                      (time - samples[next - 1]) / (samples[next] - samples[next - 1])};
    }
  }
  return mixes;
}

}  // namespace shortedge
