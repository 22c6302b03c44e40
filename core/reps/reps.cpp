#include "reps/reps.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/tolerances.hpp"
#include "match/help.hpp"
#include "play/drop.hpp"
#include "play/line.hpp"
#include "play/sides.hpp"
#include "reps/exchanges.hpp"
#include "reps/hands.hpp"
#include "reps/looks.hpp"
#include "reps/pressure.hpp"
#include "reps/searches.hpp"
#include "reps/technique.hpp"
#include "rush/corner.hpp"

namespace shortedge {

namespace {

constexpr double fast_feet = 3.3;  // yd/s, the fastest kick slide (from memory, no source)

/// A play's measured figures by rusher and frame: the last rows of `measured`.
class Figures {
 public:
  Figures(const Play& play, const Tables& measured) : frames_(play.frames()), rushers(measured.rushers) {
    rows_.assign(play.rushers.size() * frames_, none);
    std::size_t frame = 0, first = rushers.rows();
    while (first > 0 && rushers.play[first - 1] == play.play) --first;
    for (std::size_t row = first; row < rushers.rows(); ++row) {
      while (play.time[frame] != rushers.time[row]) ++frame;
      std::size_t r = 0;
      while (play.men[play.rushers[r]].player != rushers.rusher[row]) ++r;
      rows_[r * frames_ + frame] = row;
    }
  }
  /// The row of rushers; nothing when he has none in that frame.
  std::optional<std::size_t> row(std::size_t rusher, std::size_t frame) const {
    const std::size_t at = rows_[rusher * frames_ + frame];
    return at == none ? std::nullopt : std::optional(at);
  }

 private:
  static constexpr std::size_t none = static_cast<std::size_t>(-1);
  std::size_t frames_;
  std::vector<std::size_t> rows_;

 public:
  const RushersTable& rushers;
};

class PlayReps {
 public:
  PlayReps(const Play& play, const Motion& motion, const Match& match, const Tables& measured, const Rules& rules,
           std::size_t snap_row, RepTables& tables)
      : play_(play),
        motion_(motion),
        measured_(measured),
        figures_(play, measured),
        rules_(rules),
        snap_row_(snap_row),
        tables_(tables),
        match_(match),
        span_(match.span),
        reps_(match.reps) {
    for (const std::size_t rusher : play.rushers) pressures_.push_back(pressures(play, motion, span_, rusher));
  }

  void add() {
    std::vector<RepsTable::Row> rows;
    for (const Rep& rep : reps_) rows.push_back(rep_row(rep));
    for (const std::size_t rusher : play_.rushers) {
      if (has_rep(&Spell::rusher, rusher)) continue;
      if (const std::size_t first = first_seen(play_, motion_, rusher); first < span_.frames)
        rows.push_back(free_row(rusher, first));
    }
    charge_pressure(rows);
    for (const std::size_t man : play_.offense) {
      if (has_rep(&Spell::protector, man)) continue;
      const auto helped = helped_longest(man);
      if (helped || play_.men[man].is_lineman()) rows.push_back(other_row(man, helped));
    }
    const std::size_t exchanges = tables_.exchanges.rows();
    add_exchanges(play_, motion_, match_, rules_.meet, tables_.exchanges);
    for (RepsTable::Row& row : rows) {
      const auto all = std::span(tables_.exchanges.rusher).subspan(exchanges);
      row.exchanged = row.rusher != no_code && std::find(all.begin(), all.end(), row.rusher) != all.end();
      tables_.reps.add(row);
    }
    add_searches(play_, motion_, match_, tables_.exchanges, exchanges, rules_.meet, tables_.searches);
    add_looks(play_, motion_, match_, tables_.looks);
    add_dropback();
  }

 private:
  double time(std::size_t frame) const { return play_.time[frame]; }
  std::int32_t player(std::size_t man) const { return play_.men[man].player; }
  const Point& passer(std::size_t frame) const { return motion_.at(frame, play_.passer); }
  bool has_rep(std::size_t Spell::* who, std::size_t man) const {
    return std::any_of(reps_.begin(), reps_.end(), [&](const Rep& rep) { return rep.spell.*who == man; });
  }
  double seconds(std::size_t frame) const { return held_seconds(play_, frame, span_.frames); }

