#pragma once
/// What a picture of a play shows beside its tables: the pocket's corners, who is detached, and how each rusher stands
/// to the man who has him, with the ways he has. The tables' figures are of the same pocket and the same ways.

#include <optional>
#include <vector>

#include "base/rules.hpp"
#include "match/match.hpp"
#include "pocket/pocket.hpp"
#include "rush/ways.hpp"

namespace shortedge {

struct PicturedRusher {
  std::size_t frame, rusher;  ///< rusher: index into Play::men
  std::int32_t man;           ///< index into Play::men of the man who has him, there or not; nobody when he is free
  Placed placed;              ///< side 0 also where that man is absent
  DrawnWays ways;             ///< none where that man is absent
};

struct PicturedFrame {
  Pocket pocket;                              ///< ring empty unless the frame is ok
  std::vector<std::size_t> wall;              ///< left to right; indices into Play::men; empty unless the frame is ok
  std::vector<std::size_t> detached;          ///< left to right; empty unless the frame is ok
  std::size_t wall_left = 0, wall_right = 0;  ///< who sets the width; of an ok frame only
};

struct Picture {
  std::vector<PicturedFrame> frames;    ///< every measured one
  std::vector<PicturedRusher> rushers;  ///< by frame and id, as the rushers table has them
};

/// The rules must be valid.
Picture picture_of(const Play& play, const Motion& motion, const Match& match, const Rules& rules);

}  // namespace shortedge
