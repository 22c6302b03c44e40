#include "simulate/rep.hpp"

#include <algorithm>
#include <cmath>

#include "base/error.hpp"
#include "rush/closest.hpp"
#include "rush/cutoff.hpp"
#include "rush/ways.hpp"

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
// Pressure, as reps/pressure.hpp has it.
constexpr double pressure_seconds = 0.1, pressure_from = 0.8, deep_enough = 3.0;
constexpr double near_passer = 2.0, soon = 0.5, soon_range = 1.0;

}  // namespace

RepSimulator::RepSimulator(const Formation& formation, const Assumptions& assumptions, const PasserDrop& drop, double step)
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
}

void RepSimulator::start(const Draw& draw) {
  const Assumptions& a = assumptions_;
  protectors_.resize(formation_.protectors.size());
  rushers_.resize(formation_.rushers.size());
  for (std::size_t i = 0; i < protectors_.size(); ++i) {
    const ProtectorDraw& drawn = draw.protectors[i];
    Blocking& man = protectors_[i];
    man = Blocking{};
    man.at = formation_.protectors[i].at;
    man.legs = {drawn.run_speed, drawn.tau, a.a_lat, a.a_brake, a.response};
    man.reaction = drawn.reaction;
    man.kick_speed = drawn.kick_speed;
    man.grip = drawn.grip;
    man.man = man.target = formation_.protectors[i].man;
    man.open = formation_.protectors[i].job == Job::chip;
    man.chip_hits = drawn.chip_hits;
    man.chip_hold = drawn.chip_hold;
  }
  for (std::size_t i = 0; i < rushers_.size(); ++i) {
    const RusherDraw& drawn = draw.rushers[i];
    Rushing& man = rushers_[i];
    Route route = std::move(man.route);  // their memory is kept
    std::vector<Bend> bends = std::move(man.bends);
    man = Rushing{};
    man.route = std::move(route);
    man.bends = std::move(bends);
    man.at = formation_.rushers[i].at + drawn.off;
    man.legs = {drawn.top_speed, drawn.tau, a.a_lat, a.a_brake, a.response};
    man.reaction = drawn.reaction;
    man.drive_rate = drawn.drive_rate;
  }
  double fastest = 0, drives = 0;
  for (const Blocking& man : protectors_) fastest = std::max(fastest, man.legs.vmax);
  for (const Rushing& man : rushers_) fastest = std::max(fastest, man.legs.vmax), drives += man.drive_rate;
  stride_ = 2 * (fastest + drives) * step_;
  record_ = RepRecord{};
  record_.top_time = drop_.top_time();
  pressure_from_ = formation_.takes == TakesSnap::under ? infinity : pressure_from;
}

