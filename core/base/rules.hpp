#pragma once
/// The rules of measurement a user may change, each with its default. Listed once; the struct, its check, the Python
/// class and the file's record derive from the list.

#include <string_view>

namespace shortedge {

/// X(name, default, unit, zero allowed, what it is)
#define SHORTEDGE_RULES(X)                                                                                             \
  X(reach, 1.04, "yd", true,                                                                                           \
    "how far from a blocker's centre a rusher's centre must stay to get round him: 0.72 blocking posture + 0.32 half " \
    "of the rusher's shoulders (US Army 2012 survey, large men; posture from memory)")                                 \
  X(body, 0.56, "yd", true, "the same for a man who does not block him: 0.24 body + 0.32 (US Army 2012 survey)")       \
  X(engage, 1.5, "yd", true, "within this of a rusher a protector has to do with him")                                 \
  X(meet, 1.2, "yd", true, "within this of his blocker a rusher is engaged")                                           \
  X(cushion, 1.0, "yd", false, "how far behind the deepest of passer and wall the pocket ends")                        \
  X(detach, 3.5, "yd", false, "a man farther than this outside the next one no longer belongs to the wall")            \
  X(arm, 0.8, "yd", true, "a rusher this close to the passer has arrived")                                             \
  X(bow, 0.25, "yd", true, "how far outside the tight line a rusher runs to turn more easily")                         \
  X(horizon, 1.5, "s", false, "a way that takes this long or longer has exposure 0")                                   \
  X(takeover, 0.3, "", true, "exposure from which a man other than the end of the wall sets the edge")                 \
  X(vmax, 9.7, "yd/s", false, "a rusher's top speed (from memory; 40-yd dashes of edge rushers)")                      \
  X(tau, 0.9, "s", false,                                                                                              \
    "time constant of his acceleration, from memory within the 0.75-1.2 s that published "                             \
    "sprint fits leave open")                                                                                          \
  X(a_lat, 6.6, "yd/s^2", false, "sideways acceleration he can hold on a turn (from memory)")                          \
  X(a_brake, 5.5, "yd/s^2", false, "deceleration he can hold (from memory)")

struct Rules {
#define SHORTEDGE_RULE(name, value, unit, zero, says) double name = value;
  SHORTEDGE_RULES(SHORTEDGE_RULE)
#undef SHORTEDGE_RULE

  /// Throws InputError, naming the first rule that is not finite or not positive (or negative, where zero is allowed).
  void validate() const;

  /// Calls visit(name, value, unit, says) for every rule in order; value is a reference into `rules`.
  template <class R, class Visit>
  static void for_each(R& rules, Visit&& visit) {
#define SHORTEDGE_RULE(name, value, unit, zero, says) \
  visit(std::string_view(#name), rules.name, std::string_view(unit), std::string_view(says));
    SHORTEDGE_RULES(SHORTEDGE_RULE)
#undef SHORTEDGE_RULE
  }
};

}  // namespace shortedge
