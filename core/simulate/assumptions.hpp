#pragma once
/// What the simulator assumes of the men, each with its default and where it comes from. Listed once, as the rules of
/// measurement are: the struct, its check and the Python class derive from the list. Nothing here is measured: results
/// are conditional on it, and every study shows how they change with it.

#include <string_view>

namespace shortedge {

/// X(name, default, least, most, unit, what it is, its source or "assumption", and what recorded statistic would fix
/// it). A spread is the share by which a draw varies (one standard deviation of a normal or, where it says so, of the
/// logarithm).
#define SHORTEDGE_ASSUMPTIONS(X)                                                                                       \
  /* all men */                                                                                                        \
  X(rusher_reaction, 0.22, 0, 2, "s",                                                                                  \
    "a rusher moves this long after the snap (0.20-0.25 off ball movement, from memory; simple visual reaction "       \
    "0.231: Woods et al. 2015); fixed by: first movement in tracks")                                                   \
  X(protector_reaction, 0.15, 0, 2, "s",                                                                               \
    "a protector, who knows the count, moves this long after the snap, and sees his man this late (0.10-0.20, from "   \
    "memory); fixed by: first movement")                                                                               \
  X(reaction_spread, 0.15, 0, 1, "", "of both, lognormal (from memory); fixed by: spread of first movement")           \
  X(end_speed, 9.7, 0.5, 15, "yd/s",                                                                                   \
    "top speed of an outside rusher (from memory; 40-yd dashes); fixed by: "                                           \
    "fit_speeds")                                                                                                      \
  X(inside_speed, 9.2, 0.5, 15, "yd/s",                                                                                \
    "top speed of an inside rusher (from memory; 40-yd dashes); fixed by: free "                                       \
    "runs")                                                                                                            \
  X(run_speed, 8.9, 0.5, 15, "yd/s",                                                                                   \
    "top speed of a protector who has turned to run (tackles' target splits); fixed "                                  \
    "by: deep and wide plays")                                                                                         \
  X(speed_spread, 0.04, 0, 0.3, "", "of all top speeds, normal (assumption); fixed by: fit_speeds")                    \
  X(tau, 0.9, 0.001, 3, "s",                                                                                           \
    "time constant of acceleration (0.75-1.2: published fits biased low); fixed by: "                                  \
    "fit_speeds")                                                                                                      \
  X(tau_spread, 0.08, 0, 0.3, "", "of it, normal (0.070 of 0.77 s: Clark et al. 2019); fixed by: fit_speeds")          \
  X(a_lat, 6.6, 0.5, 1e9, "yd/s^2", "sideways acceleration, as the rule of measurement; fixed by: curved runs")        \
  X(a_brake, 5.5, 0.5, 1e9, "yd/s^2", "deceleration, as the rule of measurement; fixed by: stops")                     \
  X(response, 0.15, 1e-4, 2, "s", "how soon a man's velocity follows what he wants (assumption); fixed by: sets")      \
  X(spread_across, 0.2, 0, 2, "yd", "how far a rusher lines up from his mark, across (assumption); fixed by: snaps")   \
  X(spread_along, 0.1, 0, 1, "yd", "and along the field (assumption); fixed by: snaps")                                \
  /* the protector */                                                                                                  \
  X(kick_speed, 2.6, 0.1, 15, "yd/s",                                                                                  \
    "top speed of a protector who faces his man (kick slide 2.2-3.3, from memory, weak); fixed by: speed before "      \
    "contact")                                                                                                         \
  X(kick_spread, 0.1, 0, 0.5, "", "of it, lognormal (assumption); fixed by: the same of several men")                  \
  X(kick_back, 1.2, 1, 2, "",                                                                                          \
    "a tackle's straight back before contact, of it (assumption, tuned); fixed by: set "                               \
    "depths")                                                                                                          \
  X(set_per_yard, 0.4, 0, 2, "",                                                                                       \
    "a tackle's set gains this a yard of the drop (assumption, tuned); fixed by: set "                                 \
    "depths")                                                                                                          \
  X(set_less, 0.4, -5, 5, "yd", "less this (assumption, tuned); fixed by: set depths")                                 \
  X(set_least, 0.8, 0, 5, "yd", "and at least this (assumption, tuned); fixed by: set depths")                         \
  X(set_most, 3.2, 0, 8, "yd", "and at most this (assumption, tuned); fixed by: set depths")                           \
  X(set_guard, 0.4, 0, 2, "", "a guard's, of a tackle's (assumption); fixed by: set depths")                           \
  X(set_centre, 0.3, 0, 2, "", "a centre's (assumption); fixed by: set depths")                                        \
  X(opens_at, 1.2, 0, 1e9, "",                                                                                         \
    "he opens his hips when the speed he needs exceeds this times his kick speed "                                     \
    "(assumption); fixed by: hips against foot speed")                                                                 \
  X(turn_seconds, 0.12, 0, 1, "s", "opening or closing takes him this (assumption); fixed by: film")                   \
  X(settle, 0.3, 0, 3, "s", "he faces again after this long in front of his man (assumption); fixed by: film")         \
  X(close_in, 0.25, 1e-4, 3, "s", "he slows so as to reach his place in this (assumption); fixed by: sets")            \
  X(keep_off, 0.9, 0, 3, "yd", "no protector sets nearer to the spot or the passer (assumption); fixed by: tracks")    \
  X(reach, 1.04, 0, 3, "yd", "of a facing blocker, as the rule of measurement; fixed by: passing distances")           \
  X(reach_open, 0.60, 0, 3, "yd",                                                                                      \
    "of one who has opened his hips, or is beaten: little more than a body, or who turns early is better off "         \
    "(assumption, tuned); fixed by: passing distances")                                                                \
  X(body, 0.56, 0, 3, "yd", "of a man who does not block him, as the rule of measurement; fixed by: tracks")           \
  /* the rusher */                                                                                                     \
  X(end_outside, 0.50, 0, 1, "",                                                                                       \
    "share of an outside rusher's rushes planned outside (assumption); fixed by: "                                     \
    "sides of beats")                                                                                                  \
  X(end_power, 0.40, 0, 1, "",                                                                                         \
    "through the man; the rest sells outside and counters inside (assumption); fixed by: "                             \
    "the same")                                                                                                        \
  X(inside_outside, 0.40, 0, 1, "", "share of an inside rusher's planned outside (assumption); fixed by: the same")    \
  X(inside_power, 0.45, 0, 1, "", "through the man (assumption); fixed by: the same")                                  \
  X(later_end_outside, 0.6, 0, 1, "",                                                                                  \
    "later moves of an outside rusher that go outside (assumption, tuned); fixed "                                     \
    "by: sides of beats")                                                                                              \
  X(later_end_inside, 0.2, 0, 1, "", "and inside; the rest go through (assumption, tuned); fixed by: the same")        \
  X(later_inside_outside, 0.4, 0, 1, "", "later moves of an inside rusher outside (assumption); fixed by: the same")   \
  X(later_inside_inside, 0.4, 0, 1, "", "and inside (assumption); fixed by: the same")                                 \
  X(move_at, 2.2, 0, 6, "yd", "from his man he begins his first move (assumption); fixed by: tracks")                  \
  X(move_seconds, 0.65, 0.05, 5, "s",                                                                                  \
    "a move lasts, and while he is engaged one follows each (assumption); fixed "                                      \
    "by: hazard of a beat after contact")                                                                              \
  X(move_spread, 0.3, 0, 1, "", "of the time to the next, lognormal (assumption); fixed by: the same")                 \
  X(hands_won, 0.42, 0, 1, "",                                                                                         \
    "sideways moves in which he wins the hands (assumption, tuned; only its product with "                             \
    "the rate of moves can be found); fixed by: hazard of a beat")                                                     \
  X(hands_inside, 0.25, 0, 2, "", "an inside rusher's, of it (assumption, tuned); fixed by: the same")                 \
  X(hands_room, 2.6, 0.1, 30, "yd",                                                                                    \
    "an outside rusher's room outside his man at the snap at which all of it is his; with none he has an inside "      \
    "rusher's share, with more it grows faster by half, to twice at most (assumption); fixed by: hazard of a "         \
    "beat by alignment")                                                                                               \
  X(hands_first, 0.65, 0, 2, "", "in the first move, of it (assumption); fixed by: the same")                          \
  X(won_seconds, 0.55, 0, 3, "s", "his man is beaten for (assumption); fixed by: beats")                               \
  X(won_grip, 0.1, 0, 1, "", "his man's grip then, as a share (assumption); fixed by: beats")                          \
  X(won_kick, 0.7, 0, 1, "", "and his kick speed (assumption); fixed by: beats")                                       \
  X(looks_ahead, 0.4, 0, 2, "s", "he aims at the passer's place carried on so long (assumption); fixed by: tracks")    \
  X(guessed_depth, 7, 0, 30, "yd",                                                                                     \
    "and before the top at least so deep, if the drop is (assumption); fixed by: "                                     \
    "tracks")                                                                                                          \
  /* their engagement */                                                                                               \
  X(grip, 1.5, 0, 5, "",                                                                                               \
    "friction of a blocker's hands, as a share of the rusher's first acceleration (tuned); "                           \
    "fixed by: slip along the rim")                                                                                    \
  X(grip_spread, 0.15, 0, 0.3, "", "of it, normal (assumption); fixed by: the same")                                   \
  X(grip_open, 0.45, 0, 1, "", "grip with open hips, as a share (assumption); fixed by: nothing in tracks")            \
  X(push, 0.40, 0, 5, "yd/s",                                                                                          \
    "a squared-up rusher moves his man back at this (assumption, tuned); fixed by: ground "                            \
    "given")                                                                                                           \
  X(push_power, 1.0, 0, 5, "yd/s", "and this more when he rushes with power (assumption, tuned); fixed by: the same")  \
  X(anchors, 1.0, 0.01, 1e9, "s",                                                                                      \
    "he sets his feet: of both half is left so long after he has met his rusher (assumption); fixed by: ground "       \
    "given against time")                                                                                              \
  X(push_open, 0.8, 0, 5, "yd/s", "at least this against open hips (assumption); fixed by: the same")                  \
  X(push_shared, 0.3, 0, 1, "", "in a move, and against a second man, a share of it (assumption); fixed by: the same") \
  X(strength_spread, 0.35, 0, 1, "yd/s", "of either man's strength in it, normal (assumption); fixed by: the same")    \
  X(ride_speeding, 2.0, 0, 1e9, "yd/s^2",                                                                              \
    "a rusher ridden by gains speed toward the passer at most at this "                                                \
    "(assumption, tuned); fixed by: tracks of rushes past the passer")                                                 \
  X(chip_hit, 0.7, 0, 1, "", "share of chips that hit (assumption); fixed by: film")                                   \
  X(chip_hold, 0.35, 0, 3, "s", "how long a chip holds the rusher (assumption); fixed by: tracks")                     \
  X(chip_spread, 0.3, 0, 1, "", "of it, lognormal (assumption); fixed by: tracks")                                     \
  X(protector_room, 0.6, 0, 3, "yd", "protectors keep this from one another (assumption); fixed by: tracks")           \
  X(rusher_room, 0.64, 0, 3, "yd", "rushers too (assumption); fixed by: tracks")                                       \
  X(passer_room, 0.6, 0, 3, "yd",                                                                                      \
    "nobody but an arriving rusher comes nearer to the passer (assumption); fixed by: "                                \
    "tracks")                                                                                                          \
  X(arm, 0.8, 0, 3, "yd", "a rusher this close to the passer has arrived, as the rule of measurement; fixed by: film") \
  X(bow, 0.25, 0, 3, "yd", "as the rule of measurement; fixed by: curved runs")                                        \
  /* the passer */                                                                                                     \
  X(drop_pace, 0.325, 0.05, 2, "s/yd",                                                                                 \
    "a drop takes this a yard (3-, 5- and 7-step drops of 0.9-2.6 s, common practice); fixed by: top times")           \
  X(drop_under, -0.575, -5, 5, "s",                                                                                    \
    "and this more from under centre (the same); in all 0.3 s at least; fixed by: "                                    \
    "top times")                                                                                                       \
  X(drop_gun, 0.2, -5, 5, "s",                                                                                         \
    "and this more from pistol and gun, a yard counting from where he stands (assumption); "                           \
    "fixed by: top times")                                                                                             \
  X(hitch, 0.5, 0, 5, "yd", "he steps up this far at the top of his drop (assumption); fixed by: hitches")             \
  X(hitch_seconds, 0.4, 0.05, 5, "s", "in this time (assumption); fixed by: hitches")                                  \
  X(fake_held, 0.5, 0, 1, "", "of a fake's time that it holds the rushers (assumption); fixed by: play action")        \
  X(early_throws, 0.9, 0, 1, "",                                                                                       \
    "share of rushers he sees come free in time to throw early (assumption); fixed by: "                               \
    "throws against exposure")                                                                                         \
  X(early_from, 1.2, 0, 10, "s", "he throws early from here on (assumption); fixed by: the same")                      \
  X(early_within, 0.85, 0, 5, "s", "when nobody is in the way of one so soon there (assumption); fixed by: the same")  \
  X(early_clear, 0.7, 0, 3, "yd", "within this of his line (assumption); fixed by: the same")                          \
  X(early_lasts, 0.15, 0, 2, "s", "on end (assumption); fixed by: the same")                                           \
  X(early_takes, 0.30, 0, 3, "s", "the ball is out after (assumption); fixed by: the same")                            \
  X(early_spread, 0.25, 0, 1, "", "of it, lognormal (assumption); fixed by: the same")                                 \
  X(steps_first, 0.6, 0, 1, "",                                                                                        \
    "share of draws in which he feels the edge and steps or slides (assumption); fixed "                               \
    "by: hitch and slide against exposure")                                                                            \
  X(step_before, 0.8, 0, 5, "s", "he may cut his drop so long before its top (assumption); fixed by: the same")        \
  X(step_speed, 3.0, 0, 10, "yd/s", "he steps up at (assumption); fixed by: the same")                                 \
  X(step_most, 2.5, 0, 10, "yd", "and at most so far (assumption); fixed by: the same")                                \
  X(step_clear, 2.0, 0, 10, "yd", "while so much ahead is free (assumption); fixed by: the same")                      \
  X(slide_most, 2.0, 0, 10, "yd", "he slides from a free inside man at most so far (assumption); fixed by: the same")  \
  /* who has whom */                                                                                                   \
  X(zone_sees, 0.3, 0, 2, "s",                                                                                         \
    "in a zone two change men whose places carried on so long have crossed (assumption); "                             \
    "fixed by: exchange against crossing")                                                                             \
  X(man_sees, 0.2, 0, 2, "s", "man to man likewise (assumption); fixed by: the same")                                  \
  X(man_changes, 0.7, 0, 1, "", "in this share of draws (assumption); fixed by: the same")                             \
  X(crossed_by, 0.3, 0, 3, "yd", "crossed by (assumption); fixed by: the same")                                        \
  X(takes_within, 4.0, 0, 30, "yd", "a free man takes a rusher nobody has within (assumption); fixed by: tracks")      \
  X(helps_within, 3.5, 0, 30, "yd", "and helps on another within (assumption); fixed by: tracks")

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
