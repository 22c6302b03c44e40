#pragma once
/// One simulated pass play, from the snap to an arrival or some time after the throw.
///
/// The step is of second order: everybody drifts half a step at his velocity, the driving law (simulate/drive.hpp) is
/// asked there, with velocities carried forward by the last acceleration, and he drifts on at the new velocity. What a
/// contact took from him is not carried forward: a man who is held would be taken to slip round him who holds him.
/// Contacts act on the new velocity before it is used: what brings a man nearer than he may be is limited to the gap
/// that is left, so no man is ever inside a disc and contacts fall inside the step. Impulses after the step were not
/// used: a held man creeps. Who runs into a man keeps none of the speed that closed the gap (rep_engagement.hpp).
/// Times are of second order too: what is seen at the middle of a step is done from its start, so it comes half a step
/// early as often as late; a move, hands won, a throw and a cut drop begin when they do within the step; a disc that
/// shrinks has shrunk in the step in which it does. Put off to the next step, they would all be late, and more so with
/// a longer step. Discs, rooms and the passer are gone round until all are kept: each correction takes speed from
/// somebody, so this ends. Where it has not after some rounds (a man wedged between two discs), the men of what is left
/// stop as far as they must.
///
/// The rules, each on the page of its room: the protector (rep_protector.hpp), the rusher (rep_rusher.hpp), their
/// engagement (rep_engagement.hpp), the passer (rep_passer.hpp), who has whom (rep_assignment.cpp). What they assume:
/// assumptions.hpp; how far they are right, and what they miss: HOW_RIGHT.md.
/// Discs: a rusher's man has reach (less with open hips, or beaten), the others `body`, none larger than its distance
/// from the rusher. A protector who is pushed on the passer stops there. Room between two men of a side is kept by
/// both, half each; a man who leaves after his chip gives way alone.

#include <array>
#include <cstddef>
#include <memory>
#include <span>
#include <vector>

#include "geometry/lanes.hpp"
#include "simulate/draws.hpp"
#include "simulate/passer.hpp"

namespace shortedge {

/// Of one protector, against the man he has. Times in s after the snap, NaN for never.
struct ProtectorRecord {
  double engaged = nan;    ///< within 0.02 yd of his rim
  double hips = nan;       ///< opened
  double peak_cutoff = 0;  ///< greatest cut-off ratio to the spot up to engagement or throw; 0 for who has none
  double peak_cutoff_time = 0;
  double peak_exposure = nan;  ///< outside, every 0.1 s from when pressure counts to the throw; NaN for a centre
};

struct RusherRecord {
  double arrival = nan;   ///< his centre within `arm` of the passer's
  double pressure = nan;  ///< when his first pressure before the throw began (as reps/pressure.hpp counts it)
  double hurried = nan;   ///< when the passer saw him come free and threw early because of him
  std::int32_t had_by =
      no_man;  ///< who had him at the first of pressure or arrival, else when he hurried, else at the end
};

struct RepRecord {
  double throw_time = nan, top_time = nan, end = nan;  ///< the throw as it came; the top, or when he cut his drop
  std::array<ProtectorRecord, most_men> protectors;
  std::array<RusherRecord, most_men> rushers;
};

/// Everybody's place now and then: the passer, the protectors, the rushers, in this order; play frame.
struct Film {
  double every = 0.1;  ///< s; a multiple of the step
  std::vector<double> time;
  std::vector<Point> place, velocity;  ///< frame * men + man; yd, yd/s
};

/// A draw, and when the ball is to be thrown in it (s after the snap).
struct Trial {
  Draw draw;
  double throw_time;
};

class RepSimulator {
 public:
  static constexpr double default_step = 0.01;        ///< s
  static constexpr std::size_t side_by_side = lanes;  ///< reps that are run at once

  /// Formation and assumptions must be valid and outlive it. Throws InputError for a step outside 0.0001 to 0.02 s, or
  /// above `response`, at which the driving law would swing.
  RepSimulator(const Formation& formation, const Assumptions& assumptions, const PasserDrop& drop,
               double step = default_step);
  ~RepSimulator();
  RepSimulator(RepSimulator&&) noexcept;
  RepSimulator& operator=(RepSimulator&&) noexcept;

  /// Until an arrival or `after` s after the throw. The record stands until the next run. `film`, if any, is filled
  /// anew.
  const RepRecord& run(const Draw& draw, double throw_time, double after, Film* film = nullptr);

  /// Up to `side_by_side` reps in little more than the time of one, each the same to the bit as alone. The records
  /// stand until the next run. films: none, or one a rep, filled anew up to its end. Throws InputError for more reps,
  /// and for another number of films.
  std::span<const RepRecord> run(std::span<const Trial> trials, double after, std::span<Film> films = {});

 private:
  class Reps;
  std::unique_ptr<Reps> reps_;
};

}  // namespace shortedge
