#pragma once
/// Which side a protector is of, so what is outside of him and what inside.
///
/// A lineman's side is where he stood, left or right of the centre, at the first measured frame that has him: the
/// slot people lists him in is a name, and an unbalanced line has two tackles on one side. Who has pulled across is
/// of the other side as long as he stands there, in front of the passer, on that side of him and farther out than
/// that side's guard. The centre has none. Any other man is of the passer's side he stands on, as long as he stands
/// farther out than that side's guard; inside the guards he helps in the middle and has none.

#include "play/play.hpp"

namespace shortedge {

/// Sets line_side of the linemen, and the play's guards: of a side's linemen the one who stood nearest to the
/// centre across (ties: id). Of two men listed as centre the one who stood nearer to the ball is he; without one
/// the ball's spot stands for him. On the very line: right.
void find_sides(Play& play, const Motion& motion);

/// -1 left, +1 right, 0 none. A guard who is absent in the frame, or whom the line has not, hides nobody. Of a man who
/// is no lineman 0 where he or the passer is absent. `passer` is where the passer is taken to be.
int side_of_man(const Play& play, const Motion& motion, std::size_t frame, std::size_t man, const Point& passer);

}  // namespace shortedge
