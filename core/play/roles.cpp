#include "play/roles.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "base/error.hpp"
#include "base/tolerances.hpp"
#include "play/span.hpp"

namespace shortedge {

namespace {

constexpr double role_seconds = 2.5;        // roles are read in this time after the snap, or until the throw
constexpr double lineman_depth = 2.0;       // yd, an unlabelled lineman is not deeper at the first frame
constexpr double protector_width = 7.0;     // yd
constexpr double protector_upfield = -1.0;  // yd
constexpr double rush_depth = 0.5;          // yd behind the line
constexpr double rush_width = 15.0;         // yd
constexpr double front_depth = -2.0;        // yd, a man of the front stands here or nearer the line
constexpr double front_width = 8.0;         // yd
constexpr double late_depth = -1.0;         // yd, a man from off the line takes part from here
constexpr double on_a_man = 1.2;            // yd
constexpr double on_a_man_seconds = 0.3;
constexpr double came_depth = 1.0;      // yd behind the line: who got so deep has rushed
constexpr double dropped_depth = -3.0;  // yd, who ends farther off than this has dropped
constexpr double near_passer = 9.0;     // yd, a late rusher comes so near
constexpr double near_deepest = 1.0;    // yd, of a dropped rusher's greatest depth

constexpr std::array labelled{std::pair(Position::LT, Slot::LT), std::pair(Position::LG, Slot::LG),
                              std::pair(Position::C, Slot::C), std::pair(Position::RG, Slot::RG),
                              std::pair(Position::RT, Slot::RT)};

class Finder {
 public:
  Finder(Play& play, const Motion& motion) : play_(play), motion_(motion) {}

  void find() {
    find_passer();
    find_linemen();
    std::size_t linemen = 0;
    for (const Man& man : play_.men) linemen += man.is_lineman();
    if (linemen < 3) throw InputError("fewer than three linemen: " + std::to_string(linemen));
    for (std::size_t man = 0; man < play_.men.size(); ++man) {
      if (play_.men[man].unit != Unit::offense || man == play_.passer) continue;
      play_.offense.push_back(man);
      if (!is_protector(man)) continue;
      play_.men[man].role = Role::protector;
      play_.protectors.push_back(man);
    }
    for (std::size_t man = 0; man < play_.men.size(); ++man) {
      if (play_.men[man].unit != Unit::defense || !is_rusher(man)) continue;
      play_.men[man].role = Role::rusher;
      play_.men[man].counts_from = first_counted(man);
      play_.rushers.push_back(man);
    }
  }

 private:
  const Point& first(std::size_t man) const { return motion_.at(0, man); }

  void find_passer() {
    std::vector<std::size_t> given, quarterbacks;
    for (std::size_t man = 0; man < play_.men.size(); ++man) {
      const Man& who = play_.men[man];
      if (who.given == Role::passer) given.push_back(man);
      if (who.given == Role::unset && who.unit == Unit::offense && who.position == Position::QB)
        quarterbacks.push_back(man);
    }
    const std::vector<std::size_t>& passers = given.empty() ? quarterbacks : given;
    if (passers.size() != 1) {
      throw InputError(passers.empty() ? "no passer: no offensive QB with tracks, and nobody with that role"
                                       : std::to_string(passers.size()) + " passers");
    }
    play_.passer = passers.front();
    play_.men[play_.passer].role = Role::passer;
  }

  bool may_be_lineman(std::size_t man) const {
    const Man& who = play_.men[man];
    return who.unit == Unit::offense && man != play_.passer &&
           (who.given == Role::unset || who.given == Role::protector);
  }

  void find_linemen() {
    bool labels = false;
    for (std::size_t man = 0; man < play_.men.size(); ++man) {
      const Position position = play_.men[man].position;
      if (position == Position::C || !may_be_lineman(man)) continue;
      labels =
          labels || std::any_of(labelled.begin(), labelled.end(), [&](auto& label) { return label.first == position; });
    }
    labels ? take_labelled() : take_nearest();
  }

  void take_labelled() {
    for (std::size_t man = 0; man < play_.men.size(); ++man) {
      const auto label = std::find_if(labelled.begin(), labelled.end(),
                                      [&](auto& known) { return known.first == play_.men[man].position; });
      if (label != labelled.end() && may_be_lineman(man)) play_.men[man].slot = label->second;
    }
  }

  void take_nearest() {
    std::vector<std::size_t> line;
    for (std::size_t man = 0; man < play_.men.size(); ++man) {
      const Position position = play_.men[man].position;
      const bool generic = position == Position::T || position == Position::OT || position == Position::G ||
                           position == Position::OG || position == Position::C || position == Position::OL;
      if (generic && may_be_lineman(man) && present(first(man)) && first(man).y() <= lineman_depth) line.push_back(man);
    }
    const auto off_ball = [&](std::size_t man) { return std::abs(first(man).x()); };
    std::stable_sort(line.begin(), line.end(), [&](auto a, auto b) { return off_ball(a) < off_ball(b); });
    if (line.size() > 5) line.resize(5);
    if (line.empty()) return;
    const auto listed =
        std::find_if(line.begin(), line.end(), [&](auto man) { return play_.men[man].position == Position::C; });
    const std::size_t center = listed == line.end() ? line.front() : *listed;
    play_.men[center].slot = Slot::C;

    std::stable_sort(line.begin(), line.end(), [&](auto a, auto b) { return first(a).x() < first(b).x(); });
    const auto at = std::find(line.begin(), line.end(), center) - line.begin();
    const auto name = [&](std::ptrdiff_t place, Slot slot) {
      if (place >= 0 && place < std::ssize(line)) play_.men[line[static_cast<std::size_t>(place)]].slot = slot;
    };
    name(at - 2, Slot::LT);
    name(at - 1, Slot::LG);
    name(at + 1, Slot::RG);
    name(at + 2, Slot::RT);
  }

