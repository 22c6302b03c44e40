#include "play/drop.hpp"

#include <algorithm>

#include "base/tolerances.hpp"

namespace shortedge {

namespace {
constexpr double near_deepest = 0.3;   // yd
constexpr double dropping_speed = 1.5;  // yd/s
constexpr double topped_speed = 0.5;    // yd/s
}  // namespace

double top_of_drop(const Play& play, const Motion& motion) {
  double top = nan, deepest = -infinity, speed_before = nan;
  bool dropped = false;
  for (std::size_t frame = 0; frame < play.frames(); ++frame) {
    if (play.time[frame] > play.throw_time + tolerance::time) break;  // never with no throw: NaN compares false
    const Point& at = motion.at(frame, play.passer);
    const double speed = motion.speed(frame, play.passer).y();
    if (!present(at) || std::isnan(speed)) continue;
    deepest = std::max(deepest, at.y());
    if (dropped && speed < topped_speed && speed_before >= topped_speed && at.y() >= deepest - near_deepest) {
      top = play.time[frame];
    }
    dropped = dropped || speed > dropping_speed;
    speed_before = speed;
  }
  return top;
}

}  // namespace shortedge
