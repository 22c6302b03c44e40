#include "simulate/rep.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "base/error.hpp"
#include "base/rules.hpp"
#include "geometry/taut_path.hpp"
#include "play/pressing.hpp"
#include "rush/closest.hpp"
#include "rush/cutoff.hpp"
#include "rush/ways.hpp"
#include "simulate/drive.hpp"

namespace shortedge {

namespace {

constexpr double renew_every = 0.1;      // s: routes, help, exchanges
constexpr double look_ahead = 0.3;       // yd
constexpr double look_ahead_time = 0.06; // s
constexpr double longer_than = 0.4;      // yd: a route this much longer than the straight line is not taken
constexpr double grip_zone = 0.1;        // yd from the rim
constexpr double engaged_at = 0.02;      // yd from the rim
constexpr double help_offset = 0.3;      // yd to his own side of the line
constexpr double help_preference = 0.1;  // of cut-off ratio
constexpr double crossed_by = 0.3;       // yd, across
constexpr double place_reached = 0.4;    // yd, of a stunt
constexpr double follow_share = 0.5;     // of the speed across of the place he makes for
constexpr int most_rounds = 50;          // of settling contacts in a step
constexpr double settled = 1e-12;        // yd: nobody comes nearer than he may by more in a step

}  // namespace

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
    WideMask man{};     // his rusher
    WideMask target{};  // whom he blocks now: his rusher, or the one he helps on
    const Faced* faces = nullptr;  // him, where he is the same man in all lanes
    WideMask open{}, gone{};
    Wide in_front{};  // since when he has been in front of his man again
    WideMask chip_hits{};
    Wide chip_hold{};
    Wide leaves_at{};  // once he has chipped
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
    WideMask on_route{}, guided{};  // guided: on a route, or with places of a stunt ahead
    Wide run_on{};      // yd since the route was made
    Wide held_until{};  // by a chip
    Wide near_since{}, soon_since{};  // of a pressure
    Wide arrival{}, pressure{};       // of his record
    std::array<std::int32_t, lanes> had_by{}, recorded_by{};
  };
  /// A rusher and a protector who may touch in this step.
  struct Contact {
    Blocking* protector;
    Rushing* rusher;
    std::int64_t j;  // the rusher's number
    WideMask may;    // the lanes in which they may
    WidePoint n;     // from the rusher to the protector
    Wide gap;        // yd, to the rim
    Wide closing;    // yd/s, at which it is closed in this step
    Wide squareness; // of the rusher
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
  Point rusher_at(std::size_t lane, std::int64_t rusher) const { return rushers_[static_cast<std::size_t>(rusher)].at.lane(lane); }

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

RepSimulator::Reps::Reps(const Formation& formation, const Assumptions& assumptions, const PasserDrop& drop, double step)
    : formation_(formation), assumptions_(assumptions), drop_(drop), step_(step) {
  if (!(step >= 1e-4 && step <= 0.02)) throw InputError("step is " + shown(step) + " s; accepted: 0.0001 to 0.02");
  if (!(step <= assumptions.response)) {
    throw InputError("step is " + shown(step) + " s; accepted: at most the assumption response, " +
                     shown(assumptions.response) + " s");
  }
  renew_steps_ = static_cast<std::size_t>(std::lround(renew_every / step));
  rules_.reach = assumptions.reach;
  rules_.body = assumptions.body;
  rules_.arm = assumptions.arm;
  rules_.bow = assumptions.bow;
  rules_.a_lat = assumptions.a_lat;
  rules_.a_brake = assumptions.a_brake;
  for (std::size_t i = 0; i < formation.protectors.size(); ++i) {
    sides_.push_back(side_of(formation.protectors[i]));
    if (formation.protectors[i].job != Job::chip) line_.push_back(i);
  }
  std::stable_sort(line_.begin(), line_.end(), [&](std::size_t a, std::size_t b) {
    return formation.protectors[a].at.x() < formation.protectors[b].at.x();
  });
  protectors_.resize(formation.protectors.size());
  rushers_.resize(formation.rushers.size());
}

void RepSimulator::Reps::start(std::span<const Trial> trials, double after) {
  const Assumptions& a = assumptions_;
  for (Blocking& man : protectors_) man = Blocking{};
  for (Rushing& man : rushers_) {
    std::array<Course, lanes> courses = std::move(man.courses);  // their memory is kept
    man = Rushing{};
    man.courses = std::move(courses);
  }
  std::size_t most_steps = 0;
  for (std::size_t lane = 0; lane < lanes; ++lane) {
    const Trial& trial = trials[std::min(lane, trials.size() - 1)];  // lanes left over repeat the last, unrecorded
    throw_time_[lane] = trial.throw_time;
    steps_[lane] = static_cast<std::size_t>(std::max(0L, std::lround((trial.throw_time + after) / step_)));
    live_[lane] = lane < trials.size() ? -1 : 0;
    most_steps = std::max(most_steps, steps_[lane]);
    double fastest = 0, drives = 0;
    for (std::size_t i = 0; i < protectors_.size(); ++i) {
      const ProtectorDraw& drawn = trial.draw.protectors[i];
      const Protector& of = formation_.protectors[i];
      Blocking& man = protectors_[i];
      man.at.set(lane, of.at);
      man.legs.vmax[lane] = drawn.run_speed;
      man.legs.tau[lane] = drawn.tau;
      man.reaction[lane] = drawn.reaction;
      man.kick_speed[lane] = drawn.kick_speed;
      man.grip[lane] = drawn.grip;
      man.man[lane] = man.target[lane] = of.man;
      man.open[lane] = of.job == Job::chip ? -1 : 0;
      man.chip_hits[lane] = drawn.chip_hits ? -1 : 0;
      man.chip_hold[lane] = drawn.chip_hold;
      man.leaves_at[lane] = infinity;
      man.in_front[lane] = man.engaged[lane] = man.hips[lane] = man.peak_exposure[lane] = nan;
      fastest = std::max(fastest, drawn.run_speed);
    }
    for (std::size_t j = 0; j < rushers_.size(); ++j) {
      const RusherDraw& drawn = trial.draw.rushers[j];
      Rushing& man = rushers_[j];
      man.at.set(lane, formation_.rushers[j].at + drawn.off);
      man.legs.vmax[lane] = drawn.top_speed;
      man.legs.tau[lane] = drawn.tau;
      man.reaction[lane] = drawn.reaction;
      man.drive_rate[lane] = drawn.drive_rate;
      man.held_until[lane] = -1;
      man.near_since[lane] = man.soon_since[lane] = man.arrival[lane] = man.pressure[lane] = nan;
      man.had_by[lane] = man.recorded_by[lane] = no_man;
      man.courses[lane].through = 0;
      man.guided[lane] = formation_.rushers[j].path.empty() ? 0 : -1;
      fastest = std::max(fastest, drawn.top_speed), drives += drawn.drive_rate;
    }
    stride_[lane] = 2 * (fastest + drives) * step_;
    for (std::size_t i : line_) {
      Blocking& man = protectors_[i];
      if (man.man[lane] == no_man) continue;
      man.peak_cutoff[lane] = cutoff_ratio(rusher_at(lane, man.man[lane]), man.at.lane(lane), drop_.spot());
    }
  }
  for (Blocking& man : protectors_) man.legs.a_lat = a.a_lat, man.legs.a_brake = a.a_brake, man.legs.response = a.response;
  for (Rushing& man : rushers_) man.legs.a_lat = a.a_lat, man.legs.a_brake = a.a_brake, man.legs.response = a.response;
  pressure_from_ = formation_.takes == TakesSnap::under ? infinity : pressing::from;
  for (std::size_t half = passer_at_.size(); half <= 2 * most_steps; ++half) {
    const double time = static_cast<double>(half) * step_ / 2;
    passer_at_.push_back({drop_.at(time), drop_.velocity(time)});
  }
}

std::span<const RepRecord> RepSimulator::Reps::run(std::span<const Trial> trials, double after, Film* film) {
  start(trials, after);
  for (std::size_t lane = 0; lane < trials.size(); ++lane) {
    if (steps_[lane] == 0) finish(lane, 0);
  }
  play(film);
  return {records_.data(), trials.size()};
}

/// The rep in this lane is over after so many steps.
void RepSimulator::Reps::finish(std::size_t lane, std::size_t steps) {
  live_[lane] = 0;
  RepRecord& record = records_[lane] = RepRecord{};
  record.throw_time = throw_time_[lane];
  record.top_time = drop_.top_time();
  record.end = static_cast<double>(steps) * step_;
  for (std::size_t i = 0; i < protectors_.size(); ++i) {
    const Blocking& man = protectors_[i];
    record.protectors[i] = {man.engaged[lane], man.hips[lane], man.peak_cutoff[lane], man.peak_cutoff_time[lane],
                            man.peak_exposure[lane]};
  }
  for (std::size_t j = 0; j < rushers_.size(); ++j) {
    const Rushing& man = rushers_[j];
    const bool came = !std::isnan(man.arrival[lane]) || !std::isnan(man.pressure[lane]);
    record.rushers[j] = {man.arrival[lane], man.pressure[lane], (came ? man.recorded_by : man.had_by)[lane]};
  }
}

/// Of the first lane.
void RepSimulator::Reps::shoot(Film& film, std::size_t n) const {
  film.time.push_back(static_cast<double>(n) * step_);
  const auto add = [&](const Point& at, const Point& velocity) {
    film.place.push_back(at);
    film.velocity.push_back(velocity);
  };
  add(passer_at_[2 * n].at, passer_at_[2 * n].velocity);
  for (const Blocking& man : protectors_) add(man.at.lane(0), man.velocity.lane(0) + man.push.lane(0));
  for (const Rushing& man : rushers_) add(man.at.lane(0), man.velocity.lane(0));
}

// ------------------------------------------------------------------------------------------------ every tenth of a second

void RepSimulator::Reps::renew(double time) {
  for (std::size_t lane = 0; lane < lanes; ++lane) {
    if (!live_[lane]) continue;
    exchange(lane);
    choose_help(lane);
    for (Rushing& man : rushers_) man.had_by[lane] = no_man;
    for (std::size_t i : line_) {
      const std::int64_t man = protectors_[i].man[lane];
      if (man != no_man) rushers_[static_cast<std::size_t>(man)].had_by[lane] = static_cast<std::int32_t>(i);
    }
    for (std::size_t j = 0; j < rushers_.size(); ++j) {
      if (time >= rushers_[j].reaction[lane] - renew_every) find_route(lane, rushers_[j], static_cast<std::int64_t>(j));
    }
    if (time < pressure_from_ || time > throw_time_[lane]) continue;
    for (std::size_t i : line_) {
      Blocking& man = protectors_[i];
      if (man.man[lane] == no_man || sides_[i] == 0) continue;
      const Rushing& rusher = rushers_[static_cast<std::size_t>(man.man[lane])];
      const Point at = rusher.at.lane(lane);
      const double soonest = (distance(at, passer_.at) - rules_.arm) / rules_.vmax;
      if (exposure(soonest, rules_) <= man.peak_exposure[lane]) continue;  // whatever the way, it can't be more
      const double way = outside_time(at, rusher.velocity.lane(lane), man.at.lane(lane), passer_.at, sides_[i], rules_);
      man.peak_exposure[lane] = std::fmax(man.peak_exposure[lane], exposure(way, rules_));
    }
  }
  face();
}

/// Neighbours in a zone whose men have crossed change them.
void RepSimulator::Reps::exchange(std::size_t lane) {
  for (std::size_t k = 0; k + 1 < line_.size(); ++k) {
    if (formation_.protectors[line_[k]].job != Job::zone || formation_.protectors[line_[k + 1]].job != Job::zone) continue;
    Blocking &left = protectors_[line_[k]], &right = protectors_[line_[k + 1]];
    const std::int64_t of_left = left.man[lane], of_right = right.man[lane];
    if (of_left == no_man || of_right == no_man) continue;
    if (rusher_at(lane, of_left).x() <= rusher_at(lane, of_right).x() + crossed_by) continue;
    left.man[lane] = left.target[lane] = of_right;
    right.man[lane] = right.target[lane] = of_left;
  }
}

void RepSimulator::Reps::choose_help(std::size_t lane) {
  for (std::size_t k = 0; k < line_.size(); ++k) {
    Blocking& free = protectors_[line_[k]];
    if (free.man[lane] != no_man) continue;
    double most = -1;
    std::int64_t chosen = no_man;
    const auto consider = [&](std::int64_t rusher, double ratio) {
      if (rusher == free.target[lane]) ratio += help_preference;
      if (ratio > most) most = ratio, chosen = rusher;
    };
    for (std::size_t j = 0; j < rushers_.size(); ++j) {
      const bool had = std::any_of(line_.begin(), line_.end(), [&](std::size_t at) {
        return protectors_[at].man[lane] == static_cast<std::int64_t>(j);
      });
      if (!had) consider(static_cast<std::int64_t>(j), infinity);
    }
    const auto neighbour = [&](std::size_t from, std::size_t by) {
      for (std::size_t at = from + by; at < line_.size(); at += by) {  // by is +1 or -1 and wraps past the left end
        const Blocking& man = protectors_[line_[at]];
        if (man.man[lane] == no_man) continue;
        consider(man.man[lane], cutoff_ratio(rusher_at(lane, man.man[lane]), man.at.lane(lane), aim_.at));
        return;
      }
    };
    neighbour(k, static_cast<std::size_t>(-1));
    neighbour(k, 1);
    free.target[lane] = chosen;
  }
}

double RepSimulator::Reps::radius(std::size_t lane, const Blocking& protector, std::int64_t rusher) const {
  if (protector.target[lane] != rusher) return assumptions_.body;
  return protector.open[lane] ? assumptions_.reach_open : assumptions_.reach;
}

void RepSimulator::Reps::find_route(std::size_t lane, Rushing& rusher, std::int64_t code) {
  rusher.run_on[lane] = 0;
  discs_.clear();
  for (const Blocking& man : protectors_) discs_.push_back({man.at.lane(lane), radius(lane, man, code)});
  const Point at = rusher.at.lane(lane);
  const Route& route = search_.route(at, aim_.at, discs_, distance(at, aim_.at) + longer_than);
  Course& course = rusher.courses[lane];
  const bool bends = route.bend > 0;
  rusher.on_route[lane] = bends ? -1 : 0;
  rusher.guided[lane] = bends || course.through < formation_.rushers[static_cast<std::size_t>(code)].path.size() ? -1 : 0;
  if (!bends) return;
  course.route = route;
  course.bends.clear();
  double begins = 0;
  for (const Stretch& piece : route.stretches) {
    const double ends = begins + piece.length;
    if (piece.turn != 0) {
      const double cap = arc_speed(piece.disc.radius, piece.length / piece.disc.radius, rules_);
      course.bends.push_back({begins, ends, cap * cap});
    }
    begins = ends;
  }
}

/// Where a rusher makes for now, and how fast he may go.
void RepSimulator::Reps::guide(std::size_t lane, Rushing& rusher, std::size_t index, WidePoint& toward, Wide& allowed) {
  const std::vector<Point>& path = formation_.rushers[index].path;
  Course& course = rusher.courses[lane];
  if (course.through < path.size()) {
    const Point middle = rusher.seen.middle.lane(lane);
    // A place is behind him when he is there, or at the rim of a man whose disc covers it.
    const auto covered = [&](const Point& place) {
      return std::any_of(protectors_.begin(), protectors_.end(), [&](const Blocking& man) {
        const double rim = radius(lane, man, static_cast<std::int64_t>(index));
        const Point at = man.middle.lane(lane);
        return distance(at, place) < rim && distance(at, middle) < rim + grip_zone;
      });
    };
    while (course.through < path.size() &&
           (distance(middle, path[course.through]) < place_reached || covered(path[course.through]))) {
      ++course.through;
    }
    if (course.through < path.size()) {
      toward.set(lane, path[course.through]);
      return;
    }
  }
  if (!rusher.on_route[lane]) return;
  const double speed = rusher.seen.speed[lane], here = rusher.run_on[lane] + speed * step_ / 2;
  toward.set(lane, course.route.point(here + look_ahead + look_ahead_time * speed).at);
  double least2 = infinity;
  for (const Bend& bend : course.bends) {
    if (bend.ends <= here) continue;
    const double to_it = std::max(0.0, bend.begins - here);
    least2 = std::min(least2, bend.cap2 + 2 * assumptions_.a_brake * to_it);
  }
  allowed[lane] = std::min(allowed[lane], std::sqrt(least2));
}

// ------------------------------------------------------------------------------------------------------- what men want

/// Notes whom the protectors face, when that has changed.
void RepSimulator::Reps::face() {
  for (Blocking& man : protectors_) {
    const bool same = !any(man.target != whole(man.target[0])) && man.target[0] != no_man;
    man.faces = same ? &rushers_[static_cast<std::size_t>(man.target[0])].seen : nullptr;
  }
}

/// The rusher each lane's protector faces; where he faces none, any.
RepSimulator::Reps::Faced RepSimulator::Reps::faced_by_lane(const WideMask& rusher) const {
  Faced result;
  for (std::size_t l = 0; l < lanes; ++l) {
    const Faced& from = rushers_[static_cast<std::size_t>(std::max<std::int64_t>(0, rusher[l]))].seen;
    const auto take = [&](WidePoint Faced::* point) {
      (result.*point).u[l] = (from.*point).u[l];
      (result.*point).v[l] = (from.*point).v[l];
    };
    take(&Faced::middle), take(&Faced::velocity), take(&Faced::to_aim), take(&Faced::line);
    result.speed[l] = from.speed[l];
    result.goal[l] = from.goal[l];
  }
  return result;
}

SHORTEDGE_INLINED WidePoint RepSimulator::Reps::wanted(Rushing& rusher, std::size_t index, double time) {
  const WideMask idle = (rusher.reaction > time + step_ / 2) | (rusher.held_until > time);
  WidePoint toward = splat(aim_.at);
  Wide allowed = rusher.legs.vmax;
  const WideMask guided = live_ & rusher.guided & ~idle;
  for (std::size_t lane = 0; lane < lanes && any(guided); ++lane) {
    if (guided[lane]) guide(lane, rusher, index, toward, allowed);
  }
  const WidePoint ahead = toward - rusher.middle;
  const Wide range = ahead.norm();
  return blend(~idle & (range > 0), ahead * (allowed / range), WidePoint{});
}

/// At his man's outside half, and not in his mate's way; with him while the chip holds; then out of the protection, outside
/// round the man he chipped.
SHORTEDGE_INLINED WidePoint RepSimulator::Reps::wanted_by_chip(Blocking& man, std::size_t index, double time) const {
  WidePoint wants;
  man.gone = man.leaves_at <= time;
  for (std::size_t lane = 0; lane < lanes; ++lane) {
    const Point middle = man.middle.lane(lane);
    if (man.gone[lane]) {
      const Point out(sides_[index] * 3.0, -4.0);
      const Point between = rushers_[static_cast<std::size_t>(man.man[lane])].middle.lane(lane) - middle;
      if (between.norm() > assumptions_.body + look_ahead || out.dot(between) <= 0) {
        wants.set(lane, out);
      } else {
        const Point along = quarter_turn(between).normalized();
        wants.set(lane, std::copysign(out.norm(), along.x() * out.x()) * along);
      }
      continue;
    }
    if (time + step_ / 2 < man.reaction[lane] || man.target[lane] == no_man) continue;
    const Faced& rusher = rushers_[static_cast<std::size_t>(man.target[lane])].seen;
    if (rusher.goal[lane] == 0) continue;
    const Point outside(std::copysign(assumptions_.protector_room, -rusher.line.u[lane]), 0);
    const Point gap = rusher.middle.lane(lane) + outside - middle;
    const double far = gap.norm();
    if (far > 0) wants.set(lane, gap * (man.legs.vmax[lane] / far));
  }
  return wants;
}

SHORTEDGE_INLINED WidePoint RepSimulator::Reps::wanted(Blocking& man, std::size_t index, double time) const {
  if (formation_.protectors[index].job == Job::chip) return wanted_by_chip(man, index, time);
  Faced by_lane;
  if (!man.faces) by_lane = faced_by_lane(man.target);
  const Faced& rusher = man.faces ? *man.faces : by_lane;
  const WideMask works = (man.reaction <= time + step_ / 2) & (man.target != no_man) & (rusher.goal != 0);
  if (!any(works)) return {};
  const WidePoint &line = rusher.line, to_man = man.middle - rusher.middle;
  const Wide off_line = cross(line, to_man);
  const CutOffOf<Wide> cut = cut_off(to_man, rusher.to_aim, rusher.goal);

  const WideMask was_open = man.open & works;
  const WideMask opens = ~man.open & works & (cut.ratio * rusher.speed > assumptions_.opens_at * man.kick_speed);
  const WideMask in_front = (cut.ratio < 1) & (size_of(off_line) < assumptions_.reach_open);
  man.in_front = blend(opens | (was_open & ~in_front), nan, man.in_front);
  man.in_front = blend(was_open & in_front & unknown(man.in_front), time, man.in_front);
  man.hips = blend(opens & unknown(man.hips) & (man.man != no_man), time, man.hips);
  man.open = (man.open | opens) & ~(was_open & (time - man.in_front >= assumptions_.settle));

  const Wide from_rusher = smaller(cut.from_rusher, rusher.goal - assumptions_.keep_off);
  WidePoint place = rusher.middle + from_rusher * line;
  const WideMask helps = man.target != man.man;
  if (any(helps)) place = blend(helps, place + signed_as(help_offset, off_line) * quarter_turn(line), place);
  const Wide share = bounded(from_rusher / rusher.goal, 0.0, 1.0);
  const Wide across = (1 - share) * cross(line, rusher.velocity) + share * cross(line, splat(aim_.velocity));
  const Wide limit = blend(man.open, man.legs.vmax, smaller(man.kick_speed, man.legs.vmax));
  const WidePoint gap = place - man.middle;
  const Wide far = gap.norm();
  WidePoint wants = follow_share * across * quarter_turn(line);
  wants = blend(far > 0, wants + gap * (smaller(limit, far / assumptions_.close_in) / far), wants);
  const Wide size = wants.norm();
  wants = blend(size > limit, wants * (limit / size), wants);
  return blend(works, wants, WidePoint{});
}

// ------------------------------------------------------------------------------------------------------------ contacts

SHORTEDGE_INLINED Wide RepSimulator::Reps::radius(const Blocking& protector, std::int64_t rusher) const {
  const Wide his = blend(protector.open, assumptions_.reach_open, assumptions_.reach);
  return blend(protector.target == rusher, his, assumptions_.body);
}

SHORTEDGE_INLINED void RepSimulator::Reps::crowd(Man& one, Man& other, double room, const Wide& share) {
  const WidePoint between = other.middle - one.middle;
  const Wide range2 = between.squaredNorm(), most = room + stride_;
  const WideMask may = range2 <= most * most;
  if (!any(may)) return;
  const Wide range = root(range2);
  const WidePoint n = blend(range > 0, between / range, splat(Point(1, 0)));
  Crowding& pair = crowdings_.add();  // in its place: put together first, it would be waited for
  pair.one = &one, pair.other = &other;
  pair.may = may;
  pair.n = n;
  pair.closing = larger(0.0, range - room) / step_;
  pair.share = share;
  one.ties -= may, other.ties -= may;
}

/// Who may touch in this step.
SHORTEDGE_INLINED void RepSimulator::Reps::find_contacts(double time) {
  contacts_.clear();
  crowdings_.clear();
  backings_.clear();
  const Wide widest = std::max({assumptions_.reach, assumptions_.reach_open, assumptions_.body}) + grip_zone + stride_;
  const Wide widest2 = widest * widest;
  for (std::size_t i = 0; i < protectors_.size(); ++i) {
    Blocking& man = protectors_[i];
    const bool chips = formation_.protectors[i].job == Job::chip;
    for (std::size_t j = 0; j < rushers_.size(); ++j) {
      Rushing& rusher = rushers_[j];
      const auto code = static_cast<std::int64_t>(j);
      const WidePoint between = man.middle - rusher.middle;
      const Wide range2 = between.squaredNorm();
      WideMask may = range2 <= widest2;
      if (!any(may)) continue;
      const Wide range = root(range2);
      if (chips) {  // he touches his man once
        const WideMask meets = may & (man.target == code) & (range <= assumptions_.reach + engaged_at);
        man.leaves_at = blend(meets, blend(man.chip_hits, time + man.chip_hold, time), man.leaves_at);
        rusher.held_until = blend(meets & man.chip_hits, man.leaves_at, rusher.held_until);
        man.engaged = blend(meets, time, man.engaged);
        man.target = blend(meets, whole(no_man), man.target);
        face();
      }
      const Wide gap = range - radius(man, code);
      may &= gap <= grip_zone + stride_;
      if (!any(may)) continue;
      const WidePoint n = blend(range > 0, between / range, splat(Point(0, -1)));
      Contact& pair = contacts_.add();
      pair.protector = &man, pair.rusher = &rusher, pair.j = code;
      pair.may = may;
      pair.n = n;
      pair.gap = larger(0.0, gap);
      pair.closing = pair.gap / step_;
      pair.squareness = larger(0.0, n.dot(rusher.seen.line));
      man.ties -= may, rusher.ties -= may;
    }
    for (std::size_t k = i + 1; k < protectors_.size(); ++k) {
      Blocking& other = protectors_[k];
      const Wide alone = blend(man.gone, 1.0, Wide{});
      crowd(man, other, assumptions_.protector_room, blend(man.gone == other.gone, 0.5, alone));
    }
    const WidePoint between = splat(passer_.at) - man.middle;
    const Wide range2 = between.squaredNorm(), most = assumptions_.passer_room + stride_;
    const WideMask may = (range2 <= most * most) & (range2 != 0);
    if (!any(may)) continue;
    const Wide range = root(range2);
    Backing& backing = backings_.add();
    backing.man = &man;
    backing.may = may;
    backing.n = between / range;
    backing.closing = larger(0.0, range - assumptions_.passer_room) / step_;
    man.ties -= may;
  }
  for (std::size_t j = 0; j < rushers_.size(); ++j) {
    for (std::size_t k = j + 1; k < rushers_.size(); ++k) crowd(rushers_[j], rushers_[k], assumptions_.rusher_room, 0.5);
  }
}

/// Takes from the velocities what brings anybody nearer than he may be, until nothing is left to take. What is taken from
/// men with no other tie undoes nothing.
SHORTEDGE_INLINED void RepSimulator::Reps::settle() {
  const double slack = settled / step_;
  WideMask going = live_;
  for (int round = 0; round < most_rounds; ++round) {
    WideMask changed{};
    for (const Crowding& pair : crowdings_) {
      const Wide excess = (pair.one->total() - pair.other->total()).dot(pair.n) - pair.closing;
      const WideMask gives = pair.may & going & (excess > slack);
      if (!any(gives)) continue;
      changed |= gives & ((pair.one->ties > 1) | (pair.other->ties > 1));
      pair.one->next = blend(gives, pair.one->next - pair.share * excess * pair.n, pair.one->next);
      pair.other->next = blend(gives, pair.other->next + (1 - pair.share) * excess * pair.n, pair.other->next);
    }
    for (const Backing& backing : backings_) {  // the passer does not give way
      Blocking& man = *backing.man;
      const Wide excess = (man.total() - splat(passer_.velocity)).dot(backing.n) - backing.closing;
      const WideMask gives = backing.may & going & (excess > slack);
      if (!any(gives)) continue;
      changed |= gives & (man.ties > 1);
      const Wide pushed = bounded(man.push.dot(backing.n), 0.0, excess);
      man.push = blend(gives, man.push - pushed * backing.n, man.push);
      man.next = blend(gives, man.next - (excess - pushed) * backing.n, man.next);
    }
    for (const Contact& pair : contacts_) {  // the protector stops coming on first, then the rusher
      const Wide excess = pair.approach() - pair.closing;
      const WideMask gives = pair.may & going & (excess > slack);
      if (!any(gives)) continue;
      Blocking& protector = *pair.protector;
      changed |= gives & ((protector.ties > 1) | (pair.rusher->ties > 1));
      const Wide comes_on = bounded(-protector.total().dot(pair.n), 0.0, excess);
      protector.next = blend(gives, protector.next + comes_on * pair.n, protector.next);
      pair.rusher->next = blend(gives, pair.rusher->next - (excess - comes_on) * pair.n, pair.rusher->next);
    }
    going &= changed;
    if (!any(going)) return;
  }
  stop(going);
}

/// Nobody enters a disc, whatever else: protectors who still come on too fast stand, then rushers slow as far as they must.
SHORTEDGE_INLINED void RepSimulator::Reps::stop(const WideMask& going) {
  for (const Contact& pair : contacts_) {
    Blocking& man = *pair.protector;
    man.next = blend(pair.may & going & (-man.total().dot(pair.n) > pair.closing), -man.push, man.next);
  }
  for (const Contact& pair : contacts_) {
    const Wide closes = pair.rusher->next.dot(pair.n);
    const Wide most = larger(0.0, pair.protector->total().dot(pair.n) + pair.closing);
    pair.rusher->next = blend(pair.may & going & (closes > most), pair.rusher->next * (most / closes), pair.rusher->next);
  }
}

SHORTEDGE_INLINED void RepSimulator::Reps::touch(double time) {
  for (Blocking& man : protectors_) man.push = WidePoint{}, man.ties = WideMask{};
  for (Rushing& man : rushers_) man.ties = WideMask{};
  find_contacts(time);
  // A squared-up rusher moves his man back; the man's hands slow the slip along the rim, and never push on.
  for (const Contact& pair : contacts_) {
    Blocking& man = *pair.protector;
    const Wide approach = (pair.rusher->next - man.next).dot(pair.n) - pair.closing;
    const Wide most = smaller(approach, pair.rusher->drive_rate * pair.squareness);
    man.push = blend(pair.may & (approach > 0), man.push + most * pair.n, man.push);
  }
  for (const Contact& pair : contacts_) {
    const Blocking& man = *pair.protector;
    const WideMask blocks = pair.may & (pair.gap <= grip_zone) & (man.target == pair.j);
    if (!any(blocks)) continue;
    Rushing& rusher = *pair.rusher;
    const WidePoint along = quarter_turn(pair.n);
    const Wide own = rusher.next.dot(along), slip = own - man.total().dot(along);
    const Wide grip = man.grip * blend(man.open, assumptions_.grip_open, 1.0);
    const Wide held = grip * pair.squareness * rusher.legs.vmax / rusher.legs.tau * step_;
    const Wide taken = signed_as(smaller(smaller(held, size_of(slip)), size_of(own)), slip);
    rusher.next = blend(blocks & (slip * own > 0), rusher.next - taken * along, rusher.next);
  }
  settle();
  for (const Contact& pair : contacts_) {
    Wide& engaged = pair.protector->engaged;
    const WideMask asked = pair.may & unknown(engaged) & (pair.protector->man == pair.j);
    if (!any(asked)) continue;
    const Wide left = pair.gap - engaged_at, closes = pair.approach();
    const Wide when = blend(left <= 0, time, time + left / closes);
    engaged = blend(asked & ((left <= 0) | (closes * step_ > left)), when, engaged);
  }
}

// ------------------------------------------------------------------------------------------------------------- events

/// The lanes in which somebody arrives.
SHORTEDGE_INLINED WideMask RepSimulator::Reps::note(double time, const Instant& passer) {
  WideMask arrived{};
  if (passer.at.y() >= pressing::deep_enough && pressure_from_ == infinity) pressure_from_ = std::max(pressing::from, time);
  for (std::size_t i : line_) {
    Blocking& man = protectors_[i];
    const WideMask asked = (man.man != no_man) & unknown(man.engaged) & (throw_time_ >= time) & live_;
    if (!any(asked)) continue;
    WidePoint at = rushers_[static_cast<std::size_t>(std::max<std::int64_t>(0, man.man[0]))].at;
    if (any(man.man != whole(man.man[0]))) {
      for (std::size_t l = 0; l < lanes; ++l) at.set(l, rusher_at(l, std::max<std::int64_t>(0, man.man[l])));
    }
    const WidePoint to_spot = splat(drop_.spot()) - at;
    const Wide goal = to_spot.norm();
    const Wide ratio = blend(goal == 0, infinity, cut_off(WidePoint(man.at - at), to_spot, goal).ratio);
    const WideMask peak = asked & (ratio > man.peak_cutoff);
    man.peak_cutoff = blend(peak, ratio, man.peak_cutoff);
    man.peak_cutoff_time = blend(peak, time, man.peak_cutoff_time);
  }
  const WideMask counts = live_ & (throw_time_ + tolerance::time >= time) & (time >= pressure_from_ - tolerance::time ? ~WideMask{} : WideMask{});
  for (Rushing& man : rushers_) {
    const WidePoint apart = man.at - splat(passer.at);
    const Wide range2 = apart.squaredNorm();
    const WideMask asked = counts & unknown(man.pressure);
    if (any(asked)) {
      const WidePoint velocity = man.velocity - splat(passer.velocity);
      const Wide reachable = pressing::soon_range + (pressing::soon + tolerance::time) * velocity.norm();
      const auto stretch = [&](const WideMask& holds, Wide& since) {
        since = blend(asked, blend(holds, blend(unknown(since), time, since), nan), since);
        const WideMask begun = asked & pressing::long_enough(Wide(time - since)) & unknown(man.pressure);
        man.pressure = blend(begun, since, man.pressure);
      };
      stretch(range2 <= pressing::near * pressing::near, man.near_since);
      WideMask is_soon = range2 <= reachable * reachable;
      if (any(is_soon)) {
        const ClosestOf<Wide> closest = closest_approach(apart, velocity);
        is_soon &= pressing::in_time(closest.in) & (closest.distance <= pressing::soon_range);
      }
      stretch(is_soon, man.soon_since);
      const WideMask pressed = asked & ~unknown(man.pressure);
      for (std::size_t l = 0; l < lanes && any(pressed); ++l) {
        if (pressed[l]) man.recorded_by[l] = man.had_by[l];
      }
    }
    const WideMask comes = live_ & (range2 <= assumptions_.arm * assumptions_.arm);
    for (std::size_t l = 0; l < lanes && any(comes); ++l) {
      if (!comes[l]) continue;
      // Inside this step, as he closes at an even speed.
      const double range = std::sqrt(range2[l]);
      const double closes = range > 0 ? -(man.velocity.lane(l) - passer.velocity).dot(apart.lane(l)) / range : 0;
      man.arrival[l] = time - std::clamp(closes > 0 ? (assumptions_.arm - range) / closes : 0.0, 0.0, step_);
      if (std::isnan(man.pressure[l])) man.recorded_by[l] = man.had_by[l];
    }
    arrived |= comes;
  }
  return arrived;
}

// --------------------------------------------------------------------------------------------------------------- steps

SHORTEDGE_INLINED void RepSimulator::Reps::go(Man& man, const WidePoint& wants, double time) const {
  man.gained = drive(man.velocity + step_ / 2 * man.gained, wants, man.legs);
  const WideMask early = man.reaction > time;  // of his first step
  if (any(early)) {
    man.gained = blend(early, man.gained * larger(0.0, 1 - (man.reaction - time) / step_), man.gained);
  }
  man.next = man.velocity + step_ * man.gained;
}

SHORTEDGE_INLINED void RepSimulator::Reps::step(std::size_t n) {
  const double time = static_cast<double>(n) * step_, middle = time + step_ / 2;
  passer_ = passer_at_[2 * n + 1];
  aim_ = middle >= drop_.top_time() ? passer_ : Instant{drop_.spot(), {0, 0}};
  if (n % renew_steps_ == 0) renew(time);
  for (Blocking& man : protectors_) man.middle = man.at + step_ / 2 * (man.velocity + man.push);
  for (Rushing& man : rushers_) {
    man.middle = man.at + step_ / 2 * man.velocity;
    Faced& seen = man.seen;
    seen.middle = man.middle;
    seen.velocity = man.velocity;
    seen.speed = man.velocity.norm();
    seen.to_aim = splat(aim_.at) - man.middle;
    seen.goal = seen.to_aim.norm();
    seen.line = blend(seen.goal > 0, seen.to_aim / seen.goal, WidePoint{});
  }
  for (std::size_t i = 0; i < protectors_.size(); ++i) go(protectors_[i], wanted(protectors_[i], i, middle), time);
  for (std::size_t j = 0; j < rushers_.size(); ++j) go(rushers_[j], wanted(rushers_[j], j, middle), time);
  touch(middle);
  for (Blocking& man : protectors_) {
    man.at = man.middle + step_ / 2 * man.total();
    man.velocity = man.next;
  }
  for (Rushing& man : rushers_) {
    man.at = man.middle + step_ / 2 * man.next;
    man.run_on += step_ * man.seen.speed;
    man.velocity = man.next;
  }
  const WideMask arrived = note(time + step_, passer_at_[2 * n + 2]);
  for (std::size_t lane = 0; lane < lanes; ++lane) {
    if (live_[lane] && (arrived[lane] || n + 1 >= steps_[lane])) finish(lane, n + 1);
  }
}

SHORTEDGE_BY_REGISTERS void RepSimulator::Reps::play(Film* film) {
  std::size_t n = 0, film_steps = 1;
  if (film) {
    film_steps = static_cast<std::size_t>(std::max(1L, std::lround(film->every / step_)));
    film->time.clear();
    film->place.clear();
    film->velocity.clear();
  }
  for (; any(live_); ++n) {
    if (film && n % film_steps == 0) shoot(*film, n);
    step(n);
  }
  if (film) shoot(*film, n);
}

// ----------------------------------------------------------------------------------------------------------- its users

RepSimulator::RepSimulator(const Formation& formation, const Assumptions& assumptions, const PasserDrop& drop, double step)
    : reps_(std::make_unique<Reps>(formation, assumptions, drop, step)) {}
RepSimulator::~RepSimulator() = default;
RepSimulator::RepSimulator(RepSimulator&&) noexcept = default;
RepSimulator& RepSimulator::operator=(RepSimulator&&) noexcept = default;

const RepRecord& RepSimulator::run(const Draw& draw, double throw_time, double after, Film* film) {
  const Trial trial{draw, throw_time};
  return reps_->run({&trial, 1}, after, film).front();
}

std::span<const RepRecord> RepSimulator::run(std::span<const Trial> trials, double after) {
  if (trials.size() > side_by_side) {
    throw InputError(std::to_string(trials.size()) + " reps side by side; accepted: at most " + std::to_string(side_by_side));
  }
  return trials.empty() ? std::span<const RepRecord>{} : reps_->run(trials, after, nullptr);
}

}  // namespace shortedge
