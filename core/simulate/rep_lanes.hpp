#pragma once
/// What a simulated rep is made of, for the sources of rep.hpp alone: the men, the passer and the aim, lane by lane,
/// and what is done with them. The rooms: rep_wants.hpp (what men want), rep_contacts.hpp (who may touch, and what that
/// takes from them), rep_events.hpp (what is recorded), rep_renewed.cpp (who has whom, help and routes, every tenth of
/// a second), rep.cpp (the step).

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "base/rules.hpp"
#include "geometry/lanes.hpp"
#include "geometry/taut_path.hpp"
#include "simulate/drive.hpp"
#include "simulate/rep.hpp"

namespace shortedge {

inline constexpr double renew_every = 0.1;  // s: routes, help, exchanges
inline constexpr double look_ahead = 0.3;   // yd
inline constexpr double grip_zone = 0.1;    // yd from the rim

/// Reps of one formation side by side, one a lane. What is done every step is done for all lanes at once; what is done
/// every tenth of a second, or by few, lane by lane. A lane whose rep is over goes on unrecorded until the last is.
class RepSimulator::Reps {
 public:
  Reps(const Formation& formation, const Assumptions& assumptions, const PasserDrop& drop, double step);
  std::span<const RepRecord> run(std::span<const Trial> trials, double after, Film* film);

 private:
  struct Man {
    WidePoint at, velocity, middle;  // middle: half a step on
    WidePoint gained;                // acceleration of the driving law in the last step
    WidePoint next;                  // velocity after this step
    WidePoint push;                  // a protector is moved back, beside his own velocity
    LegsOf<Wide> legs{};
    Wide reaction{};
    WideMask ties{};  // contacts and rooms he is in in this step
    SHORTEDGE_INLINED WidePoint total() const { return next + push; }
  };
  /// Of a rusher, what his protector goes by.
  struct Faced {
    WidePoint middle, velocity, to_aim, line;  // the last a unit vector
    Wide speed{}, goal{};                      // yd/s; yd to the aim
  };
  struct Blocking : Man {
    Wide kick_speed{}, grip{};
    WideMask man{};                // his rusher
    WideMask target{};             // whom he blocks now: his rusher, or the one he helps on
    const Faced* faces = nullptr;  // him, where he is the same man in all lanes
    WideMask open{}, gone{};
    Wide in_front{};  // since when he has been in front of his man again
    WideMask chip_hits{};
    Wide chip_hold{};
    Wide leaves_at{};                                                            // once he has chipped
    Wide engaged{}, hips{}, peak_cutoff{}, peak_cutoff_time{}, peak_exposure{};  // of his record
  };
  struct Bend {
    double begins, ends;  // yd along the route
    double cap2;          // (yd/s)^2, the most on it
  };
  struct Course {
    std::size_t through = 0;  // places of his stunt behind him
    Route route;
    std::vector<Bend> bends;  // of it
  };
  struct Rushing : Man {
    Wide drive_rate{};
    Faced seen;
    std::array<Course, lanes> courses;
    WideMask on_route{}, guided{};    // guided: on a route, or with places of a stunt ahead
    Wide run_on{};                    // yd since the route was made
    Wide held_until{};                // by a chip
    Wide near_since{}, soon_since{};  // of a pressure
    Wide arrival{}, pressure{};       // of his record
    std::array<std::int32_t, lanes> had_by{}, recorded_by{};
  };
  /// A rusher and a protector who may touch in this step.
  struct Contact {
    Blocking* protector;
    Rushing* rusher;
    std::int64_t j;   // the rusher's number
    WideMask may;     // the lanes in which they may
    WidePoint n;      // from the rusher to the protector
    Wide gap;         // yd, to the rim
    Wide closing;     // yd/s, at which it is closed in this step
    Wide squareness;  // of the rusher
    SHORTEDGE_INLINED Wide approach() const { return (rusher->next - protector->total()).dot(n); }
  };
  /// Two men of one side who may take one another's room in this step.
  struct Crowding {
    Man *one, *other;
    WideMask may;
    WidePoint n;   // from one to the other
    Wide closing;  // yd/s, at which the gap is closed in this step
    Wide share;    // of what they are too near, `one` gives this
  };
  /// A protector who may come too near the passer in it.
  struct Backing {
    Blocking* man;
    WideMask may;
    WidePoint n;   // from him to the passer
    Wide closing;  // yd/s, at which the gap is closed in this step
  };
  /// A list of them that keeps its memory, and whose places are not cleared when they are given out again.
  template <class Pair>
  class Pairs {
   public:
    SHORTEDGE_INLINED void clear() { count_ = 0; }
    SHORTEDGE_INLINED Pair& add() {
      if (count_ == pairs_.size()) pairs_.resize(count_ + 1);
      return pairs_[count_++];
    }
    SHORTEDGE_INLINED const Pair* begin() const { return pairs_.data(); }
    SHORTEDGE_INLINED const Pair* end() const { return pairs_.data() + count_; }

