#include "play/drop.hpp"

#include <algorithm>
#include <cmath>

#include "base/tolerances.hpp"
#include "play/span.hpp"

namespace shortedge {

namespace {
constexpr double near_deepest = 0.3;                                      // yd
constexpr double dropping_speed = 1.5;                                    // yd/s
constexpr double topped_speed = 0.5;                                      // yd/s
constexpr double under_depth = 2.0, pistol_depth = 3.0, gun_depth = 4.5;  // yd
constexpr double behind_width = 1.0;                                      // yd
constexpr double away_by = 1.5, seen_past = 1.0, away_depth = 3.0;        // s, s, yd: a clean drop from under centre
constexpr double over_by = 2.0, over_depth = 6.0;                         // s, yd: he runs after the ball
}  // namespace

Alignment alignment_of(const Play& play, const Motion& motion) {
  const Point& passer = motion.at(0, play.passer);
  if (!present(passer)) return Alignment::none;
  if (passer.y() < under_depth) return Alignment::under;
  const bool back_behind = std::any_of(play.offense.begin(), play.offense.end(), [&](std::size_t man) {
    const Position position = play.men[man].position;
    const Point& at = motion.at(0, man);
    return (position == Position::RB || position == Position::FB || position == Position::HB) && at.y() > passer.y() &&
           std::abs(at.x() - passer.x()) <= behind_width;
  });
  if (back_behind && passer.y() >= pistol_depth && passer.y() <= gun_depth) return Alignment::pistol;
  return passer.y() >= gun_depth ? Alignment::gun : Alignment::short_gun;
}

Snapped snapped(const Play& play, const Motion& motion) {
  const Point& stood = motion.at(0, play.passer);
  if (!present(stood)) return Snapped::none;
  const bool under = alignment_of(play, motion) == Alignment::under;
  if (under && play.throw_time <= away_by + tolerance::time) return Snapped::clean;
  double deepest = stood.y(), least = stood.y(), seen = 0;
  for (std::size_t frame = 0; frame < play.frames(); ++frame) {
    const Point& at = motion.at(frame, play.passer);
    if (!present(at) || play.time[frame] > (under ? away_by : over_by) + tolerance::time) continue;
    deepest = std::max(deepest, at.y());
    least = std::min(least, at.y());
    seen = play.time[frame];
  }
  if (!under) return deepest - stood.y() > over_depth ? Snapped::bad : Snapped::clean;
  const bool away = deepest >= away_depth || least < 0 || seen < seen_past - tolerance::time;
  return away ? Snapped::clean : Snapped::bad;
}

double top_of_drop(const Play& play, const Motion& motion) {
  double top = nan, deepest = -infinity, speed_before = nan;
  bool dropped = false;
  const double until = std::isnan(play.throw_time) ? end_of_reps(play, motion) : play.throw_time;
  for (std::size_t frame = 0; frame < play.frames() && play.time[frame] <= until + tolerance::time; ++frame) {
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

double start_of_drop(const Play& play, const Motion& motion) {
  double start = nan;
  for (std::size_t frame = 0; frame < play.frames(); ++frame) {
    const double speed = motion.speed(frame, play.passer).y();
    if (!present(motion.at(frame, play.passer)) || std::isnan(speed)) continue;
    if (speed > dropping_speed) return std::isnan(start) ? play.time[frame] : start;
    if (std::isnan(start) || speed < topped_speed) start = play.time[frame];
  }
  return nan;
}

}  // namespace shortedge
