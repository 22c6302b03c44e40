#include "reps/searches.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/tolerances.hpp"
#include "reps/hands.hpp"

namespace shortedge {

namespace {

constexpr double back_depth = 2.0;     // yd behind the line: from here on he is a back
constexpr double on_line = -2.0;       // yd
constexpr double lined_up = 2.0;       // yd across
constexpr double contact_from = 0.3;   // s after the snap
constexpr double help_seconds = 0.2;   // s on end
constexpr double closed_break = 0.3;   // s
constexpr double worth_telling = 0.3;  // s left

struct Help {
  std::size_t rusher, owner;  // indices into Play::men
  std::size_t first, last;    // frames
};

class Searches {
 public:
  Searches(const Play& play, const Motion& motion, const Match& match, const ExchangesTable& exchanges,
           std::size_t from, double meet, SearchesTable& table)
      : play_(play),
        motion_(motion),
        match_(match),
        frames_(match.span.frames),
        exchanges_(exchanges),
        from_(from),
        meet_(meet),
        table_(table) {
    for (std::size_t r = 0; r < play.rushers.size(); ++r) at_snap_.push_back(man_at_snap(r));
  }

  void add() {
    if (frames_ == 0) return;  // thrown before the first frame
    for (const std::size_t man : play_.protectors) {
      if (!present(at(0, man))) continue;
      const bool back = !play_.men[man].is_lineman() && at(0, man).y() >= back_depth;
      std::vector<bool> had(play_.rushers.size());
      for (std::size_t r = 0; r < had.size() && !back; ++r) had[r] = at_snap_[r] == man;
      std::optional<std::size_t> looks = 0;
      Looking why = back ? Looking::back : Looking::uncovered;
      if (std::find(had.begin(), had.end(), true) != had.end()) {
        looks = freed(man, 0, had);
        why = Looking::freed;
      }
      while (looks) looks = search(man, *looks, why, had);
    }
  }

 private:
  double time(std::size_t frame) const { return play_.time[frame]; }
  const Point& at(std::size_t frame, std::size_t man) const { return motion_.at(frame, man); }
  std::size_t frame_at(double when) const {
    const auto found = std::lower_bound(play_.time.begin(), play_.time.end(), when - tolerance::time);
    return static_cast<std::size_t>(found - play_.time.begin());
  }

  template <class Visit>
  void for_exchanges(Visit&& visit) const {
    for (std::size_t row = from_; row < exchanges_.rows(); ++row) visit(row);
  }

  bool last_of_his_side(std::size_t man, double rusher) const {
    const double u = at(0, man).x();
    const bool right = rusher >= u;
    return std::none_of(play_.protectors.begin(), play_.protectors.end(), [&](std::size_t other) {
      if (!(at(0, other).y() < back_depth)) return false;
      return right ? at(0, other).x() > u : at(0, other).x() < u;
    });
  }

  /// Whose he was at the snap.
  std::optional<std::size_t> man_at_snap(std::size_t index) const {
    const std::size_t rusher = play_.rushers[index];
    const Point& stood = at(0, rusher);
    if (!present(stood) || stood.y() < on_line) return {};
    std::optional<std::size_t> man;
    const std::vector<const Rep*> his = reps_of_rusher(match_, rusher);
    if (!his.empty()) man = his.front()->spell.protector;
    double earliest = infinity;
    for_exchanges([&](std::size_t row) {
      if (exchanges_.rusher[row] != play_.men[rusher].player || exchanges_.time[row] >= earliest) return;
      earliest = exchanges_.time[row];
      man = index_of(exchanges_.from_man[row]);
    });
    if (!man || !present(at(0, *man))) return {};
    const bool across = std::abs(at(0, *man).x() - stood.x()) <= lined_up || last_of_his_side(*man, stood.x());
    return across ? man : std::nullopt;
  }

  std::optional<std::size_t> index_of(std::int32_t player) const {
    for (std::size_t man = 0; man < play_.men.size(); ++man) {
      if (player != no_code && play_.men[man].player == player) return man;
    }
    return {};
  }

  bool beaten(std::size_t man, std::size_t rusher) const {
    return std::any_of(match_.reps.begin(), match_.reps.end(), [&](const Rep& rep) {
      return rep.spell.protector == man && rep.spell.rusher == rusher && rep.duel.beat;
    });
  }

  /// The first frame from `from` on from which a man is free of one of `his` rushers; nothing for one who never is, or
  /// too late to look for another.
  std::optional<std::size_t> freed(std::size_t man, std::size_t from, const std::vector<bool>& his) const {
    double when = infinity;
    const std::int32_t player = play_.men[man].player;
    for_exchanges([&](std::size_t row) {
      if (exchanges_.from_man[row] != player || exchanges_.to_man[row] == player) return;
      bool given = false;
      for_exchanges([&](std::size_t other) {
        given =
            given || (exchanges_.to_man[other] == player && exchanges_.crossed_with[row] == exchanges_.rusher[other]);
      });
      const std::size_t index = rusher_index(*index_of(exchanges_.rusher[row]));
      if (given || !his[index] || beaten(man, play_.rushers[index])) return;
      if (exchanges_.time[row] >= time(from)) when = std::fmin(when, exchanges_.time[row]);
    });
    for (std::size_t r = 0; r < play_.rushers.size(); ++r) {
      if (!his[r] || !dropped(play_, play_.rushers[r]) || beaten(man, play_.rushers[r])) continue;
      const std::size_t last = last_seen(play_, motion_, play_.rushers[r]);
      const bool has = last < frames_ && last >= from && match_.man[r][last] == static_cast<std::int32_t>(man);
      if (has) when = std::fmin(when, time(last));
    }
    const bool worth = match_.span.end - when >= worth_telling - tolerance::time;
    return worth ? std::optional(frame_at(when)) : std::nullopt;
  }