  bool met(std::size_t frame, std::size_t man, std::size_t rusher) const {
    return play_.men[rusher].takes_part(frame) &&
           within(motion_.at(frame, man), motion_.at(frame, rusher), rules_.meet);
  }

  std::optional<Help> help(std::size_t man, std::size_t rusher, std::size_t first, std::size_t last) const {
    return help_of(play_, motion_, rules_.meet, man, rusher, first, last);
  }

  struct Helped {
    std::size_t rusher;
    Help help;
  };
  /// The rusher he helped on for the longest time.
  std::optional<Helped> helped_longest(std::size_t man) const {
    std::optional<Helped> longest;
    if (span_.frames == 0) return longest;
    for (const std::size_t rusher : play_.rushers) {
      const auto helped = help(man, rusher, 0, span_.frames - 1);
      if (helped && (!longest || helped->seconds > longest->help.seconds)) longest = {rusher, *helped};
    }
    return longest;
  }

  void add_alignment(std::size_t rusher, RepsTable::Row& row) const {
    const Aligned at = aligned(play_, motion_, rusher);
    row.rusher = player(rusher);
    row.technique = code(at.technique);
    row.technique_side = code(at.side);
    const Man& man = play_.men[rusher];
    row.came = time(man.counts_from);
    if (dropped(play_, rusher)) row.dropped = time(last_seen(play_, motion_, rusher));
  }

  double nearest_rusher(std::size_t first, std::size_t end) const {
    double nearest = nan;
    for (std::size_t frame = first; frame < end; ++frame) {
      for (const std::size_t rusher : play_.rushers) {
        if (!play_.men[rusher].takes_part(frame)) continue;
        nearest = std::fmin(nearest, distance(motion_.at(frame, rusher), passer(frame)));
      }
    }
    return nearest;
  }

  RepsTable::Row new_row() const {
    RepsTable::Row row;
    row.play = play_.play;
    row.island_seconds = row.short_edge_seconds = 0;
    return row;
  }

  RepsTable::Row free_row(std::size_t rusher, std::size_t first) const {
    RepsTable::Row row = new_row();
    add_alignment(rusher, row);
    row.start = time(first);
    row.end = span_.end;
    row.outcome = code(Outcome::free);
    row.nearest_rusher_min = nearest_rusher(first, span_.frames);
    return row;
  }

  RepsTable::Row other_row(std::size_t man, const std::optional<Helped>& helped) const {
    RepsTable::Row row = new_row();
    row.protector = player(man);
    row.start = 0;
    row.end = span_.end;
    row.outcome = code(helped ? Outcome::help : Outcome::uncovered);
    row.nearest_rusher_min = nearest_rusher(0, span_.frames);
    if (!helped) return row;
    add_alignment(helped->rusher, row);
    row.start = time(helped->help.first);
    row.end = time(helped->help.last);
    row.nearest_rusher_min = nearest_rusher(helped->help.first, helped->help.last + 1);
    if (helped->help.side != 0) row.help_side = code(side_of(helped->help.side));
    return row;
  }

  RepsTable::Row rep_row(const Rep& rep) const {
    const auto& [spell, duel] = rep;
    RepsTable::Row row = new_row();
    row.protector = player(spell.protector);
    add_alignment(spell.rusher, row);
    row.start = time(spell.first);
    row.end = time(spell.last);
    if (duel.contact) add_contact(spell, *duel.contact, row);
    row.hips_time = hips_time(spell, duel);
    row.ground_given = duel.ground_given;
    row.run_by = duel.run_by;
    row.outcome = code(outcome_of(duel));
    if (duel.beat) {
      row.beat_side = code(duel.beat->side);
      row.beat_time = time(duel.beat->frame);
      row.ball_out = !std::isnan(play_.throw_time) && pressures_[index_of(spell.rusher)].empty();
    }
    add_cutoff(spell, duel, row);
    add_exposures(spell, duel, row);
    row.nearest_rusher_min = nearest_rusher(spell.first, spell.last + 1);
    row.peak_film_time = play_.film_time + row.peak_outside_time;
    row.contact_film_time = play_.film_time + row.contact_time;
    row.beat_film_time = play_.film_time + row.beat_time;
    if (const auto at = figures_.row(index_of(spell.rusher), duel.contact.value_or(spell.last))) {
      row.lane = figures_.rushers.lane[*at];
      row.lane_side = figures_.rushers.lane_side[*at];
    }
    return row;
  }