const RepRecord& RepSimulator::run(const Draw& draw, double throw_time, double after, Film* film) {
  start(draw);
  record_.throw_time = throw_time;
  const auto steps = static_cast<std::size_t>(std::max(0L, std::lround((throw_time + after) / step_)));
  for (std::size_t half = passer_at_.size(); half <= 2 * steps; ++half) {
    const double time = static_cast<double>(half) * step_ / 2;
    passer_at_.push_back({drop_.at(time), drop_.velocity(time)});
  }
  std::size_t film_steps = 1;
  if (film) {
    film_steps = static_cast<std::size_t>(std::max(1L, std::lround(film->every / step_)));
    film->time.clear();
    film->place.clear();
    film->velocity.clear();
  }
  const auto shoot = [&](std::size_t n) {
    film->time.push_back(static_cast<double>(n) * step_);
    const auto add = [&](const Point& at, const Point& velocity) {
      film->place.push_back(at);
      film->velocity.push_back(velocity);
    };
    add(passer_at_[2 * n].at, passer_at_[2 * n].velocity);
    for (const Blocking& man : protectors_) add(man.at, man.velocity + man.push);
    for (const Rushing& man : rushers_) add(man.at, man.velocity);
  };
  for (std::size_t i : line_) {
    const Blocking& man = protectors_[i];
    if (man.man == no_man) continue;
    record_.protectors[i].peak_cutoff = cutoff_ratio(rushers_[static_cast<std::size_t>(man.man)].at, man.at, drop_.spot());
  }

  std::size_t n = 0;
  for (bool arrived = false; n < steps && !arrived; ++n) {
    if (film && n % film_steps == 0) shoot(n);
    const double time = static_cast<double>(n) * step_, middle = time + step_ / 2;
    passer_ = passer_at_[2 * n + 1];
    aim_ = middle >= drop_.top_time() ? passer_ : Instant{drop_.spot(), {0, 0}};
    if (n % renew_steps_ == 0) renew(time);

    for (Blocking& man : protectors_) man.middle = man.at + step_ / 2 * (man.velocity + man.push);
    for (Rushing& man : rushers_) {
      man.middle = man.at + step_ / 2 * man.velocity;
      man.speed = man.velocity.norm();
      man.to_aim = aim_.at - man.middle;
      man.goal = man.to_aim.norm();
      man.line = man.goal > 0 ? Point(man.to_aim / man.goal) : Point(0, 0);
    }
    const auto go = [&](Man& man, const Point& wants) {
      man.gained = drive(man.velocity + step_ / 2 * man.gained, wants, man.legs);
      if (man.reaction > time) man.gained *= std::max(0.0, 1 - (man.reaction - time) / step_);  // of his first step
      man.next = man.velocity + step_ * man.gained;
    };
    for (std::size_t i = 0; i < protectors_.size(); ++i) go(protectors_[i], wanted(protectors_[i], i, middle));
    for (std::size_t j = 0; j < rushers_.size(); ++j) go(rushers_[j], wanted(rushers_[j], j, middle));
    touch(middle);
    for (Blocking& man : protectors_) {
      man.at = man.middle + step_ / 2 * man.total();
      man.velocity = man.next;
    }
    for (Rushing& man : rushers_) {
      man.at = man.middle + step_ / 2 * man.next;
      man.run_on += step_ * man.speed;
      man.velocity = man.next;
    }
    arrived = note(time + step_, passer_at_[2 * n + 2]);
  }
  record_.end = static_cast<double>(n) * step_;
  if (film) shoot(n);
  for (std::size_t i = 0; i < rushers_.size(); ++i) {
    RusherRecord& of = record_.rushers[i];
    if (std::isnan(of.arrival) && std::isnan(of.pressure)) of.had_by = had_by_[i];
  }
  return record_;
}

// ------------------------------------------------------------------------------------------------ every tenth of a second

void RepSimulator::renew(double time) {
  exchange();
  choose_help();
  had_by_.assign(rushers_.size(), no_man);
  for (std::size_t i : line_) {
    if (protectors_[i].man != no_man) had_by_[static_cast<std::size_t>(protectors_[i].man)] = static_cast<std::int32_t>(i);
  }
  for (std::size_t i = 0; i < rushers_.size(); ++i) {
    if (time >= rushers_[i].reaction - renew_every) find_route(rushers_[i], static_cast<std::int32_t>(i));
  }
  if (time < pressure_from_ || time > record_.throw_time) return;
  for (std::size_t i : line_) {
    const Blocking& man = protectors_[i];
    if (man.man == no_man || sides_[i] == 0) continue;
    const Rushing& rusher = rushers_[static_cast<std::size_t>(man.man)];
    double& peak = record_.protectors[i].peak_exposure;
    const double soonest = (distance(rusher.at, passer_.at) - rules_.arm) / rules_.vmax;
    if (exposure(soonest, rules_) <= peak) continue;  // whatever the way, it can't be more
    peak = std::fmax(peak, exposure(outside_time(rusher.at, rusher.velocity, man.at, passer_.at, sides_[i], rules_), rules_));
  }
}

/// Neighbours in a zone whose men have crossed change them.
void RepSimulator::exchange() {
  for (std::size_t k = 0; k + 1 < line_.size(); ++k) {
    Blocking &left = protectors_[line_[k]], &right = protectors_[line_[k + 1]];
    if (formation_.protectors[line_[k]].job != Job::zone || formation_.protectors[line_[k + 1]].job != Job::zone) continue;
    if (left.man == no_man || right.man == no_man) continue;
    const Point &of_left = rushers_[static_cast<std::size_t>(left.man)].at, &of_right = rushers_[static_cast<std::size_t>(right.man)].at;
    if (of_left.x() <= of_right.x() + crossed_by) continue;
    std::swap(left.man, right.man);
    left.target = left.man;
    right.target = right.man;
  }
}

