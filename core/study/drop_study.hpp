#pragma once
/// What another depth of the drop would have asked of the edge protectors, on a recorded play.
///
/// Everybody but the passer keeps his track. The passer gets off as he did and gathers as he did: the yards are put in,
/// or taken out, at the moment he begins to gather, which is the last one up to the top at which he goes back as fast
/// as his own drop speed. That is what he won from the start of the drop to its top, over the time.
/// - Deeper: from that moment he goes straight back at that speed for the yards that are wanted, then does what he did:
///   the gather, the hitch and the slide are moved along, later and deeper.
/// - Shallower: he begins to gather where he was so many yards shallower; what he did from the gather on is moved
/// along,
///   earlier and shallower, and sideways by what he had not yet drifted.
/// So at any moment a deeper drop is nowhere shallower (as long as he goes back steadily, and but for the rounding of a
/// fitted velocity), and until he gathers nothing differs: before first contact often only what is asked to the *spot*,
/// where the drop tops, depends on the depth.
/// Stretching place and time alike was not used: it slows the get-off, and a deeper drop would be the shallower one at
/// first.
/// Frames are the recording's. The others would have moved otherwise from contact on, so nothing is said beyond it.

#include <optional>
#include <span>
#include <vector>

#include "base/columns.hpp"
#include "base/rules.hpp"
#include "play/play.hpp"

namespace shortedge {

/// The deepest drop that can be asked for, yd. Ten is very deep from under centre (common practice, no source).
inline constexpr double deepest_drop = 20.0;

/// A drop as it was taken. Of a drop that never tops, the top is the end of reps.
struct RecordedDrop {
  double start = nan;       ///< s since the snap (play/drop.hpp); NaN when he never drops
  double top = nan;         ///< s
  Point spot = absent();    ///< yd, his place then (play/span.hpp)
  double speed = nan;       ///< yd/s, his own drop speed; NaN when he never drops, or wins no depth
  double gather = nan;      ///< s, when he begins to gather
  double shallowest = nan;  ///< yd, the least depth it can be shortened to: at the start of the drop he would gather

  bool can_be_stretched() const noexcept { return speed > 0; }
};

RecordedDrop recorded_drop(const Play& play, const Motion& motion);

inline constexpr double usual_hold = 0.65;  ///< s from the top of the drop to the throw, when none is recorded (memory)
/// s from the recorded top of the drop to the throw; usual_hold without a top, or without a throw after it.
double hold_of(const Play& play, const Motion& motion);

/// The same play with a drop that tops at `depth` (yd, shallowest to deepest_drop), and when it tops (s). The passer is
/// absent in frames that would need him where he was not recorded. The drop must be one that can be stretched.
struct StretchedPlay {
  Motion motion;
  Point spot;  ///< yd
  double top;  ///< s
};
StretchedPlay stretch_drop(const Play& play, const Motion& motion, const RecordedDrop& drop, double depth);

/// The margin (its column) leads: what changes with depth is the clock. Contact often comes before the passer gathers,
/// so that the cut-off ratio up to contact may even fall with depth; the margin takes the two as they met and asks
/// whether the way round would have ended before the throw.
struct DropStudy {
  RecordedDrop drop;
  DropsTable table;  ///< left, then right; by depth, the drop as taken among them
};

/// `depths` in yd, any order, each once; none given: every half yard from 5 to 12 that the drop can be stretched to.
/// The edge protector of a side is the edge man of the last ok frame up to the recorded top, else to the end of reps;
/// his man is the rusher the edge belongs to then, or where the two have no rep the one of his own first rep. The row
/// of the drop as taken holds what `measure` and `add_reps` say of the recording. Throws InputError for a depth that is
/// not finite, shallower than the drop can be shortened to or over deepest_drop, or for any depth when the passer never
/// drops. The rules must be valid.
DropStudy study_drop(const Play& play, const Motion& motion, const Rules& rules,
                     const std::optional<std::vector<double>>& depths);

}  // namespace shortedge
