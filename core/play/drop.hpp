#pragma once
/// The passer's drop.

#include "play/play.hpp"

namespace shortedge {

/// s since the snap at which the drop tops: the last moment before the throw (without one, to the end) at which the
/// passer is within 0.3 yd of his greatest depth since the snap and his backward speed falls below 0.5 yd/s after having
/// exceeded 1.5 yd/s. NaN if never, or where his velocity is unknown throughout.
double top_of_drop(const Play& play, const Motion& motion);

}  // namespace shortedge