  void add_contact(const Spell& spell, std::size_t contact, RepsTable::Row& row) const {
    const Point &protector = motion_.at(contact, spell.protector), &rusher = motion_.at(contact, spell.rusher);
    row.contact_time = time(contact);
    const int side = side_of_man(play_, motion_, contact, spell.protector, passer(contact));
    if (side != 0) row.leverage = (rusher.x() - protector.x()) * side;
    const SetLook set = set_of(play_, motion_, spell.protector, contact);
    row.set_type = code(set.type);
    row.set_depth = set.depth;
    row.set_angle = set.angle;
    for (const std::size_t man : play_.offense) {
      if (man == spell.protector) continue;
      if (help(man, spell.rusher, contact, spell.last)) row.helped = true;
    }
    for (std::size_t frame = contact; frame < spell.last; ++frame) {
      const bool alone = std::none_of(play_.offense.begin(), play_.offense.end(), [&](std::size_t man) {
        return man != spell.protector && met(frame, man, spell.rusher);
      });
      if (alone) row.island_seconds += seconds(frame);
    }
  }

  double hips_time(const Spell& spell, const Duel& duel) const {
    const std::size_t until = duel.contact ? *duel.contact : duel.beat ? duel.beat->frame : spell.last + 1;
    for (std::size_t frame = spell.first; frame < until; ++frame) {
      const Point& velocity = motion_.speed(frame, spell.protector);
      if (!(velocity.norm() > fast_feet)) continue;
      const int side = side_of_man(play_, motion_, frame, spell.protector, passer(frame));
      const bool straight_back = velocity.y() >= std::abs(velocity.x());
      if (straight_back || (velocity.y() > 0 && velocity.x() * side > 0)) return time(frame);
    }
    return nan;
  }

  void add_cutoff(const Spell& spell, const Duel& duel, RepsTable::Row& row) const {
    const std::size_t last = duel.contact ? *duel.contact : duel.beat ? duel.beat->frame : spell.last;
    const PeakCutoff peak = peak_cutoff(play_, motion_, spell.rusher, spell.protector, span_.spot,
                                        play_.men[spell.rusher].counts_from, last);
    if (std::isnan(peak.ratio)) return;
    row.peak_cutoff_ratio = peak.ratio;
    row.peak_cutoff_time = time(peak.frame);
    row.foot_speed = peak.ratio * motion_.speed(peak.frame, spell.rusher).norm();
  }

  void add_exposures(const Spell& spell, const Duel& duel, RepsTable::Row& row) const {
    const RushersTable& rushers = figures_.rushers;
    const std::size_t rusher = index_of(spell.rusher);
    const auto raise = [](double value, double at, double& peak, double& when) {
      if (std::isnan(value) || value <= peak) return;
      peak = value;
      when = at;
    };
    bool beaten_inside = false;
    for (std::size_t frame = spell.first; frame <= spell.last; ++frame) {
      const auto at = figures_.row(rusher, frame);
      if (!at || rushers.blocker[*at] != player(spell.protector)) continue;
      const double outside = rushers.outside_exposure[*at];
      if (time(frame) >= span_.pressure_from - tolerance::time) {
        raise(outside, time(frame), row.peak_outside, row.peak_outside_time);
        raise(rushers.inside_exposure[*at], time(frame), row.peak_inside, row.peak_inside_time);
      }
      beaten_inside = beaten_inside || (duel.beat && duel.beat->side == BeatSide::inside && frame >= duel.beat->frame);
      if (!beaten_inside && frame < spell.last && outside >= shown_exposure && rushers.short_edge[*at] >= told_short) {
        row.short_edge_seconds += seconds(frame);
      }
    }
  }

  std::size_t index_of(std::size_t rusher) const {
    return static_cast<std::size_t>(std::find(play_.rushers.begin(), play_.rushers.end(), rusher) -
                                    play_.rushers.begin());
  }

