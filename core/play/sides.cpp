#include "play/sides.hpp"

#include <cmath>

namespace shortedge {

namespace {

/// Across, at the first frame that has him; NaN for never.
double stood_at(const Play& play, const Motion& motion, std::size_t man) {
  for (std::size_t frame = 0; frame < play.frames(); ++frame) {
    if (present(motion.at(frame, man))) return motion.at(frame, man).x();
  }
  return nan;
}

std::size_t place_of(int side) { return side < 0 ? 0 : 1; }

/// Whether a lineman who stood on side `stood` is farther out than the other side's guard now. Absent men: no.
bool pulled_across(const Play& play, const Motion& motion, std::size_t frame, const Point& at, int stood,
                   const Point& passer) {
  const std::int32_t guard = play.guards[place_of(-stood)];
  if (guard < 0) return false;
  const Point& inner = motion.at(frame, static_cast<std::size_t>(guard));
  return (passer.x() - at.x()) * stood > 0 && (inner.x() - at.x()) * stood > 0 && at.y() < passer.y();
}

}  // namespace

void find_sides(Play& play, const Motion& motion) {
  double middle = nan;
  play.center = -1;
  for (std::size_t man = 0; man < play.men.size(); ++man) {
    if (play.men[man].slot != Slot::C) continue;
    const double stood = stood_at(play, motion, man);
    if (std::isnan(stood) || std::abs(middle) <= std::abs(stood)) continue;
    middle = stood;
    play.center = static_cast<std::int32_t>(man);
  }
  if (std::isnan(middle)) middle = 0;
  std::array<double, 2> nearest{infinity, infinity};
  play.guards = {-1, -1};
  for (std::size_t man = 0; man < play.men.size(); ++man) {
    Man& who = play.men[man];
    if (!who.is_lineman() || who.slot == Slot::C) continue;
    const double out = stood_at(play, motion, man) - middle;
    who.line_side = out < 0 ? -1 : 1;
    const std::size_t side = place_of(who.line_side);
    if (!(std::abs(out) < nearest[side])) continue;
    nearest[side] = std::abs(out);
    play.guards[side] = static_cast<std::int32_t>(man);
  }
}

int side_of_man(const Play& play, const Motion& motion, std::size_t frame, std::size_t man, const Point& passer) {
  const Point& at = motion.at(frame, man);
  if (play.men[man].is_lineman()) {
    const int stood = play.men[man].line_side;
    return stood != 0 && pulled_across(play, motion, frame, at, stood, passer) ? -stood : stood;
  }
  if (!present(at) || !present(passer)) return 0;
  const int side = at.x() < passer.x() ? -1 : 1;
  const std::int32_t guard = play.guards[place_of(side)];
  if (guard < 0) return side;
  const Point& inner = motion.at(frame, static_cast<std::size_t>(guard));
  return !present(inner) || (at.x() - inner.x()) * side > 0 ? side : 0;
}

}  // namespace shortedge
