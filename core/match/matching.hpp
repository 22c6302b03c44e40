#pragma once
/// Who blocks whom over time.
///
/// In each frame every rusher has one protector or nobody, and every protector one rusher at most; the whole play's
/// matching is the one of least total cost: over time, for each pair |PR| + the distance from P to the rusher's
/// straight line (in a double team the primary is the man on that line), no pair beyond 6 yd, 3.5 yd for a rusher with
/// nobody; and 0.45 yd s for each change of a rusher's man, so that a stunt passed off is one change and not a flicker.
/// A frame in which no protector has met the rusher (within `meet`) counts a quarter: at the snap the nearest man is
/// the one who stands nearest the line, often a centre who then only helps; who takes a rusher shows when he is met. A
/// rusher who is not to be seen in a frame has nobody in it and holds up nobody; a change of his man across such frames
/// is one change. Late rushers (play/roles.hpp) are matched after the others, among the protectors whom those leave
/// free in a frame: a man who comes late and free does not take a beaten blocker from his rep. The four numbers were
/// chosen on the invented demo game and checked on games not seen; they have no other source.
///
/// Method: for one rusher, dynamic programming over the frames (Viterbi 1967). Each rusher is matched alone first; that
/// is a lower bound on the whole, so when no protector is used twice in a frame it is the answer. Else the rushers who
/// share a man are matched jointly, over their joint assignments (Kuhn's assignment problem, 1955, in each frame), and
/// so on until no two groups share one (Standley, Finding optimal solutions to cooperative pathfinding problems, 2010,
/// joins agents so). Exact: a change costs the same for each rusher whatever the others do, so a step between frames is
/// done one rusher after the other, in time linear in the states; a pair that is never cheaper than nobody is left out,
/// since putting nobody in its place never costs more. Matching each frame by itself was not used: it flickers where
/// two men stand equally near. A clip that is cut off early has no future: before anybody is met the matching may be
/// another than the whole play's.

#include <cstdint>
#include <vector>

#include "play/play.hpp"

namespace shortedge {

inline constexpr std::int32_t nobody = -1;

/// [rusher in Play::rushers][frame]: index into Play::men of his protector, or nobody; for the first `frames` frames.
using Matching = std::vector<std::vector<std::int32_t>>;

/// `meet` in yd (Rules::meet).
Matching match_frames(const Play& play, const Motion& motion, double meet, std::size_t frames);

/// One protector's time on one rusher: frames first to last, both matched; breaks under 0.3 s are closed.
struct Spell {
  std::size_t rusher, protector;  ///< indices into Play::men
  std::size_t first, last;
};

/// Spells of at least 0.3 s, by rusher, then by their first frame.
std::vector<Spell> spells(const Play& play, const Matching& matching);

}  // namespace shortedge
