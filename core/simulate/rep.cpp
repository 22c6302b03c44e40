#include "simulate/rep.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <string>
#include <utility>

#include "base/error.hpp"
#include "play/pressing.hpp"
#include "rush/cutoff.hpp"
#include "simulate/rep_engagement.hpp"
#include "simulate/rep_events.hpp"
#include "simulate/rep_lanes.hpp"
#include "simulate/rep_passer.hpp"
#include "simulate/rep_protector.hpp"
#include "simulate/rep_rusher.hpp"

namespace shortedge {

namespace {

constexpr double deepest_guarded = 8.0;  // yd: no line of a protector is deeper before the top, unless the passer is
constexpr double guards_ahead = 0.4;     // s, of the passer's velocity
constexpr double far_outside = 4.0;      // yd: a man who lines up so far outside is met
constexpr double met_at = 1.0;           // yd deep at most
constexpr double bursts_within = 2.6;    // yd: straight back faster, against men up to so far outside,
constexpr double no_burst_from = 4.6;    // and against men from here on not at all
constexpr double wide_hands = 1.5;       // how much faster an end's hands gain by room beyond hands_room,
constexpr double most_hands = 2.0;       // of hands_won, however wide he lines up
constexpr double slot_beyond = 1.0;      // yd outside another outside rusher: he comes from the slot
constexpr double jump_depth = 1.0, angle_depth = 2.5, vertical_depth = 4.5;  // yd, of set orders

/// yd that he is to gain before he meets his man.
double set_depth(const Protector& man, double depth, const Assumptions& a) {
  switch (man.order) {
    case SetOrder::jump: return jump_depth;
    case SetOrder::angle: return angle_depth;
    case SetOrder::vertical: return vertical_depth;
    case SetOrder::drop: break;
  }
  const double tackle = std::min(a.set_most, std::max(a.set_least, a.set_per_yard * depth - a.set_less));
  if (man.slot == Slot::C) return a.set_centre * tackle;
  return man.slot == Slot::LG || man.slot == Slot::RG ? a.set_guard * tackle : tackle;
}

/// How much faster than his kick a tackle goes straight back: a man who lines up wide has to be met outside as well.
double burst(double outside, const Assumptions& a) {
  const double share = (no_burst_from - outside) / (no_burst_from - bursts_within);
  return 1 + (a.kick_back - 1) * std::clamp(share, 0.0, 1.0);
}

/// Whether another rusher from outside lines up between him and his side's tackle: a back who blitzes from the slot.
bool from_slot(const Formation& formation, std::size_t index) {
  const double at = formation.rushers[index].at.x();
  return std::any_of(formation.rushers.begin(), formation.rushers.end(), [&](const Rusher& other) {
    return !other.inside && other.at.x() * at > 0 && std::abs(other.at.x()) < std::abs(at) - slot_beyond;
  });
}

/// Chance that a rusher wins the hands: an outside rusher's by his room outside his man at the snap, but a back from
/// the slot has not an end's hands.
double hands_of(const Formation& formation, std::size_t index, const Assumptions& a) {
  const Rusher& rusher = formation.rushers[index];
  if (rusher.inside || from_slot(formation, index)) return a.hands_won * a.hands_inside;
  for (const Protector& man : formation.protectors) {
    if (man.job == Job::chip || man.man != static_cast<std::int32_t>(index)) continue;
    const double across = rusher.at.x() - man.at.x();
    const double room = std::max(0.0, side_of(man) != 0 ? side_of(man) * across : std::abs(across));
    const double rooms = room / a.hands_room, beyond = rooms > 1 ? 1 + wide_hands * (rooms - 1) : rooms;
    const double share = a.hands_inside + (1 - a.hands_inside) * beyond;
    return std::min(1.0, a.hands_won * std::min(most_hands, share));
  }
  return a.hands_won;
}

}  // namespace

RepSimulator::Reps::Reps(const Formation& formation, const Assumptions& assumptions, const PasserDrop& drop,
                         double step)
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
  for (std::size_t j = 0; j < formation.rushers.size(); ++j) hands_.push_back(hands_of(formation, j, assumptions));
  for (std::size_t i = 0; i < formation.protectors.size(); ++i) {
    const Protector& man = formation.protectors[i];
    sides_.push_back(side_of(man));
    const bool inner = man.slot == Slot::LG || man.slot == Slot::RG || man.slot == Slot::C;
    tackles_.push_back(!inner && man.job != Job::chip);
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
  after_ = after;
  for (Blocking& man : protectors_) man = Blocking{};
  for (Rushing& man : rushers_) {
    std::array<Course, lanes> courses = std::move(man.courses);  // their memory is kept
    man = Rushing{};
    man.courses = std::move(courses);
  }
  passer_ = Passing{};
  double longest_lag = 0;
  std::size_t most_steps = 0;
  for (std::size_t lane = 0; lane < lanes; ++lane) {
    const Trial& trial = trials[std::min(lane, trials.size() - 1)];  // lanes left over repeat the last, unrecorded
    throw_time_[lane] = trial.throw_time;
    steps_[lane] = steps_to(trial.throw_time + after);
    live_[lane] = lane < trials.size() ? -1 : 0;
    most_steps = std::max(most_steps, steps_[lane]);
    const PasserDraw& passer = trial.draw.passer;
    passer_.early[lane] = passer.early ? -1 : 0;
    passer_.feels[lane] = passer.feels ? -1 : 0;
    passer_.early_takes[lane] = passer.early_takes;
    passer_.top[lane] = drop_.top_time();
    passer_.at.set(lane, formation_.passer);
    double fastest = 0, drives = 0, strongest = 0, weakest = 0;
    for (std::size_t i = 0; i < protectors_.size(); ++i) {
      const ProtectorDraw& drawn = trial.draw.protectors[i];
      const Protector& of = formation_.protectors[i];
      Blocking& man = protectors_[i];
      man.at.set(lane, of.at);
      man.legs.vmax[lane] = drawn.run_speed;
      man.legs.tau[lane] = drawn.tau;
      man.reaction[lane] = drawn.reaction + formation_.fake;
      man.lag[lane] = drawn.reaction;
      const double behind = std::max(0.0, drawn.reaction / step_ - 0.5), back = std::max(1.0, std::ceil(behind));
      man.back_steps[lane] = static_cast<std::size_t>(back);
      man.lag_share[lane] = back - behind;
      longest_lag = std::max(longest_lag, drawn.reaction);
      man.kick_speed[lane] = drawn.kick_speed;
      man.grip[lane] = drawn.grip;
      man.strength[lane] = drawn.strength;
      weakest = std::min(weakest, drawn.strength);
      man.exchanges[lane] = drawn.exchanges ? -1 : 0;
      const int side = sides_[i];
      const bool has = of.man != no_man;
      const double outside =
          has ? side * (formation_.rushers[static_cast<std::size_t>(of.man)].at.x() - of.at.x()) : 0.0;
      double gains = set_depth(of, drop_.spot().y(), a);
      if (side != 0 && outside > far_outside && of.order == SetOrder::drop) gains = std::min(gains, met_at);
      man.sets_to[lane] = of.at.y() + gains;
      man.back[lane] = tackles_[i] ? burst(outside, a) : 1;
      man.turned[lane] = man.beaten_until[lane] = -infinity;
      man.man[lane] = man.target[lane] = of.man;
      man.open[lane] = of.job == Job::chip ? -1 : 0;
      man.chip_hits[lane] = drawn.chip_hits ? -1 : 0;
      man.chip_hold[lane] = drawn.chip_hold;
      man.rim[lane] = of.job == Job::chip ? a.reach_open : a.reach;
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
      man.reaction[lane] = drawn.reaction + a.fake_held * formation_.fake;
      man.strength[lane] = drawn.strength;
      strongest = std::max(strongest, drawn.strength);
      Moves& moves = man.moves[lane] = Moves{};
      moves.plan = drawn.plan;
      moves.drawn = drawn.moves;
      man.began[lane] = man.move_ends[lane] = -infinity;
      man.next_move[lane] = infinity;
      man.unmoved[lane] = -1;
      man.sells[lane] = drawn.plan == RushPlan::inside ? -1 : 0;
      man.powers[lane] = drawn.plan == RushPlan::power ? -1 : 0;
      man.won_until[lane] = -infinity;
      man.waits_until[lane] = formation_.rushers[j].wait > 0 ? man.reaction[lane] + formation_.rushers[j].wait : -1;
      man.held_until[lane] = -1;
      man.near_since[lane] = man.soon_since[lane] = man.arrival[lane] = man.pressure[lane] = nan;
      man.early_since[lane] = man.hurried[lane] = nan;
      man.had_by[lane] = man.recorded_by[lane] = man.hurried_by[lane] = no_man;
      man.courses[lane].through = 0;
      man.stunts[lane] = man.guided[lane] = formation_.rushers[j].path.empty() ? 0 : -1;
      fastest = std::max(fastest, drawn.top_speed), ++drives;
    }
    const double pushes = std::max(a.push_open, a.push + a.push_power + strongest - weakest);
    stride_[lane] = 2 * (fastest * a.kick_back + drives * pushes) * step_;
    for (std::size_t i : line_) {
      Blocking& man = protectors_[i];
      if (man.man[lane] == no_man) continue;
      man.peak_cutoff[lane] = cutoff_ratio(rusher_at(lane, man.man[lane]), man.at.lane(lane), drop_.spot());
    }
  }
  for (Blocking& man : protectors_)
    man.legs.a_lat = a.a_lat, man.legs.a_brake = a.a_brake, man.legs.response = a.response;
  for (Rushing& man : rushers_) man.legs.a_lat = a.a_lat, man.legs.a_brake = a.a_brake, man.legs.response = a.response;
  kept_ = std::max(kept_, std::bit_ceil(static_cast<std::size_t>(std::ceil(longest_lag / step_)) + 3));
  was_.resize((kept_ + 1) * rushers_.size());
  pressure_from_ = formation_.takes == TakesSnap::under ? infinity : pressing::from;
  guards_ = splat(drop_.spot());
  for (std::size_t half = passer_at_.size(); half <= 2 * most_steps; ++half) {
    const double time = static_cast<double>(half) * step_ / 2;
    passer_at_.push_back({drop_.at(time), drop_.velocity(time)});
  }
}

std::span<const RepRecord> RepSimulator::Reps::run(std::span<const Trial> trials, double after, std::span<Film> films) {
  start(trials, after);
  for (std::size_t lane = 0; lane < trials.size(); ++lane) {
    if (steps_[lane] == 0) finish(lane, 0);
  }
  play(films);
  return {records_.data(), trials.size()};
}

/// The rep in this lane is over after so many steps.
void RepSimulator::Reps::finish(std::size_t lane, std::size_t steps) {
  live_[lane] = 0;
  RepRecord& record = records_[lane] = RepRecord{};
  record.throw_time = throw_time_[lane];
  record.top_time = passer_.top[lane];
  record.end = static_cast<double>(steps) * step_;
  for (std::size_t i = 0; i < protectors_.size(); ++i) {
    const Blocking& man = protectors_[i];
    record.protectors[i] = {man.engaged[lane], man.hips[lane], man.peak_cutoff[lane], man.peak_cutoff_time[lane],
                            man.peak_exposure[lane]};
  }
  for (std::size_t j = 0; j < rushers_.size(); ++j) {
    const Rushing& man = rushers_[j];
    const bool came = !std::isnan(man.arrival[lane]) || !std::isnan(man.pressure[lane]);
    const bool seen = !std::isnan(man.hurried[lane]);
    const WideMask& by = came ? man.recorded_by : seen ? man.hurried_by : man.had_by;
    record.rushers[j] = {man.arrival[lane], man.pressure[lane], man.hurried[lane], static_cast<std::int32_t>(by[lane])};
  }
}

void RepSimulator::Reps::shoot(Film& film, std::size_t lane, std::size_t n) const {
  film.time.push_back(static_cast<double>(n) * step_);
  const auto add = [&](const Point& at, const Point& velocity) {
    film.place.push_back(at);
    film.velocity.push_back(velocity);
  };
  add(passer_.at.lane(lane), passer_.velocity.lane(lane));
  for (const Blocking& man : protectors_) add(man.at.lane(lane), man.velocity.lane(lane) + man.push.lane(lane));
  for (const Rushing& man : rushers_) add(man.at.lane(lane), man.velocity.lane(lane));
}

// --------------------------------------------------------------------------------------------------------------- steps

SHORTEDGE_INLINED void RepSimulator::Reps::go(Man& man, const WidePoint& wants, double time) const {
  man.gained = drive(carried_on(man), wants, man.legs);
  const WideMask early = man.reaction > time;  // of his first step
  if (any(early)) {
    man.gained = blend(early, man.gained * larger(0.0, 1 - (man.reaction - time) / step_), man.gained);
  }
  man.next = man.velocity + step_ * man.gained;
}

/// What rushers aim at, and what the protection guards.
SHORTEDGE_INLINED void RepSimulator::Reps::take_aim(double middle) {
  topped_ = (passer_.top <= middle) | passer_.off_script;
  const double spot = drop_.spot().y();
  rush_aim_ = passer_.middle + assumptions_.looks_ahead * passer_.moves;
  rush_aim_.v = blend(topped_, rush_aim_.v, larger(std::min(assumptions_.guessed_depth, spot), rush_aim_.v));
  const Wide deepest = larger(deepest_guarded, passer_.middle.v + guards_ahead * passer_.moves.v);
  guards_ = blend(topped_, passer_.middle, WidePoint{drop_.spot().x(), smaller(spot, deepest)});
  guards_velocity_ = blend(topped_, passer_.moves, WidePoint{});
}

SHORTEDGE_INLINED void RepSimulator::Reps::see_aim() {
  for (Rushing& man : rushers_) {
    Faced& seen = man.seen;
    seen.to_aim = rush_aim_ - man.middle;
    seen.goal = seen.to_aim.norm();
    seen.line = blend(seen.goal > 0, seen.to_aim * (1.0 / seen.goal), WidePoint{});
  }
}

/// How far from each protector his man's disc reaches.
SHORTEDGE_INLINED void RepSimulator::Reps::spread(double middle) {
  const Assumptions& a = assumptions_;
  for (Blocking& man : protectors_) {
    const WideMask small = man.open | (middle - man.turned < a.turn_seconds) | (man.beaten_until > middle);
    man.rim = blend(small, a.reach_open, a.reach);
  }
}

SHORTEDGE_INLINED void RepSimulator::Reps::step(std::size_t n) {
  const double time = static_cast<double>(n) * step_, middle = time + step_ / 2;
  const Assumptions& a = assumptions_;
  drop_on(n);
  take_aim(middle);
  spread(middle);
  if (n % renew_steps_ == 0) renew(time);
  for (Blocking& man : protectors_) {
    man.middle = man.at + step_ / 2 * (man.velocity + man.push);
    man.velocity = man.velocity - man.lost;
  }
  const std::size_t here = n & (kept_ - 1);
  Was *kept = &was_[here * rushers_.size()], *again = here == 0 ? &was_[kept_ * rushers_.size()] : kept;
  for (Rushing& man : rushers_) {
    man.middle = man.at + step_ / 2 * man.velocity;
    man.velocity = man.velocity - man.lost;
    *kept++ = *again++ = {man.at, man.velocity};
    man.seen.middle = man.middle;
    man.seen.velocity = carried_on(man);
    man.seen.speed = man.seen.velocity.norm();
  }
  see_aim();
  find_contacts(middle);
  for (std::size_t j = 0; j < rushers_.size(); ++j) move(rushers_[j], j, middle);
  spread(middle);
  ride(middle);
  if (look(time)) take_aim(middle), see_aim();
  decide();
  for (std::size_t i = 0; i < protectors_.size(); ++i) go(protectors_[i], wanted(protectors_[i], i, n, middle), time);
  spread(middle);
  for (std::size_t j = 0; j < rushers_.size(); ++j) {
    Rushing& man = rushers_[j];
    go(man, wanted(man, j, middle), time);
    if (!any(man.ridden)) continue;
    const WidePoint to_passer = passer_.middle - man.middle;
    const Wide range = larger(1e-9, to_passer.norm());
    const Wide gains = man.gained.dot(to_passer) / range;
    const WideMask slowed = man.ridden & (gains > a.ride_speeding);
    man.gained = blend(slowed, man.gained - (gains - a.ride_speeding) / range * to_passer, man.gained);
    man.next = man.velocity + step_ * man.gained;
  }
  touch(middle);
  // What a contact has taken is not carried forward: he who is held would be taken to run round his man.
  const auto carry = [&](Man& man) {
    const WidePoint drove = man.velocity + step_ * man.gained;
    const WideMask taken = (man.next.u != drove.u) | (man.next.v != drove.v);
    man.gained = blend(taken, WidePoint{}, man.gained);
  };
  for (Blocking& man : protectors_) {
    carry(man);
    man.at = man.middle + step_ / 2 * man.total();
    man.velocity = man.next;
  }
  for (Rushing& man : rushers_) {
    carry(man);
    man.at = man.middle + step_ / 2 * man.next;
    man.run_on += step_ * man.seen.speed;
    man.velocity = man.next;
  }
  const WidePoint was = passer_.at;
  passer_.at = blend(passer_.off_script, passer_.middle + step_ / 2 * passer_.next, splat(passer_at_[2 * n + 2].at));
  passer_.velocity = passer_.next;
  passer_.stepped = passer_.stepped + blend(passer_.stepping, larger(0.0, was.v - passer_.at.v), Wide{});
  passer_.slid = passer_.slid + blend(passer_.sliding != 0, size_of(passer_.at.u - was.u), Wide{});
  const WideMask arrived = note(time + step_);
  for (std::size_t lane = 0; lane < lanes; ++lane) {
    if (live_[lane] && (arrived[lane] || n + 1 >= steps_[lane])) finish(lane, n + 1);
  }
}

/// films: none, or one a trial. A film ends with its rep.
SHORTEDGE_BY_REGISTERS void RepSimulator::Reps::play(std::span<Film> films) {
  std::array<std::size_t, lanes> every{};
  std::array<bool, lanes> runs{};
  for (std::size_t lane = 0; lane < films.size(); ++lane) {
    Film& film = films[lane];
    every[lane] = static_cast<std::size_t>(std::max(1L, std::lround(film.every / step_)));
    runs[lane] = live_[lane] != 0;
    film.time.clear();
    film.place.clear();
    film.velocity.clear();
    if (!runs[lane]) shoot(film, lane, 0);
  }
  for (std::size_t n = 0; any(live_);) {
    for (std::size_t lane = 0; lane < films.size(); ++lane) {
      if (live_[lane] && n % every[lane] == 0) shoot(films[lane], lane, n);
    }
    step(n++);
    for (std::size_t lane = 0; lane < films.size(); ++lane) {
      if (runs[lane] && !live_[lane]) runs[lane] = false, shoot(films[lane], lane, n);
    }
  }
}

// ----------------------------------------------------------------------------------------------------------- its users

RepSimulator::RepSimulator(const Formation& formation, const Assumptions& assumptions, const PasserDrop& drop,
                           double step)
    : reps_(std::make_unique<Reps>(formation, assumptions, drop, step)) {}
RepSimulator::~RepSimulator() = default;
RepSimulator::RepSimulator(RepSimulator&&) noexcept = default;
RepSimulator& RepSimulator::operator=(RepSimulator&&) noexcept = default;

const RepRecord& RepSimulator::run(const Draw& draw, double throw_time, double after, Film* film) {
  const Trial trial{draw, throw_time};
  return reps_->run({&trial, 1}, after, film ? std::span<Film>(film, 1) : std::span<Film>{}).front();
}

std::span<const RepRecord> RepSimulator::run(std::span<const Trial> trials, double after, std::span<Film> films) {
  if (!films.empty() && films.size() != trials.size()) {
    throw InputError(std::to_string(films.size()) + " films of " + std::to_string(trials.size()) + " reps");
  }
  if (trials.size() > side_by_side) {
    throw InputError(std::to_string(trials.size()) + " reps side by side; accepted: at most " +
                     std::to_string(side_by_side));
  }
  return trials.empty() ? std::span<const RepRecord>{} : reps_->run(trials, after, films);
}

}  // namespace shortedge
