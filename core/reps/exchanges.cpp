#include "reps/exchanges.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/tolerances.hpp"
#include "reps/hands.hpp"
#include "rush/cutoff.hpp"

namespace shortedge {

namespace {

constexpr double apart = 0.5;           // yd across, before and after a crossing
constexpr double settles = 0.5;         // s in which they get so far apart
constexpr double crossing_depth = 4.0;  // yd behind the line, at most
constexpr double crossing_range = 2.5;  // yd from the passer, more than
constexpr double together = 1.0;        // s from a crossing to a change of hands
constexpr double had_him = 0.3;         // s within meet, of a spell that is no rep
constexpr double leaves_by = 0.5;       // s after a change
constexpr double late_after = 0.5;      // s

struct Crossing {
  std::size_t other;  // rusher, index into Play::men
  std::size_t frame;
};

class Exchanges {
 public:
  Exchanges(const Play& play, const Motion& motion, const Match& match, double meet, ExchangesTable& table)
      : play_(play), motion_(motion), match_(match), frames_(match.span.frames), meet_(meet), table_(table) {}

  void add() {
    for (const std::size_t rusher : play_.rushers) {
      std::vector<Crossing> crossings;
      for (const std::size_t other : play_.rushers) {
        if (other == rusher) continue;
        if (const auto frame = crossing(rusher, other)) crossings.push_back({other, *frame});
      }
      std::stable_sort(crossings.begin(), crossings.end(), [](auto& a, auto& b) { return a.frame < b.frame; });
      std::vector<ExchangesTable::Row> rows;
      add_changes(rusher, crossings, rows);
      // One row tells of a rusher who crossed with several.
      if (rows.empty() && !crossings.empty()) add_crossed(rusher, crossings.front(), rows);
      std::stable_sort(rows.begin(), rows.end(), [](auto& a, auto& b) { return a.time < b.time; });
      for (const ExchangesTable::Row& row : rows) table_.add(row);
    }
  }

 private:
  double time(std::size_t frame) const { return play_.time[frame]; }
  const Point& at(std::size_t frame, std::size_t man) const { return motion_.at(frame, man); }

  bool may_cross(std::size_t frame, std::size_t rusher) const {
    return at(frame, rusher).y() <= crossing_depth &&
           distance(at(frame, rusher), at(frame, play_.passer)) > crossing_range;
  }

  /// The frame at which two rushers change places across.
  std::optional<std::size_t> crossing(std::size_t a, std::size_t b) const {
    if (dropped(play_, a) || dropped(play_, b)) return {};
    const double stood = at(0, a).x() - at(0, b).x();
    if (!(std::abs(stood) >= apart)) return {};
    const double sign = stood < 0 ? -1 : 1;
    std::optional<std::size_t> changed;
    for (std::size_t frame = 1; frame < frames_; ++frame) {
      const double off = (at(frame, a).x() - at(frame, b).x()) * sign;
      if (std::isnan(off)) continue;
      if (off >= 0) {
        changed.reset();
        continue;
      }
      if (!changed) {
        if (!may_cross(frame, a) || !may_cross(frame, b)) return {};
        changed = frame;
      }
      if (time(frame) - time(*changed) > settles + tolerance::time) continue;
      if (off <= -apart && play_.men[a].takes_part(frame) && play_.men[b].takes_part(frame)) return changed;
    }
    return {};
  }

  static const Crossing* nearest(const std::vector<Crossing>& crossings, const Play& play, double when) {
    const Crossing* found = nullptr;
    double least = together + tolerance::time;
    for (const Crossing& one : crossings) {
      const double off = std::abs(play.time[one.frame] - when);
      if (off >= least) continue;
      least = off;
      found = &one;
    }
    return found;
  }

  ExchangesTable::Row new_row(std::size_t rusher) const {
    ExchangesTable::Row row;
    row.play = play_.play;
    row.rusher = play_.men[rusher].player;
    return row;
  }

  void set_man(std::optional<std::size_t> man, std::int32_t& player, std::int8_t& slot) const {
    if (!man) return;
    player = play_.men[*man].player;
    if (play_.men[*man].is_lineman()) slot = static_cast<std::int8_t>(code(play_.men[*man].slot) - 1);
  }

  void finish(ExchangesTable::Row& row, ExchangeKind kind, std::size_t frame, std::optional<std::size_t> from,
              const Rep* to, std::size_t rusher, const Crossing* crossed) const {
    row.kind = code(kind);
    row.time = time(frame);
    row.film_time = play_.film_time + row.time;
    set_man(from, row.from_man, row.from_slot);
    set_man(to ? std::optional(to->spell.protector) : std::nullopt, row.to_man, row.to_slot);
    row.outcome = code(to ? outcome_of(to->duel) : Outcome::free);
    if (crossed) {
      row.crossed_with = play_.men[crossed->other].player;
      row.cross_time = time(crossed->frame);
    }
    if (!to) {
      row.late = true;
      return;
    }
    if (to->duel.contact) row.contact_time = time(*to->duel.contact);
    const Point &his = at(frame, rusher), &mine = at(frame, to->spell.protector), &passer = at(frame, play_.passer);
    if (present(his) && present(mine) && present(passer)) row.cutoff_ratio = cutoff_ratio(his, mine, passer);
    if (kind == ExchangeKind::stayed) return;
    const double met = to->duel.contact ? row.contact_time : match_.span.end;
    row.late = row.cutoff_ratio >= 1 || met - row.time > late_after + tolerance::time;
  }

