#pragma once
/// One simulated pass play, from the snap to an arrival or some time after the throw.
///
/// The step is of second order: everybody drifts half a step at his velocity, the driving law (simulate/drive.hpp) is asked
/// there, with velocities carried forward by the last acceleration, and he drifts on at the new velocity. Contacts act on
/// the new velocity before it is used: what brings a man nearer than he may be is limited to the gap that is left, so no
/// man is ever inside a disc and contacts fall inside the step. Impulses after the step were not used: a held man creeps.
/// Discs, rooms and the passer are gone round until all are kept: each correction takes speed from somebody, so this ends.
/// Where it has not after some rounds (a man wedged between two discs), the men of what is left stop as far as they must.
///
/// Aim: the spot (the top of the drop) until the drop tops, then the passer.
/// Rusher: after his reaction through the places of his stunt (one that a man's disc covers is passed at its rim), then
/// along the taut path to the aim (geometry/taut_path.hpp; renewed every 0.1 s), looking 0.3 yd + 0.06 s x speed ahead, at the speed its arcs allow (rush/ways.hpp); straight at
/// the aim through the man where the path is over 0.4 yd longer than the straight line, or there is none. Discs: `reach`
/// (`reach_open`) of who has him or helps on him, `body` of the others, none larger than its distance from the rusher.
/// Engagement: at the rim he comes no nearer to the protector, who is moved back at up to drive_rate x squareness
/// (squareness: the cosine, not below 0, of the angle between the aim and the protector as he sees them). Within 0.1 yd of
/// the rim his slip along it is slowed by grip x squareness x vmax / tau; what would reverse it, or push him on, only
/// stops it. A protector who is pushed on the passer stops there. Room between two men of a side is kept by both, half
/// each; a man who leaves after his chip gives way alone.
/// Protector: after his reaction to the point of the line from his man to the aim at |RP| / cos phi from the man
/// (rush/cutoff.hpp), never nearer than `keep_off` to the aim, at min(limit, gap / close_in), plus half of that point's own
/// speed across the line, in all at most his limit: kick speed facing. When cut-off ratio to the aim x the rusher's speed
/// exceeds opens_at x kick speed he opens his hips: run speed, less reach and grip; he faces again after `settle` s on end
/// with ratio below 1 and less than reach_open off the line. A free man helps on the neighbour's rusher whose own man has
/// the greatest cut-off ratio (0.1 of preference for the present one; a rusher nobody has comes first), 0.3 yd to his own
/// side of the line. Neighbours in a zone exchange their men when these have crossed. A chip goes for his man's
/// outside half at run speed and, if it hits, holds him; then he leaves, or at once if it does not.
/// Known to be missing: moves and counters, a passer who reacts, a push from inside that spreads.

#include <cstddef>
#include <vector>

#include "base/rules.hpp"
#include "geometry/taut_path.hpp"
#include "simulate/draws.hpp"
#include "simulate/drive.hpp"
#include "simulate/passer.hpp"

namespace shortedge {

/// Of one protector, against the man he has. Times in s after the snap, NaN for never.
struct ProtectorRecord {
  double engaged = nan;            ///< within 0.02 yd of his rim
  double hips = nan;               ///< opened
  double peak_cutoff = 0;          ///< greatest cut-off ratio to the spot, from the snap to engagement; 0 for who has none
  double peak_cutoff_time = 0;
  double peak_exposure = nan;      ///< outside, every 0.1 s from when pressure counts to the throw; NaN for a centre
};

struct RusherRecord {
  double arrival = nan;    ///< his centre within `arm` of the passer's
  double pressure = nan;   ///< when his first pressure before the throw began (as reps/pressure.hpp counts it)
  std::int32_t had_by = no_man;  ///< who had him when it did, without one when he arrived, else at the end
};

struct RepRecord {
  double throw_time = nan, top_time = nan, end = nan;
  std::array<ProtectorRecord, most_men> protectors;
  std::array<RusherRecord, most_men> rushers;
};

/// Everybody's place now and then: the passer, the protectors, the rushers, in this order; play frame.
struct Film {
  double every = 0.1;  ///< s; a multiple of the step
  std::vector<double> time;
  std::vector<Point> place, velocity;  ///< frame * men + man; yd, yd/s
};

class RepSimulator {
 public:
  static constexpr double default_step = 0.005;  ///< s

