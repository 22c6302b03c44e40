#include "study/drop_study.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/error.hpp"
#include "base/tolerances.hpp"
#include "match/duel.hpp"
#include "measure/edges.hpp"
#include "measure/measure.hpp"
#include "play/drop.hpp"
#include "play/sides.hpp"
#include "reps/reps.hpp"
#include "rush/corner.hpp"

namespace shortedge {

namespace {

constexpr double usual_from = 5.0, usual_step = 0.5;  // yd
constexpr int usual_steps = 14;                       // to 12 yd

struct PasserAt {
  Point place = absent(), velocity = absent();
};

/// The passer at any time: at a frame as he is there, between two neighbours (at most 0.5 s apart) on the line.
PasserAt passer_at(const Play& play, const Motion& motion, double time) {
  const auto next = std::lower_bound(play.time.begin(), play.time.end(), time - tolerance::time);
  if (next == play.time.end()) return {};
  const auto after = static_cast<std::size_t>(next - play.time.begin());
  const Point &place = motion.at(after, play.passer), &velocity = motion.speed(after, play.passer);
  if (*next <= time + tolerance::time) return {place, velocity};
  if (after == 0 || play.time[after] - play.time[after - 1] > tolerance::longest_gap + tolerance::time) return {};
  const double share = (time - play.time[after - 1]) / (play.time[after] - play.time[after - 1]);
  const Point &place_before = motion.at(after - 1, play.passer),
              &velocity_before = motion.speed(after - 1, play.passer);
  return {place_before + share * (place - place_before), velocity_before + share * (velocity - velocity_before)};
}

/// A figure of the passer at one frame.
struct Reading {
  double time, value;
};

/// His backward speed, frames where it is known, from one time to another.
std::vector<Reading> backward_speeds(const Play& play, const Motion& motion, double from, double to) {
  std::vector<Reading> speeds;
  for (std::size_t frame = 0; frame < play.frames(); ++frame) {
    if (play.time[frame] < from - tolerance::time || play.time[frame] > to + tolerance::time) continue;
    const double speed = motion.speed(frame, play.passer).y();
    if (present(motion.at(frame, play.passer)) && !std::isnan(speed)) speeds.push_back({play.time[frame], speed});
  }
  return speeds;
}

/// The last time at which readings, straight between them, are at `level` before they leave it: falling, from above to
/// below; rising, from below to above. The last reading's time when they never leave it; NaN when they are never there.
double last_leaving(const std::vector<Reading>& readings, double level, bool falling) {
  const auto there = [&](const Reading& one) { return falling ? one.value >= level : one.value <= level; };
  for (std::size_t k = readings.size(); k-- > 0;) {
    if (!there(readings[k])) continue;
    if (k + 1 == readings.size()) return readings[k].time;
    const Reading &in = readings[k], &out = readings[k + 1];
    return in.time + (level - in.value) / (out.value - in.value) * (out.time - in.time);
  }
  return nan;
}

/// The moment at which he was this deep, the last before he gathers.
double last_at_depth(const Play& play, const Motion& motion, const RecordedDrop& drop, double depth) {
  std::vector<Reading> depths;
  for (std::size_t frame = 0; frame < play.frames(); ++frame) {
    const Point& at = motion.at(frame, play.passer);
    if (!present(at) || play.time[frame] < drop.start - tolerance::time || !(play.time[frame] < drop.gather)) continue;
    depths.push_back({play.time[frame], at.y()});
  }
  depths.push_back({drop.gather, passer_at(play, motion, drop.gather).place.y()});
  return last_leaving(depths, depth, false);
}

void check(const RecordedDrop& drop, const std::vector<double>& depths) {
  for (const double depth : depths) {
    if (drop.can_be_stretched() && depth >= drop.shallowest && depth <= deepest_drop) continue;
    std::string says = "depths: found " + shown(depth) + " yd; accepted: ";
    if (drop.can_be_stretched()) {
      says += shown(drop.shallowest) + " yd, which this drop can be shortened to, to " + shown(deepest_drop) + " yd";
    } else {
      says += "none, for this passer never drops, or is not seen where he gathers";
    }
    throw InputError(says);
  }
}

std::vector<double> usual_depths(const RecordedDrop& drop) {
  std::vector<double> depths;
  for (int step = 0; step <= usual_steps; ++step) {
    const double depth = usual_from + usual_step * step;
    if (drop.can_be_stretched() && depth >= drop.shallowest) depths.push_back(depth);
  }
  return depths;
}

/// One side of the recorded play: whom the figures are about, and up to when.
struct Contest {
  Side side = Side::none;
  std::optional<std::size_t> edge_man, rusher;  ///< indices into Play::men
  double until = nan, contact = nan;            ///< s
  std::size_t last = 0;                         ///< the last frame up to it with both present
};

std::optional<std::size_t> man_of(const Play& play, std::int32_t player) {
  const auto man = std::find_if(play.men.begin(), play.men.end(), [&](const Man& one) { return one.player == player; });
  return man == play.men.end() ? std::nullopt : std::optional(static_cast<std::size_t>(man - play.men.begin()));
}

/// The rep of the edge man that the figures are about, a row of the reps: his first with that rusher, else his first.
std::optional<std::size_t> rep_of(const RepsTable& reps, std::int32_t edge_man, std::int32_t rusher) {
  std::optional<std::size_t> found;
  for (std::size_t row = 0; row < reps.rows(); ++row) {
    if (reps.protector[row] != edge_man || reps.outcome[row] == code(Outcome::help)) continue;
    if (reps.outcome[row] == code(Outcome::uncovered)) continue;
    const auto rank = [&](std::size_t one) { return std::pair(reps.rusher[one] != rusher, reps.start[one]); };
    if (!found || rank(row) < rank(*found)) found = row;
  }
  return found;
}

Contest contest_of(const Play& play, const Motion& motion, Side side, double top, const EdgesTable& edges,
                   const RepsTable& reps) {
  Contest contest;
  contest.side = side;
  std::int32_t edge_man = no_code, rusher = no_code;
  for (std::size_t row = 0; row < edges.rows(); ++row) {
    if (edges.side[row] != code(side) || edges.time[row] > top + tolerance::time) continue;
    edge_man = edges.edge_man[row];
    rusher = edges.rusher[row];
  }
  contest.edge_man = man_of(play, edge_man);
  const auto rep = rusher == no_code ? std::nullopt : rep_of(reps, edge_man, rusher);
  if (!rep) return contest;
  contest.rusher = man_of(play, reps.rusher[*rep]);
  contest.contact = reps.contact_time[*rep];
  contest.until = !std::isnan(reps.contact_time[*rep]) ? reps.contact_time[*rep]
                  : !std::isnan(reps.beat_time[*rep])  ? reps.beat_time[*rep]
                                                       : reps.end[*rep];
  for (std::size_t frame = 0; frame < play.frames() && play.time[frame] <= contest.until + tolerance::time; ++frame) {
    if (present(motion.at(frame, *contest.edge_man)) && present(motion.at(frame, *contest.rusher)))
      contest.last = frame;
  }
  return contest;
}

/// One play at one depth, measured.
struct Taken {
  double depth = nan, top = nan;
  bool as_recorded = false;
  Point spot = absent();
  Motion motion;
  Tables tables;
};

class DropRows {
 public:
  DropRows(const Play& play, const Rules& rules, double hold, DropsTable& table)
      : play_(play), rules_(rules), hold_(hold), table_(table) {}

