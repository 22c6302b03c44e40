#pragma once
/// Whose a rusher was in turn, and when he takes part: what exchanges, searches and looks are told from.

#include <vector>

#include "match/match.hpp"

namespace shortedge {

/// A rusher's reps, by their start.
inline std::vector<const Rep*> reps_of_rusher(const Match& match, std::size_t rusher) {
  std::vector<const Rep*> his;
  for (const Rep& rep : match.reps) {
    if (rep.spell.rusher == rusher) his.push_back(&rep);
  }
  return his;
}

inline Outcome outcome_of(const Duel& duel) {
  constexpr double driven_ground = 1.5;  // yd
  return duel.beat                                            ? Outcome::beat
         : !duel.run_by && duel.ground_given >= driven_ground ? Outcome::driven
                                                              : Outcome::held;
}

/// The first measured frame in which a rusher takes part and is seen; frames() when there is none.
inline std::size_t first_seen(const Play& play, const Motion& motion, std::size_t rusher) {
  std::size_t frame = play.men[rusher].counts_from;
  while (frame < play.frames() && !present(motion.at(frame, rusher))) ++frame;
  return frame;
}

/// The last frame in which a rusher who dropped takes part and is seen.
inline std::size_t last_seen(const Play& play, const Motion& motion, std::size_t rusher) {
  std::size_t frame = play.men[rusher].counts_to - 1;
  while (!present(motion.at(frame, rusher))) --frame;
  return frame;
}

inline bool dropped(const Play& play, std::size_t rusher) { return play.men[rusher].counts_to < play.frames(); }

/// Whether he rushed by the end of reps.
inline bool rushed(const Play& play, const Motion& motion, const Match& match, std::size_t man) {
  return play.men[man].role == Role::rusher && first_seen(play, motion, man) < match.span.frames;
}

/// -1 left, +1 right: the side with more field beside the ball; 0 with the ball within 1 yd of the middle (this
/// project's own choice), or on no field.
inline int wide_side(const Play& play) {
  constexpr double middle = 1.0;  // yd
  return play.ball_across > middle ? -1 : play.ball_across < -middle ? 1 : 0;
}

}  // namespace shortedge