void RepSimulator::choose_help() {
  for (std::size_t k = 0; k < line_.size(); ++k) {
    Blocking& free = protectors_[line_[k]];
    if (free.man != no_man) continue;
    double most = -1;
    std::int32_t chosen = no_man;
    const auto consider = [&](std::int32_t rusher, double ratio) {
      if (rusher == free.target) ratio += help_preference;
      if (ratio > most) most = ratio, chosen = rusher;
    };
    for (std::size_t i = 0; i < rushers_.size(); ++i) {
      const bool had = std::any_of(line_.begin(), line_.end(),
                                   [&](std::size_t at) { return protectors_[at].man == static_cast<std::int32_t>(i); });
      if (!had) consider(static_cast<std::int32_t>(i), infinity);
    }
    const auto neighbour = [&](std::size_t from, std::size_t by) {
      for (std::size_t at = from + by; at < line_.size(); at += by) {  // by is +1 or -1 and wraps past the left end
        const Blocking& man = protectors_[line_[at]];
        if (man.man == no_man) continue;
        consider(man.man, cutoff_ratio(rushers_[static_cast<std::size_t>(man.man)].at, man.at, aim_.at));
        return;
      }
    };
    neighbour(k, static_cast<std::size_t>(-1));
    neighbour(k, 1);
    free.target = chosen;
  }
}

double RepSimulator::radius(const Blocking& protector, std::int32_t rusher) const {
  if (protector.target != rusher) return assumptions_.body;
  return protector.open ? assumptions_.reach_open : assumptions_.reach;
}

void RepSimulator::find_route(Rushing& rusher, std::int32_t code) {
  rusher.run_on = 0;
  discs_.clear();
  for (const Blocking& man : protectors_) discs_.push_back({man.at, radius(man, code)});
  const Route& route = search_.route(rusher.at, aim_.at, discs_);
  const double straight = distance(rusher.at, aim_.at);
  rusher.on_route = route.bend > 0 && route.length <= straight + longer_than;
  if (!rusher.on_route) return;
  rusher.route = route;
  rusher.bends.clear();
  double begins = 0;
  for (const Stretch& piece : route.stretches) {
    const double ends = begins + piece.length;
    if (piece.turn != 0) {
      const double cap = arc_speed(piece.disc.radius, piece.length / piece.disc.radius, rules_);
      rusher.bends.push_back({begins, ends, cap * cap});
    }
    begins = ends;
  }
}

// ------------------------------------------------------------------------------------------------------- what men want

Point RepSimulator::wanted(Rushing& rusher, std::size_t index, double time) {
  if (time + step_ / 2 < rusher.reaction || time < rusher.held_until) return {0, 0};
  const std::vector<Point>& path = formation_.rushers[index].path;
  // A place is behind him when he is there, or at the rim of a man whose disc covers it.
  const auto covered = [&](const Point& place) {
    return std::any_of(protectors_.begin(), protectors_.end(), [&](const Blocking& man) {
      const double rim = radius(man, static_cast<std::int32_t>(index));
      return distance(man.middle, place) < rim && distance(man.middle, rusher.middle) < rim + grip_zone;
    });
  };
  while (rusher.through < path.size() &&
         (distance(rusher.middle, path[rusher.through]) < place_reached || covered(path[rusher.through]))) {
    ++rusher.through;
  }
  const double speed = rusher.speed;
  double allowed = rusher.legs.vmax;
  Point toward = aim_.at;
  if (rusher.through < path.size()) {
    toward = path[rusher.through];
  } else if (rusher.on_route) {
    const double here = rusher.run_on + speed * step_ / 2;
    toward = rusher.route.point(here + look_ahead + look_ahead_time * speed).at;
    for (const Bend& bend : rusher.bends) {
      if (bend.ends <= here) continue;
      const double to_it = std::max(0.0, bend.begins - here);
      allowed = std::min(allowed, std::sqrt(bend.cap2 + 2 * assumptions_.a_brake * to_it));
    }
  }
  const Point ahead = toward - rusher.middle;
  const double range = ahead.norm();
  return range > 0 ? Point(ahead * (allowed / range)) : Point(0, 0);
}

