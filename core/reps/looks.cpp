#include "reps/looks.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "reps/hands.hpp"

namespace shortedge {

namespace {

constexpr double near_line = 8.0;                  // yd beyond the line
constexpr double on_line = 2.0;                    // yd beyond the line
constexpr double box_width = 3.0;                  // yd outside the line's end
constexpr double over_him = 1.5;                   // yd across
constexpr double slot_man_depth = 10.0;            // yd beyond the line
constexpr double receiver_depth = 2.5;             // yd behind the line
constexpr double split_out = 2.0;                  // yd outside the line's end
constexpr double deep_from = 8.0, deep_to = 15.0;  // yd beyond the line

class Looker {
 public:
  Looker(const Play& play, const Motion& motion, const Match& match) : play_(play), motion_(motion), match_(match) {
    for (std::size_t man = 0; man < play.men.size(); ++man) {
      if (play.men[man].is_lineman() && present(at(man))) line_.push_back(man);
    }
    const auto by_u = [&](std::size_t a, std::size_t b) { return at(a).x() < at(b).x(); };
    std::stable_sort(line_.begin(), line_.end(), by_u);
    if (line_.empty()) return;
    find_slots();
  }

  void add(LooksTable& table) const {
    if (line_.empty()) return;
    std::vector<std::size_t> men;
    for (std::size_t man = 0; man < play_.men.size(); ++man) {
      if (is_defender(man) && depth(man) <= near_line) men.push_back(man);
    }
    for (const std::size_t slot : slots_) {
      const std::optional<std::size_t> man = man_over(slot);
      if (man && std::find(men.begin(), men.end(), *man) == men.end()) men.push_back(*man);
    }
    std::sort(men.begin(), men.end());
    for (const std::size_t man : men) table.add(row(man));
  }

 private:
  const Point& at(std::size_t man) const { return motion_.at(0, man); }
  double depth(std::size_t man) const { return -at(man).y(); }
  double across(std::size_t a, std::size_t b) const { return std::abs(at(a).x() - at(b).x()); }
  bool is_defender(std::size_t man) const { return play_.men[man].unit == Unit::defense && present(at(man)); }
  static int side_at(double u) { return u < 0 ? -1 : 1; }
  /// How far outside the line's end of his side, yd; negative inside.
  double outside_line(std::size_t man) const {
    const double u = at(man).x();
    return std::max(u - at(line_.back()).x(), at(line_.front()).x() - u);
  }

  void find_slots() {
    std::vector<std::size_t> split;
    for (const std::size_t man : play_.offense) {
      if (play_.men[man].is_lineman() || !present(at(man)) || at(man).y() > receiver_depth) continue;
      if (outside_line(man) > split_out) split.push_back(man);
    }
    for (const std::size_t man : split) {
      const int side = side_at(at(man).x());
      const bool inside = std::any_of(split.begin(), split.end(),
                                      [&](std::size_t other) { return at(other).x() * side > at(man).x() * side; });
      if (inside) slots_.push_back(man);
    }
  }

  std::optional<std::size_t> man_over(std::size_t slot) const {
    std::optional<std::size_t> nearest;
    for (std::size_t man = 0; man < play_.men.size(); ++man) {
      if (!is_defender(man) || across(man, slot) > over_him || depth(man) > slot_man_depth) continue;
      if (!nearest || depth(man) < depth(*nearest)) nearest = man;
    }
    return nearest;
  }

  Spot spot_of(std::size_t man) const {
    const int side = side_at(at(man).x());
    const bool in_box = outside_line(man) <= box_width;
    for (const std::size_t slot : slots_) {
      if (across(man, slot) <= over_him) return Spot::slot;
      const bool between = !in_box && side_at(at(slot).x()) == side && at(man).x() * side < at(slot).x() * side;
      if (between) return Spot::slot;
    }
    return !in_box ? Spot::wide : depth(man) <= on_line ? Spot::line : Spot::box;
  }