  void add(const Contest& contest, const Taken& taken) {
    DropsTable::Row row;
    row.play = play_.play;
    row.side = code(contest.side);
    row.depth = taken.depth;
    row.taken = taken.as_recorded;
    row.top_time = taken.top;
    row.until = contest.until;
    if (contest.edge_man) row.edge_man = play_.men[*contest.edge_man].player;
    if (contest.rusher) row.rusher = play_.men[*contest.rusher].player;
    if (contest.edge_man && contest.rusher) {
      add_cutoff(contest, taken, row);
      add_exposure(contest, taken, row);
      add_spot(contest, taken, row);
    }
    table_.add(row);
  }

 private:
  void add_cutoff(const Contest& contest, const Taken& taken, DropsTable::Row& row) const {
    const PeakCutoff peak = peak_cutoff(play_, taken.motion, *contest.rusher, *contest.edge_man, taken.spot,
                                        play_.men[*contest.rusher].counts_from, contest.last);
    if (std::isnan(peak.ratio)) return;
    row.peak_cutoff_ratio = peak.ratio;
    row.peak_cutoff_time = play_.time[peak.frame];
  }

  /// The quickest moment of his way is that of the greatest exposure, also where all are 0.
  void add_exposure(const Contest& contest, const Taken& taken, DropsTable::Row& row) const {
    const RushersTable& rushers = taken.tables.rushers;
    for (std::size_t at = 0; at < rushers.rows(); ++at) {
      if (rushers.rusher[at] != row.rusher || rushers.blocker[at] != row.edge_man) continue;
      if (rushers.time[at] > contest.until + tolerance::time || std::isnan(rushers.outside_time[at])) continue;
      if (rushers.outside_time[at] >= row.outside_time) continue;
      row.outside_exposure = rushers.outside_exposure[at];
      row.outside_time = rushers.outside_time[at];
      row.exposure_time = rushers.time[at];
      row.outside_bend = rushers.outside_bend[at];
      row.short_edge = rushers.short_edge[at];
    }
    if (std::isnan(row.exposure_time)) return;
    const auto frame = static_cast<std::size_t>(
        std::lower_bound(play_.time.begin(), play_.time.end(), row.exposure_time) - play_.time.begin());
    row.edge_width = edge_width(taken.motion.at(frame, *contest.edge_man), taken.motion.at(frame, play_.passer),
                                sign(contest.side), rules_.reach);
  }

