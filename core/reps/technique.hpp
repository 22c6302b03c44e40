#pragma once
/// Where a rusher aligns, and how a lineman sets.

#include "base/columns.hpp"
#include "play/play.hpp"

namespace shortedge {

struct Aligned {
  Technique technique = Technique::none;
  Side side = Side::none;
};

/// The rusher's technique at the first frame, from the nearest lineman or attached tight end (within 2 yd of the
/// tackle) across the field, o yards outside him: within 0.2 head up (0 C, 2 G, 4 T, 6 TE), beyond it outside shade
/// (1, 3, 5, 9), below -0.2 inside shade (2i, 4i, 7 on the tight end); more than 1.5 outside the widest man wide;
/// deeper than 2.5 yd off the line off. This is the common convention (coaching pages citing Christensen and
/// Peterson); others exist.
Aligned aligned(const Play& play, const Motion& motion, std::size_t rusher);

struct SetLook {
  Set type = Set::none;
  double depth = nan, angle = nan;  ///< yd back; degrees from straight back to straight out
};

/// A guard's or tackle's set from the first frame to contact, dv yards back and `out` outward: jump for dv under
/// 1.5 yd; else kick-out for out over 1.5 dv, 45 for out of half dv or more, vertical. None for others, for one who
/// pulled across, or when he is absent.
SetLook set_of(const Play& play, const Motion& motion, std::size_t protector, std::size_t contact);

}  // namespace shortedge
