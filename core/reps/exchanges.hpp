#pragma once
/// Exchanges: rushers who change hands, and rushers who cross.
///
/// Two rushers cross when they stood at least 0.5 yd apart across at the first frame, and by the end of reps change
/// places across: at the frame of the change both are more than 2.5 yd from the passer and at most 4 yd behind the line
/// (nearer to him men come together from both sides), and within 0.5 s after it, by the end of reps and with no change
/// back before, they are 0.5 yd apart the other way round and both take part. Who dropped out crosses with nobody.
///
/// A rusher changes hands when one man's rep on him (match/match.hpp), or a spell that is no rep, but of a man between
/// the two and within `meet` for 0.3 s or more (passed on, and nobody beaten), is followed by another man's rep. The
/// change and a crossing belong together when the crossing is at most 1 s from the start of that rep (of several the
/// nearest): then it is a twist. Else it is a pass-off, but no exchange when the first was beaten by the time the
/// second's rep began: then the second cleans up; nor when the first is within `meet` of him half a second later, or at
/// the end of reps before that: a double team.
/// A rusher who crossed and whose reps show no change of hands, told of his first crossing: his man is who has the last
/// rep on him that begins by 1 s after it, else the first. Had another a spell on him before it, that is no rep, then
/// it came from that man. Else the two men who have the two rushers after the crossing tell: when they stood at the
/// snap in the order the rushers came to, they exchanged (each from the other), when in the order the rushers stood in,
/// or one was not seen, each stayed with his own. With nobody on one of the two, the other man stayed with his unless
/// he stood nearer to the free one across at the snap. Then, as a free rusher who crossed, his comes from the lineman
/// nearest across at the snap, but not from the man who now has the other (of the free one) or him.
///
/// Time: of one whose man stayed the crossing; a twist's is the crossing, or when the rusher first is over the line of
/// scrimmage after it, at most the end of reps: a man who loops far is waited for; a pass-off's is the start of the
/// second rep, or when the first man was last within `meet` of the rusher before it. Late: nobody took him; or the new
/// man's cut-off ratio is 1 or more then; or his contact came more than 0.5 s later; or he never met him and reps ended
/// more than 0.5 s later. Never late: one whose man stayed.
/// Lengths and times are this project's own choice.

#include "base/columns.hpp"
#include "match/match.hpp"

namespace shortedge {

/// Adds one play's rows, by rusher, then time. `meet` in yd (Rules::meet).
void add_exchanges(const Play& play, const Motion& motion, const Match& match, double meet, ExchangesTable& table);

}  // namespace shortedge
