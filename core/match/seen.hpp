#pragma once
/// How one rusher stands to the man who has him, in one frame; what Followed (match/match.hpp) asks frame after frame.

#include "match/match.hpp"

namespace shortedge {

/// `side` is this rusher's, as the frames before left it. The rest as in Followed::see.
Blocking see_rusher(const Play& play, const Motion& motion, const Match& match, std::size_t frame, const Scene& scene,
                    const Rushing& rusher, const Rules& rules, PassedSide& side);

}  // namespace shortedge
