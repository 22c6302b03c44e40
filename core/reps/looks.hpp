#pragma once
/// Showed and came: where defenders stood at the snap, and who of them came.
///
/// A row for every defender who at the first frame stands within 8 yd of the line of scrimmage, and for the man over
/// each slot, the nearest to the line of those within 1.5 yd across from him, up to 10 yd deep. A slot is an offensive
/// man, no lineman and not the passer, at most 2.5 yd behind the line, more than 2 yd outside the line's end of his
/// side, with another such man outside him.
/// Spot: slot, when he stands within 1.5 yd across from a slot, or between the box and one of his side; else line,
/// within 2 yd of it and no farther out than 3 yd beyond the line's end; box, deeper and no farther out; else wide.
/// Deep man over him: another defender 8 to 15 yd deep and deeper than he, within 1.5 yd across. Then the man under him
/// is free to come: common practice, no source. All distances are this project's own choice.
/// The man a rusher was first had by is the man of his first rep. Of a blitzer from the slot, who picked him up:
/// "outside in" when the outermost lineman of that side who stood there took him and the lineman inside that one took
/// the next rusher inside, of those on the line at the snap (within 2 yd) and of that side; "tackle" also when a tackle
/// took him who is not seen at the first frame. Coordinates see no calls: who should have taken him is not known.
/// The man over a defender is of those at most 2.5 yd behind the line: a back is nobody's.

#include "base/columns.hpp"
#include "match/match.hpp"

namespace shortedge {

/// Adds one play's rows, by id. Who is absent at the first frame has none; nobody has without linemen there.
void add_looks(const Play& play, const Motion& motion, const Match& match, LooksTable& table);

}  // namespace shortedge
