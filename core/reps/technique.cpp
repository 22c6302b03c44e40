#include "reps/technique.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "play/sides.hpp"

namespace shortedge {

namespace {

constexpr double head_up = 0.2;     // yd
constexpr double shade = 1.5;       // yd
constexpr double off_line = -2.5;   // yd
constexpr double attached = 2.0;    // yd from the tackle
constexpr double jump_depth = 1.5;  // yd

/// A man of the line a technique is counted from: a lineman or an attached tight end.
struct LineMan {
  Point at;
  int side;   // 0 for the centre, and for a tight end who does not stand outside the guard
  Slot slot;  // none for a tight end
};

std::vector<LineMan> line_at_snap(const Play& play, const Motion& motion) {
  std::vector<LineMan> line;
  for (const std::size_t man : play.offense) {
    const Point& at = motion.at(0, man);
    const Slot slot = play.men[man].slot;
    if (slot != Slot::none && present(at)) {
      line.push_back({at, play.men[man].line_side, slot});
    }
  }
  const std::size_t linemen = line.size();
  for (const std::size_t man : play.offense) {
    const Point& at = motion.at(0, man);
    if (play.men[man].position != Position::TE || play.men[man].slot != Slot::none || !present(at)) continue;
    for (std::size_t tackle = 0; tackle < linemen; ++tackle) {
      const bool is_tackle = line[tackle].slot == Slot::LT || line[tackle].slot == Slot::RT;
      if (is_tackle && distance(at, line[tackle].at) <= attached) {
        line.push_back({at, side_of_man(play, motion, 0, man, motion.at(0, play.passer)), Slot::none});
        break;
      }
    }
  }
  return line;
}

}  // namespace

Aligned aligned(const Play& play, const Motion& motion, std::size_t rusher) {
  const Point& at = motion.at(0, rusher);
  const std::vector<LineMan> line = line_at_snap(play, motion);
  if (!present(at) || line.empty()) return {};
  if (at.y() < off_line) return {Technique::off, Side::none};

  const auto across = [&](const LineMan& man) { return std::abs(at.x() - man.at.x()); };
  const LineMan& nearest =
      *std::min_element(line.begin(), line.end(), [&](auto& a, auto& b) { return across(a) < across(b); });
  const double off = at.x() - nearest.at.x();
  if (nearest.slot == Slot::C && std::abs(off) <= head_up) return {Technique::t0, Side::none};
  const int side = nearest.slot == Slot::C ? (off < 0 ? -1 : 1) : nearest.side;
  if (side == 0) return {};
  double widest = nearest.at.x() * side;
  for (const LineMan& man : line) {
    if (man.side == side) widest = std::max(widest, man.at.x() * side);
  }
  if (at.x() * side - widest > shade) return {Technique::wide, side_of(side)};
  if (nearest.slot == Slot::C) return {Technique::t1, side_of(side)};
  struct Shades {
    Technique inside, head_up, outside;
  };
  const Shades names = nearest.slot == Slot::LG || nearest.slot == Slot::RG
                           ? Shades{Technique::t2i, Technique::t2, Technique::t3}
                       : nearest.slot == Slot::none ? Shades{Technique::t7, Technique::t6, Technique::t9}
                                                    : Shades{Technique::t4i, Technique::t4, Technique::t5};
  const double out = off * side;
  return {std::abs(out) <= head_up ? names.head_up : out > 0 ? names.outside : names.inside, side_of(side)};
}

SetLook set_of(const Play& play, const Motion& motion, std::size_t protector, std::size_t contact) {
  const Slot slot = play.men[protector].slot;
  const Point moved = motion.at(contact, protector) - motion.at(0, protector);
  if (slot == Slot::none || slot == Slot::C || !present(moved)) return {};
  const int side = play.men[protector].line_side;
  if (side_of_man(play, motion, contact, protector, motion.at(contact, play.passer)) != side) return {};
  const double back = moved.y(), out = moved.x() * side;
  const Set type = back < jump_depth   ? Set::jump
                   : out > 1.5 * back  ? Set::kick_out
                   : out >= 0.5 * back ? Set::forty_five
                                       : Set::vertical;
  return {type, back, degrees(std::atan2(out, back))};
}

}  // namespace shortedge