  /// Formation and assumptions must be valid and outlive it. Throws InputError for a step outside 0.0001 to 0.02 s, or above
  /// `response`, at which the driving law would swing.
  RepSimulator(const Formation& formation, const Assumptions& assumptions, const PasserDrop& drop, double step = default_step);

  /// Until an arrival or `after` s after the throw. The record stands until the next run. `film`, if any, is filled anew.
  const RepRecord& run(const Draw& draw, double throw_time, double after, Film* film = nullptr);

 private:
  struct Man {
    Point at{0, 0}, velocity{0, 0}, middle{0, 0};  // middle: half a step on
    Point gained{0, 0};                            // acceleration of the driving law in the last step
    Point next{0, 0};                              // velocity after this step
    Point push{0, 0};                              // a protector is moved back, beside his own velocity
    Legs legs{};
    double reaction = 0;
    int ties = 0;                                  // contacts and rooms he is in in this step
    Point total() const { return next + push; }
  };
  struct Blocking : Man {
    double kick_speed = 0, grip = 0;
    std::int32_t man = no_man;     // his rusher
    std::int32_t target = no_man;  // whom he blocks now: his rusher, or the one he helps on
    bool open = false, gone = false;
    double in_front = nan;  // since when he has been in front of his man again
    bool chip_hits = false;
    double chip_hold = 0;
  };
  struct Bend {
    double begins, ends;  // yd along the route
    double cap2;          // (yd/s)^2, the most on it
  };
  struct Rushing : Man {
    double drive_rate = 0;
    double speed = 0;         // yd/s
    Point to_aim{0, 0}, line{0, 0};  // the latter a unit vector
    double goal = 0;                 // yd to the aim
    std::size_t through = 0;  // places of his stunt behind him
    Route route;
    std::vector<Bend> bends;  // of it
    bool on_route = false;
    double run_on = 0;        // yd since the route was made
    double held_until = -1;   // by a chip
    double near_since = nan, soon_since = nan;  // of a pressure
  };
  /// A rusher and a protector who may touch in this step.
  struct Contact {
    Blocking* protector;
    Rushing* rusher;
    std::size_t i, j;
    Point n;            // from the rusher to the protector
    double gap;         // yd, to the rim
    double squareness;  // of the rusher
    double approach() const { return (rusher->next - protector->total()).dot(n); }
  };
  /// Two men of one side who may take one another's room in this step.
  struct Crowding {
    Man *one, *other;
    Point n;       // from one to the other
    double gap;    // yd
    double share;  // of what they are too near, `one` gives this
  };
  /// A protector who may come too near the passer in it.
  struct Backing {
    Blocking* man;
    Point n;     // from him to the passer
    double gap;  // yd
  };
  struct Instant {
    Point at, velocity;
  };

  void start(const Draw& draw);
  void renew(double time);
  void choose_help();
  void exchange();
  void find_route(Rushing& rusher, std::int32_t code);
  double radius(const Blocking& protector, std::int32_t rusher) const;
  Point wanted(Rushing& rusher, std::size_t index, double time);
  Point wanted(Blocking& protector, std::size_t index, double time);
  void touch(double time);
  void find_contacts(double time);
  void settle();
  void stop();
  bool note(double time, const Instant& passer);

  const Formation& formation_;
  const Assumptions& assumptions_;
  PasserDrop drop_;
  Rules rules_;
  double step_;
  std::vector<Instant> passer_at_;  // every half step
  std::size_t renew_steps_;
  std::vector<std::size_t> line_;  // protectors who block, left to right
  std::vector<int> sides_;

  std::vector<Blocking> protectors_;
  std::vector<Rushing> rushers_;
  std::vector<std::int32_t> had_by_;  // by rusher
  Instant passer_, aim_;
  double pressure_from_ = 0;
  double stride_ = 0;  // yd, the most by which two men come nearer in a step
  std::vector<Contact> contacts_;
  std::vector<Crowding> crowdings_;
  std::vector<Backing> backings_;
  std::vector<Disc> discs_;
  TautSearch search_;
  RepRecord record_;
};

}  // namespace shortedge
