#include "match/duel.hpp"

#include <algorithm>
#include <cmath>

#include "base/tolerances.hpp"
#include "geometry/disc.hpp"
#include "rush/cutoff.hpp"

namespace shortedge {

namespace {

constexpr double contact_from = 0.3;    // s after the snap
constexpr double clearly_nearer = 0.5;  // yd
constexpr double between_range = 2.0;   // yd
constexpr double leaving_speed = 1.5;   // yd/s, away from the passer

struct Trio {
  Point rusher, protector, passer;
  bool all() const { return present(rusher) && present(protector) && present(passer); }
};

bool gone_by(const Trio& at, double reach) {
  if (!at.all() || !(cutoff_ratio(at.rusher, at.protector, at.passer) >= 1)) return false;
  return !on_the_line(at.rusher, at.protector, at.passer, reach);
}

/// Whether the man himself leaves; an unknown velocity tells nothing.
bool lets_go(const Trio& at, const Point& velocity) {
  const Point away = at.protector - at.passer;
  return velocity.dot(away) > leaving_speed * away.norm();
}

}  // namespace

bool on_the_line(const Point& rusher, const Point& man, const Point& passer, double reach) {
  const double radius = std::min({reach, distance(rusher, man), distance(man, passer)});
  return distance_to_segment(man, rusher, passer) < radius - tolerance::line_slack;
}

PeakCutoff peak_cutoff(const Play& play, const Motion& motion, std::size_t rusher, std::size_t protector,
                       const Point& spot, std::size_t first, std::size_t last) {
  PeakCutoff peak;
  for (std::size_t frame = first; frame <= last; ++frame) {
    if (!play.men[rusher].takes_part(frame)) continue;
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
    bool gets_nearer = false;
    for (std::size_t later = frame; later < play.frames() && gone_by(at(later), rules.reach) && !gets_nearer; ++later) {
      const Trio trio = at(later);
      gets_nearer = distance(trio.protector, trio.passer) - distance(trio.rusher, trio.passer) >= clearly_nearer;
    }
    if (!gets_nearer) continue;
    if (!lets_go(at(frame), motion.speed(frame, spell.protector))) {
      duel.beat = Beat{frame};
    } else if (!duel.let_go) {
      duel.let_go = frame;
    }
  }
  if (duel.beat) duel.let_go.reset();

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