  /// One man's rep after another's.
  void add_changes(std::size_t rusher, const std::vector<Crossing>& crossings,
                   std::vector<ExchangesTable::Row>& rows) const {
    const std::vector<const Rep*> reps = reps_of_rusher(match_, rusher);
    std::vector<const Rep*> his = reps;
    for (const Rep& other : match_.others) {
      const bool held_him = other.duel.ever_between && other.duel.seconds_met >= had_him - tolerance::time;
      if (other.spell.rusher == rusher && held_him) his.push_back(&other);
    }
    std::stable_sort(his.begin(), his.end(), [](auto* a, auto* b) { return a->spell.first < b->spell.first; });
    for (std::size_t k = 1; k < his.size(); ++k) {
      const Rep &before = *his[k - 1], &after = *his[k];
      if (before.spell.protector == after.spell.protector) continue;
      if (std::find(reps.begin(), reps.end(), &after) == reps.end()) continue;
      const std::size_t begins = after.spell.first;
      const Crossing* crossed = nearest(crossings, play_, time(begins));
      const bool beaten = before.duel.beat && before.duel.beat->frame <= begins;
      if (!crossed && (beaten || stays_near(before.spell.protector, rusher, begins))) continue;
      ExchangesTable::Row row = new_row(rusher);
      const std::size_t man = before.spell.protector;
      const std::size_t frame =
          crossed ? over_line(rusher, crossed->frame) : std::min(begins, left_at(man, rusher, begins));
      finish(row, crossed ? ExchangeKind::twist : ExchangeKind::pass_off, frame, man, &after, rusher, crossed);
      rows.push_back(row);
    }
  }

  /// The first frame from a crossing on in which he is over the line; the last of reps when he never is.
  std::size_t over_line(std::size_t rusher, std::size_t frame) const {
    while (frame + 1 < frames_ && !(at(frame, rusher).y() >= 0)) ++frame;
    return frame;
  }

  bool stays_near(std::size_t man, std::size_t rusher, std::size_t from) const {
    std::size_t frame = from;
    while (frame + 1 < frames_ && time(frame) - time(from) < leaves_by - tolerance::time) ++frame;
    return within(at(frame, man), at(frame, rusher), meet_);
  }

  /// The last frame up to `until` in which a man is within meet of a rusher; `until` when there is none.
  std::size_t left_at(std::size_t man, std::size_t rusher, std::size_t until) const {
    for (std::size_t frame = until + 1; frame-- > 0;) {
      if (within(at(frame, man), at(frame, rusher), meet_)) return frame;
    }
    return until;
  }

  /// Who has a rusher after a crossing.
  const Rep* after_crossing(std::size_t rusher, std::size_t frame) const {
    const Rep* last = nullptr;
    for (const Rep* rep : reps_of_rusher(match_, rusher)) {
      if (!last || time(rep->spell.first) <= time(frame) + together + tolerance::time) last = rep;
    }
    return last;
  }

  /// Another man's spell on a rusher, no rep, before his rep; the latest.
  std::optional<std::size_t> spell_before(std::size_t rusher, const Rep* rep) const {
    std::optional<std::size_t> man;
    std::size_t latest = 0;
    for (const Rep& other : match_.others) {
      if (other.spell.rusher != rusher || !rep || other.spell.protector == rep->spell.protector) continue;
      if (other.spell.first >= rep->spell.first || (man && other.spell.first < latest)) continue;
      latest = other.spell.first;
      man = other.spell.protector;
    }
    return man;
  }

  std::optional<std::size_t> lineman_across(std::size_t rusher, std::optional<std::size_t> but) const {
    std::optional<std::size_t> nearest;
    double least = infinity;
    for (const std::size_t man : play_.protectors) {
      if (!play_.men[man].is_lineman() || man == but) continue;
      const double off = std::abs(at(0, man).x() - at(0, rusher).x());
      if (!(off < least)) continue;
      least = off;
      nearest = man;
    }
    return nearest;
  }

  /// A rusher who crossed and whose reps show no change of hands then.
  void add_crossed(std::size_t rusher, const Crossing& crossed, std::vector<ExchangesTable::Row>& rows) const {
    const Rep *his = after_crossing(rusher, crossed.frame), *others = after_crossing(crossed.other, crossed.frame);
    std::optional<std::size_t> from = spell_before(rusher, his);
    ExchangeKind kind = ExchangeKind::twist;
    if (!his) {
      from = lineman_across(rusher, others ? std::optional(others->spell.protector) : std::nullopt);
    } else if (!from) {
      const std::size_t man = his->spell.protector;
      const double u = at(0, man).x(), mine = at(0, rusher).x(), other = at(0, crossed.other).x();
      bool stayed = !(std::abs(u - mine) > std::abs(u - other));
      if (others) stayed = !((at(0, others->spell.protector).x() - u) * (other - mine) < 0);
      kind = stayed ? ExchangeKind::stayed : ExchangeKind::twist;
      from = stayed ? man : others ? others->spell.protector : lineman_across(rusher, man);
    }
    ExchangesTable::Row row = new_row(rusher);
    const std::size_t frame = kind == ExchangeKind::stayed ? crossed.frame : over_line(rusher, crossed.frame);
    finish(row, kind, frame, from, his, rusher, &crossed);
    rows.push_back(row);
  }

  const Play& play_;
  const Motion& motion_;
  const Match& match_;
  const std::size_t frames_;
  const double meet_;
  ExchangesTable& table_;
};

}  // namespace

void add_exchanges(const Play& play, const Motion& motion, const Match& match, double meet, ExchangesTable& table) {
  Exchanges(play, motion, match, meet, table).add();
}

}  // namespace shortedge
