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

/// The two men of the wall straight upfield of the passer.
struct Front {
  double depth = nan;  // NaN when the frame is not ok
  std::array<std::size_t, 2> men{};
};

std::vector<Front> fronts(const Play& play, const Motion& motion, const Rules& rules, std::size_t frames) {
  std::vector<Front> all(frames);
  Scene scene;
  Wall wall;
  Pocket pocket;
  double first_u = nan;
  for (std::size_t frame = 0; frame < frames; ++frame) {
    look(play, motion, frame, scene);
    if (!present(scene.passer)) continue;
    if (std::isnan(first_u)) first_u = scene.passer.x();
    find_wall(scene, rules, wall);
    shape_pocket(scene, wall, rules.cushion, pocket);
    if (status_of(scene, wall, pocket, first_u) != Status::ok) continue;
    const Exit exit = leave_pocket(pocket, scene.passer, Point(0, -1));
    all[frame].depth = exit.distance;
    for (const std::size_t end : {std::size_t{0}, std::size_t{1}}) {
      const std::ptrdiff_t corner = pocket.corners[(exit.edge + end) % pocket.corners.size()];
      // An edge with a corner behind has one man: he counts for both.
      const std::ptrdiff_t other = pocket.corners[(exit.edge + 1 - end) % pocket.corners.size()];
      all[frame].men[end] = wall.men[static_cast<std::size_t>(corner >= 0 ? corner : other)].standing.man;
    }
  }
  return all;
}

}  // namespace

std::vector<double> pressures(const Play& play, const Motion& motion, const RepSpan& span, std::size_t rusher) {
  std::vector<double> begins;
  const auto find = [&](auto&& presses) {
    double since = nan;
    bool counted = false;
    for (std::size_t frame = play.men[rusher].counts_from; frame < span.thrown; ++frame) {
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

Push interior_push(const Play& play, const Motion& motion, const Rules& rules, const RepSpan& span) {
  const std::vector<Front> all = fronts(play, motion, rules, span.frames);
  Push push;
  for (std::size_t begin = 0, end = 0; begin < all.size(); ++begin) {
    while (end < all.size() && play.time[end] - play.time[begin] < push_seconds - tolerance::time) ++end;
    if (end == all.size()) break;
    const double rate = (all[begin].depth - all[end].depth) / (play.time[end] - play.time[begin]);
    if (std::isnan(rate)) continue;
    if (std::isnan(push.rate)) push.rate = 0;
    if (rate <= push.rate) continue;
    push.rate = rate;
    push.time = play.time[begin];
    const auto lost = [&](std::size_t man) { return motion.at(end, man).y() - motion.at(begin, man).y(); };
    const auto [a, b] = all[end].men;
    push.man = lost(b) > lost(a) || std::isnan(lost(a)) ? b : a;  // not there half a second before: the other
  }
  return push;
}

}  // namespace shortedge
