#pragma once
/// Pressure on the passer, and the push from inside.

#include <optional>
#include <span>
#include <vector>

#include "base/columns.hpp"
#include "base/rules.hpp"
#include "play/span.hpp"

namespace shortedge {

/// s since the snap at which each of a rusher's pressures begins: stretches of 0.1 s or more, from span.pressure_from
/// to the throw (without one to the end), within 2 yd of the passer, or with the closest point of approach within half
/// a second and 1 yd.
std::vector<double> pressures(const Play& play, const Motion& motion, const RepSpan& span, std::size_t rusher);

struct Push {
  double rate = nan;               ///< yd/s, greatest loss of pocket depth over half a second; 0 if it never falls
  double time = nan;               ///< s, the start of that half second
  std::optional<std::size_t> man;  ///< index into Play::men
};

/// Between ok frames half a second apart (the first frame at least that much later), up to the end of reps. The man is
/// the one, of the two of the wall straight upfield of the passer at the end of it, who lost more ground in it.
/// `depth`: of the pocket in each of the play's frames, as measured; yd, NaN when the frame is not ok.
Push interior_push(const Play& play, const Motion& motion, std::span<const double> depth, const Rules& rules,
                   const RepSpan& span);

}  // namespace shortedge