  /// Each pressure goes to that rusher's rep running then, else to his last one before.
  void charge_pressure(std::vector<RepsTable::Row>& rows) const {
    for (std::size_t r = 0; r < play_.rushers.size(); ++r) {
      for (const double begins : pressures_[r]) {
        RepsTable::Row* charged = nullptr;
        for (RepsTable::Row& row : rows) {
          if (row.rusher != player(play_.rushers[r]) || row.start > begins + tolerance::time) continue;
          if (!charged || row.start >= charged->start) charged = &row;
        }
        if (!charged || charged->pressure) continue;
        charged->pressure = true;
        charged->pressure_time = begins;
      }
    }
  }

  void add_dropback() {
    DropbacksTable::Row row;
    row.play = play_.play;
    row.label = static_cast<std::int32_t>(snap_row_);
    row.passer = player(play_.passer);
    row.alignment = code(alignment_of(play_, motion_));
    row.snap = code(snapped(play_, motion_));
    row.line = code(look_at_line(play_, motion_).line);
    row.top_time = top_of_drop(play_, motion_);
    row.throw_time = play_.throw_time;
    const std::size_t frames = std::isnan(play_.throw_time) ? span_.frames : span_.thrown;
    double at_end = nan, at_top = nan;
    for (std::size_t frame = 0; frame < frames; ++frame) {
      if (!present(passer(frame))) continue;
      at_end = passer(frame).y();
      if (time(frame) == row.top_time) at_top = at_end;
      row.drop_depth = std::fmax(row.drop_depth, at_end);
    }
    row.hitch = at_top - at_end;
    for (const std::size_t rusher : play_.rushers) row.rushers += first_seen(play_, motion_, rusher) < span_.frames;
    for (const std::vector<double>& begins : pressures_) {
      if (!begins.empty()) row.pressure_time = std::fmin(row.pressure_time, begins.front());
    }
    row.pressure = !std::isnan(row.pressure_time);
    const std::vector<double>& depth = measured_.frames.pocket_depth;
    const Push push = interior_push(play_, motion_, std::span(depth).last(play_.frames()), rules_, span_);
    row.push = push.rate;
    row.push_time = push.time;
    if (push.man) row.push_man = player(*push.man);
    row.ball_across = play_.ball_across;
    if (const int wide = wide_side(play_); wide != 0) row.wide_side = code(side_of(wide));
    tables_.dropbacks.add(row);
  }

  const Play& play_;
  const Motion& motion_;
  const Tables& measured_;
  const Figures figures_;
  const Rules& rules_;
  const std::size_t snap_row_;
  RepTables& tables_;
  const Match& match_;
  const RepSpan& span_;
  const std::vector<Rep>& reps_;
  std::vector<std::vector<double>> pressures_;  // by rusher: s at which each begins
};

}  // namespace

void add_reps(const Play& play, const Motion& motion, const Match& match, const Tables& measured, const Rules& rules,
              std::size_t snap_row, RepTables& tables) {
  PlayReps(play, motion, match, measured, rules, snap_row, tables).add();
}

void add_reps(const Play& play, const Motion& motion, const Rules& rules, std::size_t snap_row, RepTables& tables) {
  const Match match = match_play(play, motion, rules);
  Tables measured;
  measure_for_reps(play, motion, match, rules, measured);
  add_reps(play, motion, match, measured, rules, snap_row, tables);
}

MeasuredReps measure_with_reps(const Game& game, const Rules& rules, unsigned threads, const Progress& progress) {
  rules.validate();
  return over_plays<MeasuredReps>(
      game, threads, progress, [&](const ReadyPlay& ready, std::size_t snap_row, MeasuredReps& tables) {
        const Match match = match_play(ready.play, ready.motion, rules);
        measure(ready.play, ready.motion, match, rules, tables.measured);
        add_reps(ready.play, ready.motion, match, tables.measured, rules, snap_row, tables.reps);
      });
}

RepTables reps_of_game(const Game& game, const Rules& rules, unsigned threads, const Progress& progress) {
  rules.validate();
  return over_plays<RepTables>(game, threads, progress,
                               [&](const ReadyPlay& ready, std::size_t snap_row, RepTables& tables) {
                                 add_reps(ready.play, ready.motion, rules, snap_row, tables);
                               });
}

}  // namespace shortedge