  double until(double no_throw) const {
    return std::min(std::isnan(play_.throw_time) ? no_throw : play_.throw_time, role_seconds) + tolerance::time;
  }

  bool is_protector(std::size_t man) const {
    const Man& who = play_.men[man];
    if (who.given != Role::unset) return who.given == Role::protector;
    if (who.is_lineman()) return true;
    const double limit = until(infinity);
    bool any = false;
    for (std::size_t frame = 0; frame < play_.frames() && play_.time[frame] <= limit; ++frame) {
      const Point& at = motion_.at(frame, man);
      if (!present(at)) continue;
      if (std::abs(at.x()) > protector_width || at.y() < protector_upfield) return false;
      any = true;
    }
    return any;
  }

  bool is_rusher(std::size_t man) const {
    const Man& who = play_.men[man];
    if (who.given != Role::unset) return who.given == Role::rusher;
    return comes(man) && !showed_and_dropped(man);
  }

  /// Deep enough behind the line, or held up on it.
  bool comes(std::size_t man) const {
    const double limit = until(play_.end_time);
    const bool of_the_front =
        present(first(man)) && first(man).y() >= front_depth && std::abs(first(man).x()) <= front_width;
    double met_since = nan;
    for (std::size_t frame = 0; frame < play_.frames() && play_.time[frame] <= limit; ++frame) {
      const Point& at = motion_.at(frame, man);
      if (behind(at, rush_depth)) return true;
      if (!of_the_front) continue;
      const bool met =
          present(at) && std::any_of(play_.protectors.begin(), play_.protectors.end(), [&](std::size_t other) {
            return distance(at, motion_.at(frame, other)) <= on_a_man;
          });
      if (!met) {
        met_since = nan;
      } else {
        if (std::isnan(met_since)) met_since = play_.time[frame];
        if (play_.time[frame] - met_since >= on_a_man_seconds - tolerance::time) return true;
      }
    }
    return false;
  }

  static bool behind(const Point& at, double depth) {
    return present(at) && at.y() >= depth && std::abs(at.x()) <= rush_width;
  }

  bool showed_and_dropped(std::size_t man) const {
    const double limit = until(play_.end_time);
    double last_depth = nan;
    for (std::size_t frame = 0; frame < play_.frames() && play_.time[frame] <= limit; ++frame) {
      const Point& at = motion_.at(frame, man);
      if (behind(at, came_depth)) return false;
      if (present(at)) last_depth = at.y();
    }
    return last_depth < dropped_depth;
  }

  std::size_t first_counted(std::size_t man) const {
    if (present(first(man)) && first(man).y() >= front_depth) return 0;
    for (std::size_t frame = 0; frame < play_.frames(); ++frame) {
      if (present(motion_.at(frame, man)) && motion_.at(frame, man).y() >= late_depth) return frame;
    }
    return play_.frames();
  }

  Play& play_;
  const Motion& motion_;
};

/// Frames in which roles are read, as Finder has it.
double roles_read_until(const Play& play) {
  return std::min(std::isnan(play.throw_time) ? play.end_time : play.throw_time, role_seconds) + tolerance::time;
}

/// The first frame of the stretch that leads a late rusher to the passer; nothing for who never comes.
std::optional<std::size_t> comes_late(const Play& play, const Motion& motion, std::size_t man, std::size_t frames) {
  const double from = roles_read_until(play);
  std::optional<std::size_t> begin;
  for (std::size_t frame = 0; frame < frames; ++frame) {
    const Point& at = motion.at(frame, man);
    if (!present(at)) continue;
    if (at.y() < late_depth) {
      begin.reset();
      continue;
    }
    if (!begin) begin = frame;
    const bool there = at.y() >= rush_depth && distance(at, motion.at(frame, play.passer)) <= near_passer;
    if (there && play.time[frame] > from) return begin;
  }
  return {};
}

/// The frame after the last one in which a rusher who dropped takes part; nothing for who did not.
std::optional<std::size_t> drops_at(const Play& play, const Motion& motion, std::size_t man, std::size_t frames) {
  double deepest = -infinity, last_depth = nan;
  for (std::size_t frame = play.men[man].counts_from; frame < frames; ++frame) {
    const Point& at = motion.at(frame, man);
    if (!present(at)) continue;
    deepest = std::max(deepest, at.y());
    last_depth = at.y();
  }
  if (!(last_depth < dropped_depth)) return {};
  std::size_t frame = frames;
  while (!(motion.at(frame - 1, man).y() >= deepest - near_deepest)) --frame;
  return frame;
}

}  // namespace

void find_roles(Play& play, const Motion& motion) { Finder(play, motion).find(); }

void find_comings(Play& play, const Motion& motion) {
  const std::size_t frames = rep_span(play, motion).frames;
  play.rushers.clear();
  for (std::size_t man = 0; man < play.men.size(); ++man) {
    Man& who = play.men[man];
    if (who.unit != Unit::defense) continue;
    if (who.role != Role::rusher && who.given == Role::unset) {
      if (const auto from = comes_late(play, motion, man, frames)) {
        who.role = Role::rusher;
        who.late = true;
        who.counts_from = *from;
      }
    }
    if (who.role != Role::rusher) continue;
    play.rushers.push_back(man);
    if (const auto to = drops_at(play, motion, man, frames)) who.counts_to = *to;
  }
}

}  // namespace shortedge
