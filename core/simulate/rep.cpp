#include "simulate/rep.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "base/error.hpp"
#include "play/pressing.hpp"
#include "rush/cutoff.hpp"
#include "simulate/rep_contacts.hpp"
#include "simulate/rep_events.hpp"
#include "simulate/rep_lanes.hpp"
#include "simulate/rep_wants.hpp"

namespace shortedge {

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
  for (Blocking& man : protectors_)
    man.legs.a_lat = a.a_lat, man.legs.a_brake = a.a_brake, man.legs.response = a.response;
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

RepSimulator::RepSimulator(const Formation& formation, const Assumptions& assumptions, const PasserDrop& drop,
                           double step)
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
    throw InputError(std::to_string(trials.size()) + " reps side by side; accepted: at most " +
                     std::to_string(side_by_side));
  }
  return trials.empty() ? std::span<const RepRecord>{} : reps_->run(trials, after, nullptr);
}

}  // namespace shortedge