  void add_spot(const Contest& contest, const Taken& taken, DropsTable::Row& row) const {
    const Point& rusher = taken.motion.at(contest.last, *contest.rusher);
    const Point& man = taken.motion.at(contest.last, *contest.edge_man);
    if (!present(rusher) || !present(man) || !present(taken.spot)) return;
    const int side = side_of_man(play_, taken.motion, contest.last, *contest.edge_man, taken.spot);
    const Placed placed = placed_now(rusher, man, taken.spot, side);
    const std::optional<Point> around = placed.past ? std::nullopt : std::optional(man);
    row.spot_bend = ways_round(Rush{rusher, absent(), taken.spot, placed, around}, rules_).outside_bend;
    row.spot_short_edge = short_edge(corner_held(rusher, man, taken.spot, placed, rules_.reach), rules_.reach);
    if (side == 0 || std::isnan(contest.contact)) return;
    const Point& velocity = taken.motion.speed(contest.last, *contest.rusher);
    const double way = outside_time(rusher, velocity, man, taken.spot, side, rules_);
    row.margin = contest.contact + way - (taken.top + hold_);
  }

  const Play& play_;
  const Rules& rules_;
  double hold_;  // s from the top to the throw
  DropsTable& table_;
};

}  // namespace

double hold_of(const Play& play, const Motion& motion) {
  const double held = play.throw_time - top_of_drop(play, motion);
  return held >= 0 ? held : usual_hold;
}

RecordedDrop recorded_drop(const Play& play, const Motion& motion) {
  const RepSpan span = rep_span(play, motion);
  const double top = top_of_drop(play, motion);
  RecordedDrop drop;
  drop.top = std::isnan(top) ? span.end : top;
  drop.spot = span.spot;
  drop.start = start_of_drop(play, motion);
  if (!present(drop.spot) || !(drop.start < drop.top)) return drop;
  const double starts_at = passer_at(play, motion, drop.start).place.y();
  const double speed = (drop.spot.y() - starts_at) / (drop.top - drop.start);
  const std::vector<Reading> speeds = backward_speeds(play, motion, drop.start, drop.top);
  const auto fastest =
      std::max_element(speeds.begin(), speeds.end(), [](auto& a, auto& b) { return a.value < b.value; });
  if (!(speed > 0) || speeds.empty()) return drop;
  drop.gather = last_leaving(speeds, std::min(speed, fastest->value), true);
  const double gathers_at = passer_at(play, motion, drop.gather).place.y();
  if (std::isnan(gathers_at)) return drop;
  drop.speed = speed;
  drop.shallowest = starts_at + drop.spot.y() - gathers_at;
  return drop;
}

StretchedPlay stretch_drop(const Play& play, const Motion& motion, const RecordedDrop& drop, double depth) {
  const double more = depth - drop.spot.y();
  const Point gathers_at = passer_at(play, motion, drop.gather).place;
  const double held = more > 0 ? more / drop.speed : 0;  // s
  double breaks = drop.gather;                           // s, until when he does as recorded
  Point shift(0, more);
  if (more < 0) {
    breaks = last_at_depth(play, motion, drop, gathers_at.y() + more);
    shift.x() = passer_at(play, motion, breaks).place.x() - gathers_at.x();
  }
  const double later = held - (drop.gather - breaks);  // s, what follows is moved along by

  StretchedPlay stretched{motion, drop.spot + shift, drop.top + later};
  for (std::size_t frame = 0; frame < play.frames(); ++frame) {
    const double time = play.time[frame];
    PasserAt passer;
    if (time <= breaks + tolerance::time) {
      passer = passer_at(play, motion, time);
    } else if (time < breaks + held) {
      passer = {gathers_at + Point(0, drop.speed * (time - breaks)), Point(0, drop.speed)};
    } else {
      passer = passer_at(play, motion, time - later);
      passer.place += shift;
    }
    stretched.motion.place[frame * motion.men + play.passer] = passer.place;
    stretched.motion.velocity[frame * motion.men + play.passer] = passer.velocity;
  }
  return stretched;
}

DropStudy study_drop(const Play& play, const Motion& motion, const Rules& rules,
                     const std::optional<std::vector<double>>& depths) {
  DropStudy study;
  study.drop = recorded_drop(play, motion);
  const RecordedDrop& drop = study.drop;
  if (depths) check(drop, *depths);
  std::vector<double> wanted = depths ? *depths : usual_depths(drop);
  std::sort(wanted.begin(), wanted.end());
  wanted.erase(std::unique(wanted.begin(), wanted.end()), wanted.end());

  std::vector<Taken> all{{drop.spot.y(), drop.top, true, drop.spot, motion, {}}};
  for (const double depth : wanted) {
    StretchedPlay stretched = stretch_drop(play, motion, drop, depth);
    all.push_back({depth, stretched.top, false, stretched.spot, std::move(stretched.motion), {}});
  }
  const Match match = match_play(play, motion, rules);  // who has whom does not depend on the depth
  for (Taken& taken : all) measure(play, taken.motion, match, rules, taken.tables);
  RepTables reps;
  add_reps(play, motion, match, all.front().tables, rules, 0, reps);
  const EdgesTable& edges = all.front().tables.edges;
  const Contest contests[] = {contest_of(play, motion, Side::left, drop.top, edges, reps.reps),
                              contest_of(play, motion, Side::right, drop.top, edges, reps.reps)};
  const auto deeper =
      std::find_if(all.begin() + 1, all.end(), [&](const Taken& one) { return one.depth > all.front().depth; });
  std::rotate(all.begin(), all.begin() + 1, deeper);  // the drop as taken goes to its place

  DropRows rows(play, rules, hold_of(play, motion), study.table);
  for (const Contest& contest : contests) {
    for (const Taken& taken : all) rows.add(contest, taken);
  }
  return study;
}

}  // namespace shortedge
