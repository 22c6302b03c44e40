#pragma once
/// What a simulated rep is made of, for the sources of rep.hpp alone: the men, the passer and the aims, lane by lane,
/// and what is done with them. The rooms: rep_protector.hpp, rep_rusher.hpp and rep_passer.hpp (what each of them sees
/// and wants), rep_engagement.hpp (who may touch, and what that takes from them), rep_assignment.cpp (who has whom,
/// help and routes, every tenth of a second), rep_events.hpp (what is recorded), rep.cpp (the step).

#include <algorithm>
#include <array>
#include <cmath>
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
  std::span<const RepRecord> run(std::span<const Trial> trials, double after, std::span<Film> films);

 private:
  struct Man {
    WidePoint at, velocity, middle;  // middle: half a step on
    WidePoint gained;                // acceleration of the driving law in the last step
    WidePoint next;                  // velocity after this step
    WidePoint push;                  // a protector is moved back, beside his own velocity
    WidePoint lost;                  // of his velocity, at the next middle, to whom he has run into by then
    LegsOf<Wide> legs{};
    Wide reaction{};
    WideMask ties{};  // contacts and rooms he is in in this step
    SHORTEDGE_INLINED WidePoint total() const { return next + push; }
  };
  /// A rusher as he is, on his way to his aim; or as a protector sees him, on his way to the protection's.
  struct Faced {
    WidePoint middle, velocity, to_aim, line;  // the last a unit vector
    Wide speed{}, goal{};                      // yd/s; yd to the aim
  };
  struct Blocking : Man {
    Wide kick_speed{}, grip{}, strength{};
    Wide lag{};  // s, he sees men as they were so long ago: the state `back_steps` steps ago, and this share on
    Wide lag_share{};
    std::array<std::size_t, lanes> back_steps{};
    Wide sets_to{};     // yd behind the line
    Wide back{};        // his straight back before contact, of kick speed
    WideMask man{};     // his rusher
    WideMask target{};  // whom he blocks now: his rusher, or the one he helps on
    WideMask open{}, gone{}, exchanges{};
    Wide rim{};           // yd, of his disc to the man he blocks
    Wide turned{};        // when he last opened or faced
    Wide beaten_until{};  // his hands
    WideMask holds{};     // touches the man he blocks
    WideMask rides{};     // runs beside him
    Wide in_front{};      // since when he has been in front of his man again
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
  /// A rusher's moves, of one lane.
  struct Moves {
    RushPlan plan = RushPlan::power;
    std::size_t begun = 0;
    std::array<MoveDraw, most_moves> drawn{};
  };
  struct Rushing : Man {
    Wide strength{};
    Faced seen;
    std::array<Moves, lanes> moves;
    Wide began{}, move_ends{}, next_move{};  // s, of a move
    WideMask unmoved{}, sells{};             // he has begun none yet; and sells outside until then
    WideMask winning{};                      // the hands, once they meet
    WideMask stunts{};                       // has places of a stunt ahead
    WidePoint his_middle;                    // of the man who has him, once he may move
    Wide his_rim{}, his_side{};
    Wide side{};          // of his man he makes for: -1 left, +1 right, 0 none
    WideMask moving{};    // a sideways move
    WideMask powers{};    // he planned to go through his man
    Wide won_until{};     // the hands
    WideMask held{};      // by a man who touches him
    WideMask blockers{};  // how many touch him
    WideMask ridden{};
    Wide waits_until{};  // before he loops
    Wide early_since{};  // in sight of a passer who would throw
    std::array<Course, lanes> courses;
    WideMask on_route{}, guided{};          // guided: on a route, or with places of a stunt ahead
    Wide run_on{};                          // yd since the route was made
    Wide held_until{};                      // by a chip
    Wide near_since{}, soon_since{};        // of a pressure
    Wide arrival{}, pressure{}, hurried{};  // of his record
    WideMask had_by{}, recorded_by{}, hurried_by{};
  };
  /// A rusher and a protector who may touch in this step.
  struct Contact {
    Blocking* protector;
    Rushing* rusher;
    std::int64_t j;   // the rusher's number
    WideMask may;     // the lanes in which they may
    WidePoint n;      // from the rusher to the protector
    Wide range, gap;  // yd, between them and to the rim
    Wide closing;     // yd/s, at which it is closed in this step
    Wide comes;       // yd/s, at which he would come on if nobody stopped him
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
    SHORTEDGE_INLINED Pair* begin() { return pairs_.data(); }
    SHORTEDGE_INLINED Pair* end() { return pairs_.data() + count_; }
    SHORTEDGE_INLINED const Pair* begin() const { return pairs_.data(); }
    SHORTEDGE_INLINED const Pair* end() const { return pairs_.data() + count_; }

   private:
    std::vector<Pair> pairs_;
    std::size_t count_ = 0;
  };
  struct Instant {
    Point at, velocity;
  };
  struct Was {
    WidePoint at, velocity;
  };
  /// The passer: on his planned drop until he steps or slides.
  struct Passing {
    WidePoint at, velocity, middle, moves, gained, next;  // moves: his velocity at the middle
    WideMask off_script{};                                // he goes by what he sees
    WideMask early{}, feels{}, out{};                     // the last: he has decided to throw early
    Wide early_takes{};
    Wide top{};                   // s: when his drop tops or he cut it
    Wide stepped{}, slid{};       // yd
    WideMask stepping{}, open{};  // up; he could
    Wide sliding{};               // -1, 0, +1
  };

  void start(std::span<const Trial> trials, double after);
  void play(std::span<Film> films);
  void step(std::size_t n);
  void finish(std::size_t lane, std::size_t steps);
  void shoot(Film& film, std::size_t lane, std::size_t n) const;
  void renew(double time);
  void exchange(std::size_t lane);
  void choose_help(std::size_t lane);
  void find_route(std::size_t lane, Rushing& rusher, std::int64_t code);
  double radius(std::size_t lane, const Blocking& protector, std::int64_t rusher) const;
  Wide radius(const Blocking& protector, std::int64_t rusher) const;
  Faced seen_by(const Blocking& protector, std::size_t n) const;
  void go(Man& man, const WidePoint& wants, double time) const;
  void move(Rushing& rusher, std::size_t index, double time);
  double within(std::size_t lane, const Rushing& rusher, double range, double most) const;
  void begin_move(std::size_t lane, Rushing& rusher, std::size_t index, double time);
  WidePoint wanted(Rushing& rusher, std::size_t index, double time);
  void guide(std::size_t lane, Rushing& rusher, std::size_t index, WidePoint& toward, Wide& allowed);
  WidePoint wanted(Blocking& protector, std::size_t index, std::size_t n, double time) const;
  WidePoint wanted_by_chip(Blocking& protector, std::size_t index, double time) const;
  void ride(double time);
  /// His velocity at the middle of the step, as he has been gaining it.
  WidePoint carried_on(const Man& man) const { return man.velocity + step_ / 2 * man.gained; }
  void take_aim(double middle);
  void see_aim();
  void spread(double middle);
  void drop_on(std::size_t n);
  bool look(double time);
  void decide();
  void throw_early(std::size_t lane, Rushing& rusher, double time);
  void touch(double time);
  void find_contacts(double time);
  void crowd(Man& one, Man& other, double room, const Wide& share);
  void settle();
  void stop(const WideMask& going);
  void run_into();
  WideMask note(double time);
  /// The steps that cover so many seconds: the last one ends no sooner.
  std::size_t steps_to(double time) const {
    return static_cast<std::size_t>(std::max(0.0, std::ceil(time / step_ - 1e-9)));
  }
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
  std::vector<double> hands_;  // that a rusher wins them, in a later move
  std::vector<bool> tackles_;  // who ride: tackles and men outside them
  double after_ = 0;

  std::array<std::size_t, lanes> steps_{};
  WideMask live_{};
  Wide throw_time_{};
  std::vector<Blocking> protectors_;
  std::vector<Rushing> rushers_;
  std::vector<Was> was_;  // the rushers in the last steps, round and round, the first of them at the end again
  std::size_t kept_ = 0;  // steps; a power of two
  Passing passer_;
  WideMask topped_{};                              // the drop, or cut
  WidePoint rush_aim_, guards_, guards_velocity_;  // what the rushers aim at; what the protectors keep them from
  Wide pressure_from_{};
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
  return protector.target[lane] == rusher ? protector.rim[lane] : assumptions_.body;
}

}  // namespace shortedge
