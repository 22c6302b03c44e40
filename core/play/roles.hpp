#pragma once
/// Who is who in a play.
///
/// Passer: the man people gives that role, else the one offensive QB with tracks.
/// Linemen: LT LG C RG RT by position. In a play with none of LT LG RG RT, the five nearest the ball across the field
/// at the first frame among T OT G OG C OL no deeper than 2 yd: the listed C among them nearest the ball (else the man
/// nearest it) is the centre, the next to his left and right are the guards and tackles, whatever they are listed as; a
/// fifth man beyond them is no lineman.
/// Protector: a lineman, or any other offensive player who from the snap to the throw, 2.5 s at most, stays within 7 yd
/// of the ball across the field and not more than 1 yd beyond the line.
/// Rusher: a defender who in that time (without a throw to the end) gets half a yard behind the line within 15 yd
/// across, or who at the first frame stood within 2 yd of the line and 8 yd across and is for 0.3 s on end within 1.2
/// yd of a protector; but not who in that time never got 1 yd behind the line within 15 yd across and is more than 3 yd
/// beyond it at its end: he showed and dropped. A rusher takes part from the first frame when he then stood within 2 yd
/// of the line, else from the first frame at which he is within 1 yd of it. Late: any other defender who after that
/// time and by the end of reps (span.hpp) is half a yard behind the line within 9 yd of the passer. He takes part from
/// the first frame of the stretch, within 1 yd of the line or behind it, that leads there. Dropped: a rusher who is
/// last seen, by the end of reps, more than 3 yd beyond the line takes no part after his last frame by then within 1 yd
/// of his greatest depth. A role that people states holds in place of the rule; who is given none of these words but
/// "rusher" may still drop.

#include "play/play.hpp"

namespace shortedge {

/// Sets role, slot and counts_from of the men and the play's lists; late rushers apart. Throws InputError with the
/// reason when the play has no passer or two, or fewer than three linemen.
void find_roles(Play& play, const Motion& motion);

/// Adds the late rushers, and says from when dropped ones take no part. The passer's velocities must be known, as the
/// end of reps depends on them.
void find_comings(Play& play, const Motion& motion);

}  // namespace shortedge