  /// The frame of first contact of a man's rep; without one the beat, else its end.
  static std::size_t found_at(const Rep& rep) {
    return rep.duel.contact ? *rep.duel.contact : rep.duel.beat ? rep.duel.beat->frame : rep.spell.last;
  }

  std::size_t rusher_index(std::size_t rusher) const {
    return static_cast<std::size_t>(std::find(play_.rushers.begin(), play_.rushers.end(), rusher) -
                                    play_.rushers.begin());
  }

  const Rep* first_rep(std::size_t man, std::size_t from, const std::vector<bool>& had) const {
    const Rep* first = nullptr;
    for (const Rep& rep : match_.reps) {
      if (rep.spell.protector != man || rep.spell.last <= from || had[rusher_index(rep.spell.rusher)]) continue;
      if (!first || found_at(rep) < found_at(*first)) first = &rep;
    }
    return first;
  }

  /// The first time from `from` to frame `until` that he helps on another's rusher.
  std::optional<Help> first_help(std::size_t man, std::size_t from, std::size_t until,
                                 const std::vector<bool>& had) const {
    std::optional<Help> first;
    for (std::size_t r = 0; r < play_.rushers.size(); ++r) {
      const std::size_t rusher = play_.rushers[r];
      if (had[r]) continue;
      std::optional<std::size_t> begin, last;
      for (std::size_t frame = from; frame <= until; ++frame) {
        if (time(frame) < contact_from - tolerance::time || !play_.men[rusher].takes_part(frame)) continue;
        const std::int32_t owner = match_.man[r][frame];
        if (owner == nobody || owner == static_cast<std::int32_t>(man)) continue;
        if (!within(at(frame, man), at(frame, rusher), meet_)) continue;
        if (last && time(frame) - time(*last) >= closed_break - tolerance::time) {
          if (long_enough(*begin, *last)) break;
          begin.reset();
        }
        if (!begin) begin = frame;
        last = frame;
      }
      if (!begin || !long_enough(*begin, *last)) continue;
      if (first && first->first <= *begin) continue;
      first = Help{rusher, static_cast<std::size_t>(match_.man[r][*begin]), *begin, *last};
    }
    return first;
  }

  bool long_enough(std::size_t first, std::size_t last) const {
    return time(last) - time(first) >= help_seconds - tolerance::time;
  }

  /// Adds one search; the frame from which he looks again, if he does.
  std::optional<std::size_t> search(std::size_t man, std::size_t start, Looking& why, std::vector<bool>& had) {
    const Rep* rep = first_rep(man, start, had);
    const std::size_t met = rep ? std::max(start, found_at(*rep)) : frames_ - 1;
    const std::optional<Help> help = first_help(man, start, met, had);
    SearchesTable::Row row;
    row.play = play_.play;
    row.man = play_.men[man].player;
    if (play_.men[man].is_lineman()) row.slot = static_cast<std::int8_t>(code(play_.men[man].slot) - 1);
    row.why = code(why);
    row.start = start == 0 ? 0.0 : time(start);
    if (why != Looking::back) why = Looking::freed;
    std::optional<std::size_t> again;
    std::size_t end = frames_ - 1;
    row.end = match_.span.end;
    // Whom he helps on and has from then on he has found.
    const bool takes_over = help && rep && help->rusher == rep->spell.rusher &&
                            time(met) - time(help->last) < closed_break - tolerance::time;
    if (help && !takes_over) {
      end = help->first;
      row.end = time(end);
      row.found = code(Found::help);
      row.helped = play_.men[help->owner].player;
      row.until = time(help->last);
      add_rusher(man, help->rusher, start, end, row);
      if (match_.span.end - row.until >= worth_telling - tolerance::time && help->last > start) again = help->last;
    } else if (rep) {
      end = takes_over ? help->first : met;
      row.end = time(end);
      row.found = code(Found::rusher);
      add_rusher(man, rep->spell.rusher, start, end, row);
      std::vector<bool> his(had.size());
      his[rusher_index(rep->spell.rusher)] = true;
      again = freed(man, end, his);
      had[rusher_index(rep->spell.rusher)] = true;
    } else {
      row.found = code(Found::no_one);
    }
    row.distance = distance(at(start, man), at(end, man));
    row.film_time = play_.film_time + row.end;
    table_.add(row);
    return again;
  }

  void add_rusher(std::size_t man, std::size_t rusher, std::size_t start, std::size_t end,
                  SearchesTable::Row& row) const {
    row.rusher = play_.men[rusher].player;
    const double off = at(end, rusher).x() - at(start, man).x();
    if (!std::isnan(off)) row.side = code(side_of(off));
  }

  const Play& play_;
  const Motion& motion_;
  const Match& match_;
  const std::size_t frames_;
  const ExchangesTable& exchanges_;
  const std::size_t from_;
  const double meet_;
  SearchesTable& table_;
  std::vector<std::optional<std::size_t>> at_snap_;  // by rusher: whose he was at the snap
};

}  // namespace

void add_searches(const Play& play, const Motion& motion, const Match& match, const ExchangesTable& exchanges,
                  std::size_t from, double meet, SearchesTable& table) {
  Searches(play, motion, match, exchanges, from, meet, table).add();
}

}  // namespace shortedge