   private:
    std::vector<Pair> pairs_;
    std::size_t count_ = 0;
  };
  struct Instant {
    Point at, velocity;
  };

  void start(std::span<const Trial> trials, double after);
  void play(Film* film);
  void step(std::size_t n);
  void finish(std::size_t lane, std::size_t steps);
  void shoot(Film& film, std::size_t n) const;
  void renew(double time);
  void exchange(std::size_t lane);
  void choose_help(std::size_t lane);
  void find_route(std::size_t lane, Rushing& rusher, std::int64_t code);
  double radius(std::size_t lane, const Blocking& protector, std::int64_t rusher) const;
  Wide radius(const Blocking& protector, std::int64_t rusher) const;
  void face();
  Faced faced_by_lane(const WideMask& rusher) const;
  void go(Man& man, const WidePoint& wants, double time) const;
  WidePoint wanted(Rushing& rusher, std::size_t index, double time);
  void guide(std::size_t lane, Rushing& rusher, std::size_t index, WidePoint& toward, Wide& allowed);
  WidePoint wanted(Blocking& protector, std::size_t index, double time) const;
  WidePoint wanted_by_chip(Blocking& protector, std::size_t index, double time) const;
  void touch(double time);
  void find_contacts(double time);
  void crowd(Man& one, Man& other, double room, const Wide& share);
  void settle();
  void stop(const WideMask& going);
  WideMask note(double time, const Instant& passer);
  Point rusher_at(std::size_t lane, std::int64_t rusher) const {
    return rushers_[static_cast<std::size_t>(rusher)].at.lane(lane);
  }

  const Formation& formation_;
  const Assumptions& assumptions_;
  PasserDrop drop_;
  Rules rules_;
  double step_;
  std::vector<Instant> passer_at_;  // every half step
  std::size_t renew_steps_;
  std::vector<std::size_t> line_;  // protectors who block, left to right
  std::vector<int> sides_;

  std::array<std::size_t, lanes> steps_{};
  WideMask live_{};
  Wide throw_time_{};
  std::vector<Blocking> protectors_;
  std::vector<Rushing> rushers_;
  Instant passer_, aim_;
  double pressure_from_ = 0;
  Wide stride_{};  // yd, the most by which two men come nearer in a step
  Pairs<Contact> contacts_;
  Pairs<Crowding> crowdings_;
  Pairs<Backing> backings_;
  std::vector<Disc> discs_;
  TautSearch search_;
  std::array<RepRecord, lanes> records_;
};

/// yd, of the disc of this protector round which this rusher goes.
inline double RepSimulator::Reps::radius(std::size_t lane, const Blocking& protector, std::int64_t rusher) const {
  if (protector.target[lane] != rusher) return assumptions_.body;
  return protector.open[lane] ? assumptions_.reach_open : assumptions_.reach;
}

/// Notes whom the protectors face, when that has changed.
inline void RepSimulator::Reps::face() {
  for (Blocking& man : protectors_) {
    const bool same = !any(man.target != whole(man.target[0])) && man.target[0] != no_man;
    man.faces = same ? &rushers_[static_cast<std::size_t>(man.target[0])].seen : nullptr;
  }
}

}  // namespace shortedge
