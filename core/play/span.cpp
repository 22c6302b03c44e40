#include "play/span.hpp"

#include <algorithm>
#include <cmath>

#include "base/tolerances.hpp"
#include "play/drop.hpp"
#include "play/pressing.hpp"

namespace shortedge {

namespace {

constexpr double leaving_speed = 1.5;  // yd/s
constexpr double leaving_after = 0.3;  // s
constexpr double leaving_width = 2.0;  // yd
constexpr double caught_range = 1.0;   // yd

std::size_t frames_to(const Play& play, double time) {
  return static_cast<std::size_t>(std::upper_bound(play.time.begin(), play.time.end(), time + tolerance::time) -
                                  play.time.begin());
}

double caught_at(const Play& play, const Motion& motion) {
  for (std::size_t frame = 0; frame < play.frames(); ++frame) {
    for (std::size_t man = 0; man < play.men.size(); ++man) {
      if (play.men[man].unit == Unit::defense &&
          within(motion.at(frame, man), motion.at(frame, play.passer), caught_range)) {
        return play.time[frame];
      }
    }
  }
  return infinity;
}

}  // namespace

double leaves_at(const Play& play, const Motion& motion) {
  // A run is a stretch of frames whose speed in one direction stays over the limit: left, right or upfield.
  double leaves = infinity;
  for (const Point& toward : {Point(-1, 0), Point(1, 0), Point(0, -1)}) {
    const bool upfield = toward.y() < 0;
    std::size_t begin = play.frames();  // of the running stretch; frames() when none runs
    for (std::size_t frame = 0; frame < play.frames(); ++frame) {
      const Point& at = motion.at(frame, play.passer);
      if (!(motion.speed(frame, play.passer).dot(toward) > leaving_speed)) {
        begin = play.frames();
        continue;
      }
      if (begin == play.frames()) begin = frame;
      const double carried = (at - motion.at(begin, play.passer)).dot(toward);
      const bool left =
          upfield ? at.y() < 0 : carried >= leaving_width && play.time[begin] > leaving_after + tolerance::time;
      if (left) {
        leaves = std::min(leaves, play.time[begin]);
        break;
      }
    }
  }
  return leaves;
}

double end_of_reps(const Play& play, const Motion& motion) {
  const double over = std::isnan(play.throw_time) ? caught_at(play, motion) : play.throw_time;
  const double leaves = snapped(play, motion) == Snapped::bad ? infinity : leaves_at(play, motion);
  return std::min({over, leaves, play.end_time});
}

RepSpan rep_span(const Play& play, const Motion& motion) {
  const bool thrown = !std::isnan(play.throw_time);
  RepSpan span;
  span.end = end_of_reps(play, motion);
  span.frames = frames_to(play, span.end);
  span.thrown = thrown ? frames_to(play, play.throw_time) : play.frames();

  const double top = top_of_drop(play, motion);
  span.spot = absent();
  for (std::size_t frame = std::isnan(top) ? span.frames : frames_to(play, top); frame-- > 0 && !present(span.spot);) {
    span.spot = motion.at(frame, play.passer);
  }
  span.pressure_from = pressing::from;
  if (alignment_of(play, motion) == Alignment::under) {
    std::size_t frame = 0;
    while (frame < play.frames() && !(motion.at(frame, play.passer).y() >= pressing::deep_enough)) ++frame;
    span.pressure_from = std::max(pressing::from, frame < play.frames() ? play.time[frame] : infinity);
  }
  return span;
}

}  // namespace shortedge
