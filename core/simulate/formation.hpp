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

/// How deep a protector is told to set before he meets his man.
enum class SetOrder : std::int8_t {
  drop,     ///< by the depth of the drop and his place in the line (simulate/rep_protector.hpp)
  jump,     ///< 1 yd: meets him at the line
  angle,    ///< 2.5 yd: the 45
  vertical  ///< 4.5 yd: straight back first
};

/// What a rusher has in mind before he meets his man.
enum class RushPlan : std::int8_t {
  drawn,    ///< by chance
  outside,  ///< round his man
  power,    ///< through him
  inside    ///< he sells outside and counters
};

struct Protector {
  Point at;
  Slot slot = Slot::none;  ///< his side (LT, LG left; RG, RT right; C none; else by where he stands)
  Job job = Job::block;
  std::int32_t man = no_man;                            ///< index of his rusher
  double kick_speed = nan, run_speed = nan, tau = nan;  ///< his own medians; NaN: the assumption's
  SetOrder order = SetOrder::drop;
};

struct Rusher {
  Point at;
  bool inside = false;                ///< which of the two assumed top speeds is his
  std::vector<Point> path;            ///< places he runs through first (a stunt)
  double top_speed = nan, tau = nan;  ///< his own means; NaN: the assumption's
  RushPlan plan = RushPlan::drawn;
  double wait = 0;  ///< s after his reaction at up to 1 yd/s: the second man of a stunt
};

struct Formation {
  TakesSnap takes = TakesSnap::under;
  Point passer{0, 1};
  std::vector<Protector> protectors;
  std::vector<Rusher> rushers;
  double roll = 0;  ///< yd to the offence's right that the top of the drop lies beside the passer: a roll-out
  double fake = 0;  ///< s: play action; protectors set this late, and the drop tops this late
  int slide = 0;    ///< -1 left, +1 right: the free man helps to that side alone; 0: to either

  /// Throws InputError: more than 11 men of a side, no rusher, a place that is not finite or farther than 30 yd, two
  /// men on one spot, a wait, fake or roll that is none, a man who is not there or is had twice, a speed of his own
  /// that is none.
  void validate() const;
};

/// -1 left, +1 right, 0 none.
int side_of(const Protector& protector);

}  // namespace shortedge