Point RepSimulator::wanted(Blocking& man, std::size_t index, double time) {
  if (man.gone) {  // out of the protection, outside round the man he chipped
    Point out(sides_[index] * 3.0, -4.0);
    const Point between = rushers_[static_cast<std::size_t>(man.man)].middle - man.middle;
    if (between.norm() > assumptions_.body + look_ahead || out.dot(between) <= 0) return out;
    const Point along = quarter_turn(between).normalized();
    return std::copysign(out.norm(), along.x() * out.x()) * along;
  }
  if (time + step_ / 2 < man.reaction || man.target == no_man) return {0, 0};
  const Rushing& rusher = rushers_[static_cast<std::size_t>(man.target)];
  const Point &line = rusher.line, to_man = man.middle - rusher.middle;
  const double goal = rusher.goal;
  if (goal == 0) return {0, 0};
  const double off_line = cross(line, to_man);
  if (formation_.protectors[index].job == Job::chip) {  // at his man's outside half, and not in his mate's way
    const Point outside(std::copysign(assumptions_.protector_room, -line.x()), 0);
    const Point gap = rusher.middle + outside - man.middle;
    const double far = gap.norm();
    return far > 0 ? Point(gap * (man.legs.vmax / far)) : Point(0, 0);
  }
  const CutOff cut = cut_off(to_man, rusher.to_aim, goal);
  if (!man.open && cut.ratio * rusher.speed > assumptions_.opens_at * man.kick_speed) {
    man.open = true;
    man.in_front = nan;
    ProtectorRecord& of = record_.protectors[index];
    if (std::isnan(of.hips) && man.man != no_man) of.hips = time;
  } else if (man.open) {
    const bool in_front = cut.ratio < 1 && std::abs(off_line) < assumptions_.reach_open;
    if (!in_front) man.in_front = nan;
    if (in_front && std::isnan(man.in_front)) man.in_front = time;
    if (time - man.in_front >= assumptions_.settle) man.open = false;
  }
  const double from_rusher = std::min(cut.from_rusher, goal - assumptions_.keep_off);
  Point place = rusher.middle + from_rusher * line;
  if (man.target != man.man) place += std::copysign(help_offset, off_line) * quarter_turn(line);
  const double share = std::clamp(from_rusher / goal, 0.0, 1.0);
  const double across = (1 - share) * cross(line, rusher.velocity) + share * cross(line, aim_.velocity);
  const double limit = man.open ? man.legs.vmax : std::min(man.kick_speed, man.legs.vmax);
  const Point gap = place - man.middle;
  const double far = gap.norm();
  Point wants = follow_share * across * quarter_turn(line);
  if (far > 0) wants += gap * (std::min(limit, far / assumptions_.close_in) / far);
  const double size = wants.norm();
  return size > limit ? Point(wants * (limit / size)) : wants;
}

// ------------------------------------------------------------------------------------------------------------ contacts

