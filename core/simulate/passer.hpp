#pragma once
/// The drop of a simulated passer as planned: he drops to the spot, hitches toward the line, and stands. A roll-out is
/// a drop to a spot beside him, play action one that tops later. What he does about the rush: rep_passer.hpp.

#include "simulate/assumptions.hpp"
#include "simulate/formation.hpp"

namespace shortedge {

class PasserDrop {
 public:
  /// Throws InputError for a depth less than where he takes the snap, or over 30 yd.
  PasserDrop(const Formation& formation, const Assumptions& assumptions, double depth);

  double top_time() const noexcept { return top_; }  ///< s after the snap
  Point spot() const noexcept { return spot_; }      ///< where the drop tops
  Point at(double time) const;                       ///< yd; speeds rise and fall as a half cosine
  Point velocity(double time) const;                 ///< yd/s

 private:
  Point start_, spot_;
  double top_, hitch_, hitch_seconds_;
};

}  // namespace shortedge
