#pragma once
/// Finding work: what linemen without a rusher, and backs who protect, look for and find.
///
/// Who looks: a lineman or attached tight end (a protector less than 2 yd deep at the first frame) who has no rusher at
/// the snap, from the snap; one who had and is free of him, from then on; a back (a protector 2 yd deep or more), from
/// the snap, whoever comes, and a back's searches stay a back's. Who is absent at the first frame looks for nothing. A
/// rusher is his at the snap when he stands on the line then (within 2 yd), the man is the first who has him (of one
/// who was exchanged from_man, exchanges.hpp), and the rusher stands at most 2 yd across from him, or outside him when
/// he is the last man of his side. Free of him: handed on (and not in the same twist given another), from the time of
/// that exchange; or his rusher dropped out, from the last time he counts. Who is beaten by him is not free. Who found
/// a rusher of his own (below) is free of that one in the same way.
/// He looks until his first contact, from 0.3 s after the snap on, with a rusher who was not his at the snap, nor one
/// he was freed of: one of his own (first contact of his rep; without one the beat, else the end of the rep; at once,
/// when that is past and the rep goes on), or before that another man's, within `meet` for 0.2 s on end (breaks under
/// 0.3 s closed) while that man has him: help, but found where he has that rusher from then on (contact of his own rep
/// less than 0.3 s after that help). Help ends at the latest where he meets one of his own. When it ends, and when he
/// is free, he looks again, unless less than 0.3 s are left. Without contact by the end of reps he found nobody.
/// Side: on which side of the place where he began to look the rusher is at contact; on the very line right.
/// Coordinates see no calls: a man sent to a rusher and one who finds him look alike.

#include "base/columns.hpp"
#include "match/match.hpp"

namespace shortedge {

/// Adds one play's rows, by man, then start. `exchanges` has this play's rows from row `from` on. `meet` in yd
/// (Rules::meet).
void add_searches(const Play& play, const Motion& motion, const Match& match, const ExchangesTable& exchanges,
                  std::size_t from, double meet, SearchesTable& table);

}  // namespace shortedge
