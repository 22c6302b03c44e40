#include "match/help.hpp"

#include <algorithm>

#include "base/tolerances.hpp"
#include "match/duel.hpp"

namespace shortedge {

namespace {

constexpr double help_seconds = 0.2;   // s on end
constexpr double passing_speed = 5.5;  // yd/s

}  // namespace

std::optional<Help> help_of(const Play& play, const Motion& motion, double meet, std::size_t man, std::size_t rusher,
                            std::size_t first, std::size_t last) {
  const auto apart = [&](std::size_t frame) { return Point(motion.at(frame, man) - motion.at(frame, rusher)); };
  const auto met = [&](std::size_t frame) {
    return play.men[rusher].takes_part(frame) && within(motion.at(frame, man), motion.at(frame, rusher), meet);
  };
  std::optional<Help> found;
  double seconds = 0, sided = 0;  // s; on the right less on the left
  std::size_t begin = first;      // of the stretch within meet
  bool helps = false;             // somewhere in that stretch
  for (std::size_t frame = first; frame <= last; ++frame) {
    if (!met(frame)) {
      begin = frame + 1;
      helps = false;
      continue;
    }
    const double held = held_seconds(play, frame, last + 1);
    seconds += held;
    if (const Point& passer = motion.at(frame, play.passer); present(passer)) {
      const double across = cross(apart(frame), passer - motion.at(frame, rusher));
      sided += across > 0 ? held : across < 0 ? -held : 0;
    }
    std::size_t since = frame;
    while (since > begin && play.time[frame] - play.time[since] < help_seconds - tolerance::time) --since;
    const double lasted = play.time[frame] - play.time[since];
    if (lasted < help_seconds - tolerance::time) continue;
    helps = helps || (apart(frame) - apart(since)).norm() <= passing_speed * lasted;
    if (!helps) continue;
    if (!found) found = Help{begin, frame};
    found->last = frame;
  }
  if (found) {
    found->seconds = seconds;
    found->side = sided > 0 ? 1 : sided < 0 ? -1 : 0;
  }
  return found;
}

}  // namespace shortedge
