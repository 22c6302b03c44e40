#pragma once
/// How fast the men of a recorded game are: each rusher's top speed and tau, each lineman's kick speed.
///
/// Both are of the runs a man made, not of what is in him: one who never had to hurry shows less.
///
/// A rusher's runs (free_run). Velocity as the library has it (recorded, else fitted over half a second). He runs free
/// up to the first frame with an offensive player within `engage`, and to the end of reps. Of that time a run is from
/// 0.2 s before he was last slower than 1 yd/s to 0.1 s before his greatest speed: past it he brakes or turns, which no
/// sprint does, and half a second of velocity blurs when that begins. A change of heading of more than 45 degrees ends
/// it before. A run counts when it has every frame, took 0.4 s after he moved and was at 2.5 yd/s or more at its end.
/// It may begin before he counts as a rusher. The way is measured along his own path: the sum of steps, each projected
/// on the mean of the directions of his velocity at both its ends (below 2 yd/s the first direction at that speed; of a
/// man who never gets there, that of the last frame); a sum of bare steps would count noise as way.
///
/// A lineman's sets (set_run). To the first frame with a rusher within `engage`, to the first speed above 3.3 yd/s (the
/// fastest kick slide: then he has opened his hips) and to the end of reps. From 0.2 s before he was last slower than 1
/// yd/s to the end of the stretch at 80 % or more of his greatest speed. It counts when it has every frame, took 0.5 s
/// after he moved and carried him 1 yd back. His speed approaches the kick speed with 0.15 s (the simulator's
/// driving law), so a set is a sprint with tau 0.15 and top speed the kick speed: the same fit, tau held.
///
/// How right: tests/core/study/fit.cpp prints how often the intervals hold the truth of invented men, with position
/// noise of 0.077 yd an axis: of 1,000 or 2,000 men 94 to 95 % when the runs are given, and from tracks at 10 and 25
/// Hz, where noise also says what a run is, 89 to 95 % for top speed and tau and 86 to 93 % for kick speed, which is
/// off by up to 1 % whatever the number of sets. Runs of half a second are worse: top speeds come out up to 6 % low,
/// and kick speeds up to 4 % where he brakes in a set of 0.8 s. Smoothed tracks cost too: 0.08 s of Gaussian smoothing
/// takes 4 % off the top speed of a run of 0.7 s.
///
/// Which figures stand (fit.hpp has the method). Top speed and tau are nearly collinear over a rush, so:
/// 1. both are fitted when tau's 95 % interval is narrower than 0.75 to 1.2 s, which published sprint fits leave open
///    (high/low under 1.6), and top speed's than 8.6 to 10.4 yd/s, linemen to backs (under 1.2);
/// 2. else tau is the default and top speed is fitted given it, when that interval is so narrow: a pair that gives his
///    runs as far as they went, not a top speed by itself; its interval holds the noise, not what tau may be;
/// 3. else both are defaults. Kick speed stands when its interval is narrower than 2.2 to 3.3 yd/s, the range of
///    kick slides (under 1.5).
/// A figure over 12 yd/s, which no man in pads runs (the fastest sprint ever timed peaked at some 13.6, from memory),
/// is not fitted: tracks are wrong there, or the runs are too short for a top speed.
/// Five runs at least. A game has 20 to 40 rushes of a man, most met within a second or so: case 2 is the usual one for
/// ends; inside men are met at once, and have defaults.

#include <optional>
#include <vector>

#include "base/columns.hpp"
#include "base/rules.hpp"
#include "measure/over_plays.hpp"
#include "study/fit.hpp"

namespace shortedge {

/// What stands when too little is recorded. From memory, no source.
struct DefaultSpeeds {
  /// yd/s, a rusher's top speed; inside: in over half of his plays he aligns head up on a tackle or inside of that.
  double end = 9.7, inside = 9.2;
  double protector = 8.9;  ///< yd/s, a protector's, run with open hips
  double tau = 0.9;        ///< s
  double kick = 2.2;       ///< yd/s
  double kick_tau = 0.15;  ///< s, of the driving law
};
inline constexpr DefaultSpeeds default_speeds{};
inline constexpr double fastest_man = 12.0;  ///< yd/s: a figure above it is not fitted

/// One rusher's free run of a play; nothing when it does not count.
std::optional<TimedRun> free_run(const Play& play, const Motion& motion, const Rules& rules, std::size_t rusher);

/// One lineman's set of a play; nothing when it does not count.
std::optional<TimedRun> set_run(const Play& play, const Motion& motion, const Rules& rules, std::size_t lineman);

struct Speeds {
  SpeedsTable speeds;

  template <class T, class Visit>
  static void for_each(T& tables, Visit&& visit) {
    visit(tables.speeds);
  }
};

/// A row for every man who rushed, in order of id, then one for every man who protected; who is named a rusher has one
/// though he never came near enough to count. The same for any number of threads. Throws InputError for invalid rules.
Speeds fit_speeds(const Game& game, const Rules& rules, unsigned threads = 0, const Progress& progress = {});

}  // namespace shortedge