  std::optional<std::size_t> deep_man(std::size_t man) const {
    std::optional<std::size_t> found;
    for (std::size_t other = 0; other < play_.men.size(); ++other) {
      if (other == man || !is_defender(other) || across(man, other) > over_him) continue;
      if (depth(other) < deep_from || depth(other) > deep_to || depth(other) <= depth(man)) continue;
      if (!found || across(man, other) < across(man, *found)) found = other;
    }
    return found;
  }

  std::optional<std::size_t> over(std::size_t man) const {
    std::optional<std::size_t> found;
    for (const std::size_t other : play_.offense) {
      if (!present(at(other)) || at(other).y() > receiver_depth || across(man, other) > over_him) continue;
      if (!found || across(man, other) < across(man, *found)) found = other;
    }
    return found;
  }

  std::optional<std::size_t> first_man(std::size_t rusher) const {
    const std::vector<const Rep*> his = reps_of_rusher(match_, rusher);
    return his.empty() ? std::nullopt : std::optional(his.front()->spell.protector);
  }

  /// The rusher of that side, on the line, next inside a blitzer from the slot.
  std::optional<std::size_t> next_inside(std::size_t blitzer, int side) const {
    std::optional<std::size_t> next;
    for (const std::size_t rusher : play_.rushers) {
      if (rusher == blitzer || !present(at(rusher)) || depth(rusher) > on_line) continue;
      if (!rushed(play_, motion_, match_, rusher)) continue;
      const double out = at(rusher).x() * side;
      if (out < 0 || out >= at(blitzer).x() * side) continue;
      if (!next || out > at(*next).x() * side) next = rusher;
    }
    return next;
  }

  void add_pickup(std::size_t blitzer, LooksTable::Row& row) const {
    const int side = side_at(at(blitzer).x());
    const std::optional<std::size_t> taken_by = first_man(blitzer), next = next_inside(blitzer, side);
    const std::optional<std::size_t> next_by = next ? first_man(*next) : std::nullopt;
    if (next) row.next_rusher = play_.men[*next].player;
    if (next_by) row.next_taken_by = play_.men[*next_by].player;
    const auto from_end = [&](std::size_t place) {  // the lineman so many inside the end of that side
      return side > 0 ? line_[line_.size() - 1 - place] : line_[place];
    };
    const auto pickup = [&] {
      if (!taken_by) return Pickup::no_one;
      if (*taken_by == from_end(0)) {
        return line_.size() > 1 && next_by == from_end(1) ? Pickup::outside_in : Pickup::tackle;
      }
      const Slot slot = play_.men[*taken_by].slot;
      if (slot == Slot::LT || slot == Slot::RT) return Pickup::tackle;  // not seen at the snap
      return slot != Slot::none ? Pickup::inside : Pickup::back;
    };
    row.pickup = code(pickup());
  }

  LooksTable::Row row(std::size_t man) const {
    LooksTable::Row row;
    row.play = play_.play;
    row.defender = play_.men[man].player;
    const Spot spot = spot_of(man);
    row.spot = code(spot);
    const int side = side_at(at(man).x());
    row.side = code(side_of(side));
    row.across = at(man).x();
    row.depth = depth(man);
    if (const auto other = over(man)) row.over = play_.men[*other].player;
    if (const auto deep = deep_man(man)) {
      row.deep_over = true;
      row.deep_man = play_.men[*deep].player;
    }
    if (const int wide = wide_side(play_); wide != 0) {
      row.field_side = code(side == wide ? FieldSide::wide : FieldSide::short_side);
    }
    row.rushed = rushed(play_, motion_, match_, man);
    if (!row.rushed) return row;
    row.came = play_.time[play_.men[man].counts_from];
    if (dropped(play_, man)) row.dropped = play_.time[last_seen(play_, motion_, man)];
    if (const auto first = first_man(man)) row.taken_by = play_.men[*first].player;
    if (spot == Spot::slot) add_pickup(man, row);
    return row;
  }

  const Play& play_;
  const Motion& motion_;
  const Match& match_;
  std::vector<std::size_t> line_;   // linemen seen at the snap, left to right
  std::vector<std::size_t> slots_;  // inside receivers
};

}  // namespace

void add_looks(const Play& play, const Motion& motion, const Match& match, LooksTable& table) {
  Looker(play, motion, match).add(table);
}

}  // namespace shortedge
