#pragma once
/// Who stands where at the snap of a simulated play, and who has whom. Play frame (play/play.hpp).

#include <cstddef>
#include <cstdint>
#include <vector>

#include "geometry/point.hpp"
#include "play/play.hpp"

namespace shortedge {

inline constexpr std::size_t most_men = 11;  ///< of either side
inline constexpr std::int32_t no_man = -1;

/// Where the passer takes the snap.
enum class TakesSnap : std::int8_t { under, pistol, gun };

/// What a protector does.
enum class Job : std::int8_t {
  block,  ///< his man, from the snap on; without one he helps a neighbour
  zone,   ///< the same, but neighbours with this job exchange their men when these have crossed
  chip    ///< meets his man once, for as long as a chip holds, and leaves
};

struct Protector {
  Point at;
  Slot slot = Slot::none;  ///< his side (LT, LG left; RG, RT right; C none; else by where he stands)
  Job job = Job::block;
  std::int32_t man = no_man;                            ///< index of his rusher
  double kick_speed = nan, run_speed = nan, tau = nan;  ///< his own medians; NaN: the assumption's
};

struct Rusher {
  Point at;
  bool inside = false;                ///< which of the two assumed top speeds is his
  std::vector<Point> path;            ///< places he runs through first (a stunt)
  double top_speed = nan, tau = nan;  ///< his own means; NaN: the assumption's
};

struct Formation {
  TakesSnap takes = TakesSnap::under;
  Point passer{0, 1};
  std::vector<Protector> protectors;
  std::vector<Rusher> rushers;

  /// Throws InputError: more than 11 men of a side, no rusher, a place that is not finite or farther than 30 yd, two
  /// men on one spot, a man who is not there or is had twice, a speed of his own that is none.
  void validate() const;
};

/// -1 left, +1 right, 0 none.
int side_of(const Protector& protector);

}  // namespace shortedge
