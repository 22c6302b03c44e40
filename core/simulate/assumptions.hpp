#pragma once
/// What the simulator assumes of the men, each with its default and where it comes from. Listed once, as the rules of
/// measurement are: the struct, its check and the Python class derive from the list. Nothing here is measured: results
/// are conditional on it, and every study shows how they change with it.

#include <string_view>

namespace shortedge {

/// X(name, default, least, most, unit, what it is and its source). A spread is the share by which a draw varies (one
/// standard deviation of a normal or, where it says so, of the logarithm).
#define SHORTEDGE_ASSUMPTIONS(X)                                                                                       \
  X(rusher_reaction, 0.22, 0, 2, "s",                                                                                  \
    "a rusher moves this long after the snap (0.20-0.25 off ball movement, from "                                      \
    "memory; simple visual reaction 0.231: Woods et al. 2015)")                                                        \
  X(protector_reaction, 0.15, 0, 2, "s", "a protector, who knows the count (0.10-0.20, from memory)")                  \
  X(reaction_spread, 0.15, 0, 1, "", "of both, lognormal (from memory)")                                               \
  X(end_speed, 9.7, 0.5, 15, "yd/s", "top speed of an outside rusher (from memory; 40-yd dashes)")                     \
  X(inside_speed, 9.2, 0.5, 15, "yd/s", "top speed of an inside rusher (from memory; 40-yd dashes)")                   \
  X(run_speed, 8.9, 0.5, 15, "yd/s", "top speed of a protector who has turned to run (tackles' target splits)")        \
  X(speed_spread, 0.04, 0, 0.3, "", "of all top speeds, normal (assumption)")                                          \
  X(tau, 0.9, 0.001, 3, "s", "time constant of acceleration (0.75-1.2: published fits biased low)")                    \
  X(tau_spread, 0.08, 0, 0.3, "", "of it, normal (0.070 of 0.77 s: Clark et al. 2019)")                                \
  X(kick_speed, 2.2, 0.1, 15, "yd/s",                                                                                  \
    "top speed of a protector who faces his man (kick slide 2.2-3.3, from memory, "                                    \
    "weak)")                                                                                                           \
  X(kick_spread, 0.1, 0, 0.5, "", "of it, lognormal (assumption)")                                                     \
  X(grip, 0.95, 0, 2, "", "friction of a blocker's hands, as a share of the rusher's first acceleration (tuned)")      \
  X(drive_rate, 1.0, 0, 5, "yd/s", "how fast a squared-up rusher moves his man back (assumption)")                     \
  X(strength_spread, 0.15, 0, 0.3, "", "of grip and drive rate, normal (assumption)")                                  \
  X(spread_across, 0.2, 0, 2, "yd", "how far a rusher lines up from his mark, across (assumption)")                    \
  X(spread_along, 0.1, 0, 1, "yd", "and along the field (assumption)")                                                 \
  X(chip_hit, 0.7, 0, 1, "", "share of chips that hit (assumption)")                                                   \
  X(chip_hold, 0.35, 0, 3, "s", "how long a chip holds the rusher (assumption)")                                       \
  X(chip_spread, 0.3, 0, 1, "", "of it, lognormal (assumption)")                                                       \
  X(drop_pace, 0.325, 0.05, 2, "s/yd",                                                                                 \
    "a drop takes this a yard (3-, 5- and 7-step drops of 0.9-2.6 s, common practice)")                                \
  X(drop_under, -0.575, -5, 5, "s", "and this more from under centre (the same); in all 0.3 s at least")               \
  X(drop_gun, 0.2, -5, 5, "s", "and this more from pistol and gun, a yard counting from where he stands (assumption)") \
  X(hitch, 0.5, 0, 5, "yd", "he steps up this far at the top of his drop (assumption)")                                \
  X(hitch_seconds, 0.4, 0.05, 5, "s", "in this time (assumption)")                                                     \
  X(reach, 1.04, 0, 3, "yd", "of a facing blocker, as the rule of measurement")                                        \
  X(reach_open, 0.7, 0, 3, "yd", "of one who has opened his hips (assumption)")                                        \
  X(body, 0.56, 0, 3, "yd", "of a man who does not block him, as the rule of measurement")                             \
  X(arm, 0.8, 0, 3, "yd", "a rusher this close to the passer has arrived, as the rule of measurement")                 \
  X(bow, 0.25, 0, 3, "yd", "as the rule of measurement")                                                               \
  X(a_lat, 6.6, 0.5, 1e9, "yd/s^2", "sideways acceleration, as the rule of measurement")                               \
  X(a_brake, 5.5, 0.5, 1e9, "yd/s^2", "deceleration, as the rule of measurement")                                      \
  X(response, 0.15, 1e-4, 2, "s", "how soon a man's velocity follows what he wants (assumption)")                      \
  X(opens_at, 1.25, 0, 1e9, "",                                                                                        \
    "he opens his hips when the speed he needs exceeds this times his kick speed "                                     \
    "(assumption)")                                                                                                    \
  X(grip_open, 0.7, 0, 1, "", "his grip then, as a share (assumption)")                                                \
  X(settle, 0.3, 0, 3, "s", "he faces again after this long in front of his man (assumption)")                         \
  X(close_in, 0.25, 1e-4, 3, "s", "he slows so as to reach his place in this (assumption)")                            \
  X(keep_off, 0.9, 0, 3, "yd", "no protector sets nearer to the spot or the passer (assumption)")                      \
  X(protector_room, 0.6, 0, 3, "yd", "protectors keep this from one another (assumption)")                             \
  X(rusher_room, 0.64, 0, 3, "yd", "rushers too (assumption)")                                                         \
  X(passer_room, 0.6, 0, 3, "yd", "nobody but an arriving rusher comes nearer to the passer (assumption)")

struct Assumptions {
#define SHORTEDGE_ASSUMPTION(name, value, least, most, unit, says) double name = value;
  SHORTEDGE_ASSUMPTIONS(SHORTEDGE_ASSUMPTION)
#undef SHORTEDGE_ASSUMPTION

  /// Throws InputError, naming the first that is not within its bounds, with its value and unit.
  void validate() const;

  /// Calls visit(name, value, unit, says) for every assumption in order; value is a reference into `assumptions`.
  template <class A, class Visit>
  static void for_each(A& assumptions, Visit&& visit) {
#define SHORTEDGE_ASSUMPTION(name, value, least, most, unit, says) \
  visit(std::string_view(#name), assumptions.name, std::string_view(unit), std::string_view(says));
    SHORTEDGE_ASSUMPTIONS(SHORTEDGE_ASSUMPTION)
#undef SHORTEDGE_ASSUMPTION
  }
};

}  // namespace shortedge
