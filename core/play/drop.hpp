#pragma once
/// The passer's drop.

#include "base/columns.hpp"
#include "play/play.hpp"

namespace shortedge {

/// Where he stood at the first frame: under (less than 2 yd deep), pistol (3 to 4.5 with a back behind him, at most
/// 1 yd to a side), gun (4.5 or deeper), else short gun; none when he is missing then.
Alignment alignment_of(const Play& play, const Motion& motion);

/// Whether the snap went wrong, as far as the passer's way shows. Bad: from under centre he is never 3 yd deep in
/// the first 1.5 s (he must be seen past 1 s), has not thrown by then and never crosses the line; or from deeper he
/// is more than 6 yd deeper than he stood within 2 s (over his head). A ball dropped in the gun and picked up on
/// the spot is not seen, and a run from under centre is told so, too. None when he is missing at the snap. The
/// numbers are this project's own choice.
Snapped snapped(const Play& play, const Motion& motion);

/// s since the snap at which the drop tops: the last moment before the throw (without one, up to the end of reps,
/// play/span.hpp) at which the passer is within 0.3 yd of his greatest depth since the snap and his backward speed
/// falls below 0.5 yd/s after having exceeded 1.5 yd/s. NaN if never, or where his velocity is unknown throughout.
double top_of_drop(const Play& play, const Motion& motion);

/// s since the snap at which the drop starts: the last moment before he first goes back faster than 1.5 yd/s at
/// which he goes back slower than 0.5 yd/s, else the first at which his velocity is known. NaN if he never goes
/// back that fast.
double start_of_drop(const Play& play, const Motion& motion);

}  // namespace shortedge
