#pragma once
/// One frame of a play by itself, with what the frames before it left, so that its men can be moved and measured again
/// (board/board.hpp). Unmoved, its figures are those of the whole play in that frame.

#include "measure/before.hpp"
#include "simulate/formation.hpp"

namespace shortedge {

/// Men by their place in Play::men, which is also their code.
/// A rusher who got past that man outside of him or inside, before the frame; man -1: past nobody.
struct Passed {
  std::int32_t man = nobody;
  bool outside = false;
  int side = 0;  ///< of that man when he was passed: -1 left, +1 right, 0 none
};

struct Still {
  Play play;  ///< of one frame; rushers who take no part in it have role other
  Motion motion;
  Match match;    ///< Match::man alone
  Before before;  ///< sides as before the frame; first_u and line_stood with it, so that a moved line is told by where
                  ///< it stood
  std::vector<Passed> passed;  ///< what before.sides are made of, one a rusher
};

/// A side that has seen just that.
PassedSide side_of(const Passed& passed);

/// The rules must be valid, and the match be of this play.
Still still_of(const Play& play, const Motion& motion, const Match& match, const Rules& rules, std::size_t frame);

/// A formation with its passer `depth` yd deep, everybody at rest: the passer, the protectors, the rushers, in this
/// order. Who has whom is as the formation says; a man who chips has nobody.
Still still_of(const Formation& formation, double depth, const Rules& rules);

}  // namespace shortedge
