#pragma once
/// Exchanges: rushers who change hands, and rushers who cross.
///
/// Two rushers cross when they stood at least 0.5 yd apart across at the first frame, and by the end of reps change
/// places across: at the frame of the change both are more than 2.5 yd from the passer and at most 4 yd behind the line
/// (nearer to him men come together from both sides), and within 0.5 s after it they are 0.5 yd apart the other way
/// round. Who dropped out crosses with nobody.
///
/// A rusher changes hands when one man's rep on him (match/match.hpp), or a spell that is no rep but within `meet` for
/// 0.3 s or more (passed on, and nobody beaten), is followed by another man's rep. That is no exchange when the first
/// was beaten before the second's rep began and the rusher crossed with nobody: then the second cleans up; nor when the
/// first stays within `meet` of him half a second later: a double team.
/// The change and a crossing belong together when the crossing is at most 1 s from it; then it is a twist, else a
/// pass-off.
/// A rusher who crossed and whose reps show no such change: his man is who has the last rep on him that begins by 1 s
/// after the crossing. Had another a spell on him before it, that is no rep, then it came from that man. Else the two
/// men who have the two rushers after the crossing tell: when they stood at the snap in the order the rushers came to,
/// they exchanged (each from the other), when in the order the rushers stood in, each stayed with his own. With nobody
/// on one of the two, the other man stayed with his when he stood nearer to his across at the snap than to the free
/// one. A free rusher who crossed comes from the lineman nearest across at the snap, but not from the man who now has
/// the other.
///
/// Time: of one whose man stayed the crossing; a twist's is the crossing, or when the rusher first is over the line of
/// scrimmage after it: a man who loops far is waited for; a pass-off's is the start of the second rep, or when the
/// first man was last within `meet` of the rusher, whatever is earlier. Late: nobody took him; or the new man's cut-off
/// ratio is 1 or more then; or his contact came more than 0.5 s later; or he never met him and reps ended more than 0.5
/// s later.
/// Lengths and times are this project's own choice.

#include "base/columns.hpp"
#include "match/match.hpp"

namespace shortedge {

/// Adds one play's rows, by rusher, then time. `meet` in yd (Rules::meet).
void add_exchanges(const Play& play, const Motion& motion, const Match& match, double meet, ExchangesTable& table);

}  // namespace shortedge
