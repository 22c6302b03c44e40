#pragma once
/// What chance decides of one simulated rep. The same seed and number give the same draw, bit for bit, whatever the
/// threads and whatever the depth of the drop: studies of two depths, or of two formations with the same men, are
/// paired. Boost's engine and distributions are used since the standard's distributions differ from library to library.

#include <array>
#include <cstdint>

#include "simulate/assumptions.hpp"
#include "simulate/formation.hpp"

namespace shortedge {

struct ProtectorDraw {
  double reaction, kick_speed, run_speed, tau, grip, strength;  ///< s, yd/s, yd/s, s, share, yd/s
  bool exchanges;                                               ///< man to man, with his neighbour to the right
  bool chip_hits;
  double chip_hold;  ///< s
};

/// What chance says of one move of a rusher, should he come to make it: uniform numbers and one normal.
struct MoveDraw {
  double way, hands;  ///< where it goes, who wins
  double next_off;    ///< standard deviations of the time to the next
};
inline constexpr std::size_t most_moves = 8;

/// All that chance may decide of a rusher is drawn, whether a rule asks for it or not (32 numbers): two cases with the
/// same men stay a pair when a rule fires in one alone.
struct RusherDraw {
  double reaction, top_speed, tau, strength;  ///< s, yd/s, s, yd/s
  Point off;                                  ///< yd from where the formation has him
  RushPlan plan;                              ///< never `drawn`
  std::array<MoveDraw, most_moves> moves;
};

struct PasserDraw {
  double throw_off;    ///< standard deviations
  double second_read;  ///< uniform: below the share of second reads he makes one
  bool early, feels;   ///< he throws early; he steps or slides from who comes
  double early_takes;  ///< s
};

struct Draw {
  PasserDraw passer;
  std::array<ProtectorDraw, most_men> protectors;
  std::array<RusherDraw, most_men> rushers;
};

Draw draw(const Formation& formation, const Assumptions& assumptions, std::uint64_t seed, std::uint64_t number);

/// Every man as assumed, nothing left to chance.
Draw no_chance(const Formation& formation, const Assumptions& assumptions);

}  // namespace shortedge
