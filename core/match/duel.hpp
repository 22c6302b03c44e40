#pragma once
/// One protector against one rusher: when they met, whether and when he was beaten, how much ground he gave.

#include <optional>

#include "base/columns.hpp"
#include "base/rules.hpp"
#include "match/matching.hpp"
#include "play/span.hpp"

namespace shortedge {

struct Beat {
  std::size_t frame;
  BeatSide side = BeatSide::none;  ///< match/match.hpp finds it
};

struct Duel {
  std::optional<std::size_t> contact;  ///< frame
  std::optional<Beat> beat;
  std::optional<std::size_t> let_go;  ///< frame, of one who is not beaten
  bool run_by = false;
  double ground_given = nan;  ///< yd; NaN without contact
  double seconds_met = 0;     ///< s of the spell within meet
  bool ever_between = false;  ///< in some frame within 2 yd of the rusher and no farther from the passer than he
};

/// Contact: the first frame of the spell within `meet`, from 0.3 s after the snap on. Beat: the start of the first
/// stretch of frames, beginning in the spell from contact on (without contact after the spell's start) and before
/// the end of reps, in each of which the cut-off ratio to the man is 1 or more and the rusher's straight line
/// clears his disc (radius `reach`, shrunk to his distance from rusher or passer), and in which the rusher gets 0.5
/// yd nearer to the passer than he is; later frames of the play count for that. A stretch at whose first frame the
/// man himself moves away from the passer at more than 1.5 yd/s is passed over: he let his rusher go, and who is
/// beaten in no later stretch either let him go at the first such frame. Run by: no beat, and in some frame the
/// rusher is as deep as the passer or deeper, the protector nearer to the passer. Ground given: the most he lost,
/// since contact and within `meet`, of his distance to the passer's place at the end of the spell.
Duel fight(const Play& play, const Motion& motion, const Rules& rules, const RepSpan& span, const Spell& spell);

/// Whether the rusher's straight line enters the man's disc, radius `reach` shrunk to his distance from either, by more
/// than 1e-6 yd. No for absent men.
bool on_the_line(const Point& rusher, const Point& man, const Point& passer, double reach);

struct PeakCutoff {
  double ratio = nan;     ///< NaN when the two are never both present
  std::size_t frame = 0;  ///< the first of equals
};

/// The greatest cut-off ratio of rusher and protector (indices into Play::men) to a spot, frames first to last in which
/// the rusher takes part.
PeakCutoff peak_cutoff(const Play& play, const Motion& motion, std::size_t rusher, std::size_t protector,
                       const Point& spot, std::size_t first, std::size_t last);

/// s that frame `frame` stands for: until the next, among the first `frames`.
double held_seconds(const Play& play, std::size_t frame, std::size_t frames);

}  // namespace shortedge
