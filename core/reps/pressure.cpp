#include "reps/pressure.hpp"

#include <algorithm>
#include <array>

#include "base/tolerances.hpp"
#include "pocket/pocket.hpp"
#include "rush/closest.hpp"

namespace shortedge {

namespace {

constexpr double near_passer = 2.0;       // yd
constexpr double soon = 0.5;              // s
constexpr double soon_range = 1.0;        // yd
constexpr double long_enough = 0.1;       // s
constexpr double push_seconds = 0.5;

/// The two men of the wall straight upfield of the passer in an ok frame.
std::array<std::size_t, 2> front_men(const Play& play, const Motion& motion, const Rules& rules, std::size_t frame) {
  Scene scene;
  Wall wall;
  Pocket pocket;
  look(play, motion, frame, scene);
  find_wall(scene, rules, wall);
  shape_pocket(scene, wall, rules.cushion, pocket);
  const Exit exit = leave_pocket(pocket, scene.passer, Point(0, -1));
  std::array<std::size_t, 2> men{};
  for (const std::size_t end : {std::size_t{0}, std::size_t{1}}) {
    const std::ptrdiff_t corner = pocket.corners[(exit.edge + end) % pocket.corners.size()];
    // An edge with a corner behind has one man: he counts for both.
    const std::ptrdiff_t other = pocket.corners[(exit.edge + 1 - end) % pocket.corners.size()];
    men[end] = wall.men[static_cast<std::size_t>(corner >= 0 ? corner : other)].standing.man;
  }
  return men;
}

}  // namespace

std::vector<double> pressures(const Play& play, const Motion& motion, const RepSpan& span, std::size_t rusher) {
  std::vector<double> begins;
  const auto find = [&](auto&& presses) {
    double since = nan;
    bool counted = false;
    for (std::size_t frame = play.men[rusher].counts_from; frame < std::min(span.thrown, play.men[rusher].counts_to); ++frame) {
      if (play.time[frame] < span.pressure_from - tolerance::time) continue;
      if (!presses(frame)) {
        since = nan;
        counted = false;
        continue;
      }
      if (std::isnan(since)) since = play.time[frame];
      if (!counted && play.time[frame] - since >= long_enough - tolerance::time) {
        begins.push_back(since);
        counted = true;
      }
    }
  };
  const auto apart = [&](std::size_t frame) { return Point(motion.at(frame, rusher) - motion.at(frame, play.passer)); };
  find([&](std::size_t frame) { return apart(frame).norm() <= near_passer; });
  find([&](std::size_t frame) {
    const Closest closest =
        closest_approach(apart(frame), motion.speed(frame, rusher) - motion.speed(frame, play.passer));
    return closest.in <= soon + tolerance::time && closest.distance <= soon_range;
  });
  std::sort(begins.begin(), begins.end());
  return begins;
}

Push interior_push(const Play& play, const Motion& motion, const FramesTable& frames, const Rules& rules,
                   const RepSpan& span) {
  const std::vector<double>& depth = frames.pocket_depth;  // NaN when the frame is not ok
  Push push;
  std::size_t from = 0, to = 0;
  for (std::size_t begin = 0, end = 0; begin < span.frames; ++begin) {
    while (end < span.frames && play.time[end] - play.time[begin] < push_seconds - tolerance::time) ++end;
    if (end == span.frames) break;
    const double rate = (depth[begin] - depth[end]) / (play.time[end] - play.time[begin]);
    if (std::isnan(rate)) continue;
    if (std::isnan(push.rate)) push.rate = 0;
    if (rate <= push.rate) continue;
    push.rate = rate;
    push.time = play.time[begin];
    from = begin;
    to = end;
  }
  if (!(push.rate > 0)) return push;
  const auto lost = [&](std::size_t man) { return motion.at(to, man).y() - motion.at(from, man).y(); };
  const auto [a, b] = front_men(play, motion, rules, to);
  push.man = lost(b) > lost(a) || std::isnan(lost(a)) ? b : a;  // not there half a second before: the other
  return push;
}

}  // namespace shortedge
