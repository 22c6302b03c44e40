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
  double reaction, kick_speed, run_speed, tau, grip;  ///< s, yd/s, yd/s, s, share
  bool chip_hits;
  double chip_hold;  ///< s
};

struct RusherDraw {
  double reaction, top_speed, tau, drive_rate;  ///< s, yd/s, s, yd/s
  Point off;                                    ///< yd from where the formation has him
};

struct Draw {
  double throw_off;  ///< standard deviations
  std::array<ProtectorDraw, most_men> protectors;
  std::array<RusherDraw, most_men> rushers;
};

Draw draw(const Formation& formation, const Assumptions& assumptions, std::uint64_t seed, std::uint64_t number);

/// Every man as assumed, nothing left to chance.
Draw no_chance(const Formation& formation, const Assumptions& assumptions);

}  // namespace shortedge
