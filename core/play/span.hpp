#pragma once
/// How long reps last: from the snap to the end of reps, and the passer's place they are about.

#include "play/play.hpp"

namespace shortedge {

struct RepSpan {
  double end;            ///< s since the snap
  std::size_t frames;    ///< measured frames up to it
  std::size_t thrown;    ///< measured frames up to the throw; all without one
  Point spot;            ///< the passer's place at the top of his drop, else at the end of reps; NaN when never seen
  double pressure_from;  ///< s: 0.8, and from under centre not before the passer is 3 yd deep; infinite if he never is
};

/// s since the snap. Reps end at the earliest of: the throw; the moment the passer leaves; without a throw the first
/// frame with any defender within 1 yd of him, whatever his role (roles depend on this, never the reverse); the end of
/// the play. He leaves at the start of his first stretch, beginning more than 0.3 s after the snap, of sideways speed
/// over 1.5 yd/s that carries him 2 yd or more, or at the start of the upfield run at that speed that takes him across
/// the line of scrimmage. After a bad snap (drop.hpp) he runs after the ball, which is no leaving.
double end_of_reps(const Play& play, const Motion& motion);

RepSpan rep_span(const Play& play, const Motion& motion);

/// s since the snap when the passer leaves; infinite if never.
double leaves_at(const Play& play, const Motion& motion);

}  // namespace shortedge
