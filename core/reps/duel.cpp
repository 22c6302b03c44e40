#include "reps/duel.hpp"

#include <algorithm>
#include <cmath>

#include "base/tolerances.hpp"
#include "geometry/disc.hpp"
#include "rush/blocker.hpp"
#include "rush/cutoff.hpp"

namespace shortedge {

namespace {

constexpr double contact_from = 0.3;      // s after the snap
constexpr double clearly_nearer = 0.5;    // yd
constexpr double line_slack = 1e-6;       // yd, by which the straight line may dip into the disc
constexpr double between_range = 2.0;     // yd

struct Trio {
  Point rusher, protector, passer;
  bool all() const { return present(rusher) && present(protector) && present(passer); }
};

bool gone_by(const Trio& at, double reach) {
  if (!at.all() || !(cutoff_ratio(at.rusher, at.protector, at.passer) >= 1)) return false;
  const double radius = std::min({reach, distance(at.rusher, at.protector), distance(at.protector, at.passer)});
  return distance_to_segment(at.protector, at.rusher, at.passer) >= radius - line_slack;
}

BeatSide side_of_beat(const Trio& at, const Man& protector) {
  const double turn = cross(at.rusher - at.protector, at.passer - at.protector);
  const int side = blocker_side({0, protector.slot, at.protector}, at.passer);
  if (side == 0) return turn < 0 ? BeatSide::left : BeatSide::right;
  return turn * side >= 0 ? BeatSide::outside : BeatSide::inside;
}

}  // namespace

PeakCutoff peak_cutoff(const Motion& motion, std::size_t rusher, std::size_t protector, const Point& spot,
                       std::size_t first, std::size_t last) {
  PeakCutoff peak;
  for (std::size_t frame = first; frame <= last; ++frame) {
    const double ratio = cutoff_ratio(motion.at(frame, rusher), motion.at(frame, protector), spot);
    if (!std::isnan(ratio) && !(ratio <= peak.ratio)) peak = {ratio, frame};
  }
  return peak;
}

double held_seconds(const Play& play, std::size_t frame, std::size_t frames) {
  return frame + 1 < frames ? play.time[frame + 1] - play.time[frame] : 0;
}

Duel fight(const Play& play, const Motion& motion, const Rules& rules, const RepSpan& span, const Spell& spell) {
  const auto at = [&](std::size_t frame) {
    return Trio{motion.at(frame, spell.rusher), motion.at(frame, spell.protector), motion.at(frame, play.passer)};
  };
  Duel duel;
  for (std::size_t frame = spell.first; frame <= spell.last; ++frame) {
    const Trio trio = at(frame);
    const double range = distance(trio.rusher, trio.protector);
    if (range <= rules.meet) {
      duel.seconds_met += held_seconds(play, frame, spell.last + 1);
      if (!duel.contact && play.time[frame] >= contact_from - tolerance::time) duel.contact = frame;
    }
    if (range <= between_range && distance(trio.protector, trio.passer) <= distance(trio.rusher, trio.passer)) {
      duel.ever_between = true;
    }
  }

  const std::size_t earliest = duel.contact ? *duel.contact : spell.first + 1;
  for (std::size_t frame = earliest; frame <= spell.last && !duel.beat; ++frame) {
    if (!(play.time[frame] < span.end - tolerance::time) || !gone_by(at(frame), rules.reach)) continue;
    if (frame > 0 && gone_by(at(frame - 1), rules.reach)) continue;  // the stretch began before
    for (std::size_t later = frame; later < play.frames() && gone_by(at(later), rules.reach); ++later) {
      const Trio trio = at(later);
      if (distance(trio.protector, trio.passer) - distance(trio.rusher, trio.passer) < clearly_nearer) continue;
      duel.beat = Beat{frame, side_of_beat(at(frame), play.men[spell.protector])};
      break;
    }
  }

  for (std::size_t frame = spell.first; frame <= spell.last && !duel.beat; ++frame) {
    const Trio trio = at(frame);
    duel.run_by = duel.run_by || (trio.rusher.y() >= trio.passer.y() &&
                                  distance(trio.protector, trio.passer) < distance(trio.rusher, trio.passer));
  }

  if (!duel.contact) return duel;
  Point passer = absent();
  for (std::size_t frame = spell.last + 1; frame-- > 0 && !present(passer);) passer = motion.at(frame, play.passer);
  const double stood = distance(at(*duel.contact).protector, passer);
  for (std::size_t frame = *duel.contact; frame <= spell.last; ++frame) {
    const Trio trio = at(frame);
    if (distance(trio.rusher, trio.protector) <= rules.meet) {
      duel.ground_given = std::fmax(duel.ground_given, stood - distance(trio.protector, passer));
    }
  }
  return duel;
}

}  // namespace shortedge
