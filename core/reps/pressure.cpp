#include "reps/pressure.hpp"

#include <algorithm>
#include <array>

#include "base/tolerances.hpp"
#include "play/pressing.hpp"
#include "pocket/pocket.hpp"
#include "rush/closest.hpp"

namespace shortedge {

namespace {

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
    const std::size_t end = std::min(span.thrown, play.men[rusher].counts_to);
    for (std::size_t frame = play.men[rusher].counts_from; frame < end; ++frame) {
      if (play.time[frame] < span.pressure_from - tolerance::time) continue;
      if (!presses(frame)) {
        since = nan;
        counted = false;
        continue;
      }
      if (std::isnan(since)) since = play.time[frame];
      if (!counted && pressing::long_enough(play.time[frame] - since)) {
        begins.push_back(since);
        counted = true;
      }
    }
  };
  const auto apart = [&](std::size_t frame) { return Point(motion.at(frame, rusher) - motion.at(frame, play.passer)); };
  find([&](std::size_t frame) { return apart(frame).norm() <= pressing::near; });
  find([&](std::size_t frame) {
    const Closest closest =
        closest_approach(apart(frame), motion.speed(frame, rusher) - motion.speed(frame, play.passer));
    return pressing::in_time(closest.in) && closest.distance <= pressing::soon_range;
  });
  std::sort(begins.begin(), begins.end());
  return begins;
}

Push interior_push(const Play& play, const Motion& motion, std::span<const double> depth, const Rules& rules,
                   const RepSpan& span) {
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
