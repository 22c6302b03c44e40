#include "play/line.hpp"

#include <algorithm>
#include <vector>

namespace shortedge {

namespace {

std::string_view word_of(Slot slot) { return slot_words[static_cast<std::size_t>(slot) - 1]; }

/// A tackle where a guard belongs, or the other way round.
bool elsewhere(const Man& man) {
  const bool guard = man.slot == Slot::LG || man.slot == Slot::RG,
             tackle = man.slot == Slot::LT || man.slot == Slot::RT;
  return (guard && (man.position == Position::T || man.position == Position::OT)) ||
         (tackle && (man.position == Position::G || man.position == Position::OG));
}

}  // namespace

LineLook look_at_line(const Play& play, const Motion& motion) {
  std::vector<std::size_t> line;
  for (std::size_t man = 0; man < play.men.size(); ++man) {
    if (play.men[man].is_lineman() && present(motion.at(0, man))) line.push_back(man);
  }
  LineLook look;
  if (line.size() < slot_words.size()) {
    look.line = Line::few;
    look.says = std::to_string(line.size()) + " linemen at the snap: no";
    for (const Slot slot : {Slot::LT, Slot::LG, Slot::C, Slot::RG, Slot::RT}) {
      const bool there =
          std::any_of(line.begin(), line.end(), [&](std::size_t man) { return play.men[man].slot == slot; });
      if (!there) look.says.append(" ").append(word_of(slot));
    }
    look.says += ", so his rusher may be charged to another";
    return look;
  }
  std::stable_sort(line.begin(), line.end(),
                   [&](std::size_t a, std::size_t b) { return motion.at(0, a).x() < motion.at(0, b).x(); });
  const bool in_order = std::is_sorted(
      line.begin(), line.end(), [&](std::size_t a, std::size_t b) { return play.men[a].slot < play.men[b].slot; });
  const bool odd = std::any_of(line.begin(), line.end(), [&](std::size_t man) { return elsewhere(play.men[man]); });
  if (in_order && !odd) return look;
  look.line = Line::moved;
  look.says = "the line stood, left to right,";
  for (const std::size_t man : line) {
    const Man& who = play.men[man];
    look.says.append(" ").append(in_order ? position_words[static_cast<std::size_t>(who.position) - 1]
                                          : word_of(who.slot));
  }
  look.says += ": sides go by where a man stood";
  return look;
}

}  // namespace shortedge