/// Who may touch in this step.
void RepSimulator::find_contacts(double time) {
  contacts_.clear();
  crowdings_.clear();
  backings_.clear();
  const double widest = std::max({assumptions_.reach, assumptions_.reach_open, assumptions_.body}) + grip_zone + stride_;
  const auto crowd = [&](Man& one, Man& other, double room, double share) {
    const Point between = other.middle - one.middle;
    const double range2 = between.squaredNorm();
    if (range2 > (room + stride_) * (room + stride_)) return;
    const double range = std::sqrt(range2);
    const Point n = range > 0 ? Point(between / range) : Point(1, 0);
    crowdings_.push_back({&one, &other, n, std::max(0.0, range - room), share});
    ++one.ties, ++other.ties;
  };
  for (std::size_t i = 0; i < protectors_.size(); ++i) {
    Blocking& man = protectors_[i];
    for (std::size_t j = 0; j < rushers_.size(); ++j) {
      Rushing& rusher = rushers_[j];
      const auto code = static_cast<std::int32_t>(j);
      const Point between = man.middle - rusher.middle;
      const double range2 = between.squaredNorm();
      if (range2 > widest * widest) continue;
      const double range = std::sqrt(range2);
      if (formation_.protectors[i].job == Job::chip && man.target == code && range <= assumptions_.reach + engaged_at) {
        if (man.chip_hits) rusher.held_until = time + man.chip_hold;
        record_.protectors[i].engaged = time;
        man.gone = true;  // he touches his man once
        man.target = no_man;
      }
      const double gap = range - radius(man, code);
      if (gap > grip_zone + stride_) continue;
      const Point n = range > 0 ? Point(between / range) : Point(0, -1);
      contacts_.push_back({&man, &rusher, i, j, n, std::max(0.0, gap), std::max(0.0, n.dot(rusher.line))});
      ++man.ties, ++rusher.ties;
    }
    for (std::size_t k = i + 1; k < protectors_.size(); ++k) {
      Blocking& other = protectors_[k];
      crowd(man, other, assumptions_.protector_room, man.gone == other.gone ? 0.5 : man.gone ? 1.0 : 0.0);
    }
    const Point between = passer_.at - man.middle;
    const double range2 = between.squaredNorm(), room = assumptions_.passer_room;
    if (range2 > (room + stride_) * (room + stride_) || range2 == 0) continue;
    const double range = std::sqrt(range2);
    backings_.push_back({&man, between / range, std::max(0.0, range - room)});
    ++man.ties;
  }
  for (std::size_t j = 0; j < rushers_.size(); ++j) {
    for (std::size_t k = j + 1; k < rushers_.size(); ++k) crowd(rushers_[j], rushers_[k], assumptions_.rusher_room, 0.5);
  }
}

/// Takes from the velocities what brings anybody nearer than he may be, until nothing is left to take. What is taken from
/// men with no other tie undoes nothing.
void RepSimulator::settle() {
  const double slack = settled / step_;
  for (int round = 0; round < most_rounds; ++round) {
    bool changed = false;
    for (const Crowding& pair : crowdings_) {
      const double excess = (pair.one->total() - pair.other->total()).dot(pair.n) - pair.gap / step_;
      if (excess <= slack) continue;
      changed = changed || pair.one->ties > 1 || pair.other->ties > 1;
      pair.one->next -= pair.share * excess * pair.n;
      pair.other->next += (1 - pair.share) * excess * pair.n;
    }
    for (const Backing& backing : backings_) {  // the passer does not give way
      Blocking& man = *backing.man;
      const double excess = (man.total() - passer_.velocity).dot(backing.n) - backing.gap / step_;
      if (excess <= slack) continue;
      changed = changed || man.ties > 1;
      const double pushed = std::clamp(man.push.dot(backing.n), 0.0, excess);
      man.push -= pushed * backing.n;
      man.next -= (excess - pushed) * backing.n;
    }
    for (const Contact& pair : contacts_) {  // the protector stops coming on first, then the rusher
      const double excess = pair.approach() - pair.gap / step_;
      if (excess <= slack) continue;
      changed = changed || pair.protector->ties > 1 || pair.rusher->ties > 1;
      const double comes_on = std::clamp(-pair.protector->total().dot(pair.n), 0.0, excess);
      pair.protector->next += comes_on * pair.n;
      pair.rusher->next -= (excess - comes_on) * pair.n;
    }
    if (!changed) return;
  }
  stop();
}

/// Nobody enters a disc, whatever else: protectors who still come on too fast stand, then rushers slow as far as they must.
void RepSimulator::stop() {
  for (const Contact& pair : contacts_) {
    if (-pair.protector->total().dot(pair.n) > pair.gap / step_) pair.protector->next = -pair.protector->push;
  }
  for (const Contact& pair : contacts_) {
    const double closes = pair.rusher->next.dot(pair.n);
    const double most = std::max(0.0, pair.protector->total().dot(pair.n) + pair.gap / step_);
    if (closes > most) pair.rusher->next *= most / closes;
  }
}

void RepSimulator::touch(double time) {
  for (Blocking& man : protectors_) man.push = {0, 0}, man.ties = 0;
  for (Rushing& man : rushers_) man.ties = 0;
  find_contacts(time);
  // A squared-up rusher moves his man back; the man's hands slow the slip along the rim, and never push on.
  for (const Contact& pair : contacts_) {
    const double approach = (pair.rusher->next - pair.protector->next).dot(pair.n) - pair.gap / step_;
    if (approach > 0) pair.protector->push += std::min(approach, pair.rusher->drive_rate * pair.squareness) * pair.n;
  }
  for (const Contact& pair : contacts_) {
    if (pair.gap > grip_zone || pair.protector->target != static_cast<std::int32_t>(pair.j)) continue;
    const Point along = quarter_turn(pair.n);
    const double own = pair.rusher->next.dot(along), slip = own - pair.protector->total().dot(along);
    if (slip * own <= 0) continue;
    const double grip = pair.protector->grip * (pair.protector->open ? assumptions_.grip_open : 1.0);
    const double held = grip * pair.squareness * pair.rusher->legs.vmax / pair.rusher->legs.tau * step_;
    pair.rusher->next -= std::copysign(std::min({held, std::abs(slip), std::abs(own)}), slip) * along;
  }
  settle();
  for (const Contact& pair : contacts_) {
    double& engaged = record_.protectors[pair.i].engaged;
    if (!std::isnan(engaged) || pair.protector->man != static_cast<std::int32_t>(pair.j)) continue;
    const double left = pair.gap - engaged_at, closes = pair.approach();
    if (left <= 0) {
      engaged = time;
    } else if (closes * step_ > left) {
      engaged = time + left / closes;
    }
  }
}

// ------------------------------------------------------------------------------------------------------------- events

bool RepSimulator::note(double time, const Instant& passer) {
  bool arrived = false;
  if (passer.at.y() >= deep_enough && pressure_from_ == infinity) pressure_from_ = std::max(pressure_from, time);
  for (std::size_t i : line_) {
    const Blocking& man = protectors_[i];
    ProtectorRecord& of = record_.protectors[i];
    if (man.man == no_man || !std::isnan(of.engaged) || time > record_.throw_time) continue;
    const double ratio = cutoff_ratio(rushers_[static_cast<std::size_t>(man.man)].at, man.at, drop_.spot());
    if (ratio > of.peak_cutoff) of.peak_cutoff = ratio, of.peak_cutoff_time = time;
  }
  for (std::size_t j = 0; j < rushers_.size(); ++j) {
    Rushing& man = rushers_[j];
    RusherRecord& of = record_.rushers[j];
    const Point apart = man.at - passer.at;
    const double range2 = apart.squaredNorm();
    const bool counts = time >= pressure_from_ - tolerance::time && time <= record_.throw_time + tolerance::time;
    if (counts && std::isnan(of.pressure)) {
      const double speed = (man.velocity - passer.velocity).norm(), reachable = soon_range + soon * speed;
      const auto stretch = [&](bool holds, double& since) {
        if (!holds) {
          since = nan;
        } else {
          if (std::isnan(since)) since = time;
          if (time - since >= pressure_seconds - tolerance::time && std::isnan(of.pressure)) of.pressure = since;
        }
      };
      stretch(range2 <= near_passer * near_passer, man.near_since);
      bool is_soon = false;
      if (range2 <= reachable * reachable) {
        const Closest closest = closest_approach(apart, man.velocity - passer.velocity);
        is_soon = closest.in <= soon && closest.distance <= soon_range;
      }
      stretch(is_soon, man.soon_since);
      if (!std::isnan(of.pressure)) of.had_by = had_by_[j];
    }
    if (range2 <= assumptions_.arm * assumptions_.arm) {
      // Inside this step, as he closes at an even speed.
      const double range = std::sqrt(range2), closes = range > 0 ? -(man.velocity - passer.velocity).dot(apart) / range : 0;
      of.arrival = time - std::clamp(closes > 0 ? (assumptions_.arm - range) / closes : 0.0, 0.0, step_);
      if (std::isnan(of.pressure)) of.had_by = had_by_[j];
      arrived = true;
    }
  }
  return arrived;
}

}  // namespace shortedge
