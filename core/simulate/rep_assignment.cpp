// Every tenth of a second, lane by lane: who has whom, who helps on whom, and the routes of rushers nobody is before.
//
// Exchange: neighbours in a zone change men whose places, carried on zone_sees s, have crossed by crossed_by, when they
// have less ground to the men they would get than to those they have. Man to man they do so in a share of draws
// (man_changes), with places carried on man_sees s, when the two rushers are also within 2.5 yd of one another and both
// still in front of both men. Without the ground it fires in plain rushes, most against ends close outside their
// tackles.
//
// Free man: he first takes a rusher nobody has, the nearest within takes_within; else he helps on the neighbour's man
// within helps_within whose own man has the greatest cut-off ratio (0.1 of preference for the present one), of a slide
// to its side alone, and leaves him for a rusher nobody has.

#include <algorithm>
#include <cmath>
#include <utility>

#include "play/pressing.hpp"
#include "rush/cutoff.hpp"
#include "rush/ways.hpp"
#include "simulate/rep_lanes.hpp"

namespace shortedge {

namespace {

constexpr double longer_than = 0.4;       // yd: a route this much longer than the straight line is not taken
constexpr double help_preference = 0.1;   // of cut-off ratio
constexpr double near_one_another = 2.5;  // yd, of two rushers whose men may be changed

}  // namespace

void RepSimulator::Reps::renew(double time) {
  for (std::size_t lane = 0; lane < lanes; ++lane) {
    if (!live_[lane]) continue;
    exchange(lane);
    choose_help(lane);
    for (Rushing& man : rushers_) man.had_by[lane] = no_man;
    for (std::size_t i : line_) {
      const std::int64_t man = protectors_[i].man[lane];
      if (man != no_man) rushers_[static_cast<std::size_t>(man)].had_by[lane] = static_cast<std::int64_t>(i);
    }
    for (std::size_t j = 0; j < rushers_.size(); ++j) {
      if (time >= rushers_[j].reaction[lane] - renew_every) find_route(lane, rushers_[j], static_cast<std::int64_t>(j));
    }
    if (time < pressure_from_[lane] || time > throw_time_[lane]) continue;
    const Point passer = passer_.at.lane(lane);
    for (std::size_t i : line_) {
      Blocking& man = protectors_[i];
      if (man.man[lane] == no_man || sides_[i] == 0) continue;
      const Rushing& rusher = rushers_[static_cast<std::size_t>(man.man[lane])];
      const Point at = rusher.at.lane(lane);
      const double soonest = (distance(at, passer) - rules_.arm) / rules_.vmax;
      if (exposure(soonest, rules_) <= man.peak_exposure[lane]) continue;  // whatever the way, it can't be more
      const double way = outside_time(at, rusher.velocity.lane(lane), man.at.lane(lane), passer, sides_[i], rules_);
      man.peak_exposure[lane] = std::fmax(man.peak_exposure[lane], exposure(way, rules_));
    }
  }
}

/// Neighbours change men who cross.
void RepSimulator::Reps::exchange(std::size_t lane) {
  const Point guarded = guards_.lane(lane);
  for (std::size_t k = 0; k + 1 < line_.size(); ++k) {
    Blocking &left = protectors_[line_[k]], &right = protectors_[line_[k + 1]];
    const std::int64_t of_left = left.man[lane], of_right = right.man[lane];
    if (of_left == no_man || of_right == no_man) continue;
    const bool zone =
        formation_.protectors[line_[k]].job == Job::zone && formation_.protectors[line_[k + 1]].job == Job::zone;
    if (!zone && !left.exchanges[lane]) continue;
    const Rushing &first = rushers_[static_cast<std::size_t>(of_left)],
                  &second = rushers_[static_cast<std::size_t>(of_right)];
    const double ahead = zone ? assumptions_.zone_sees : assumptions_.man_sees;
    const Point one = first.at.lane(lane), other = second.at.lane(lane);
    const Point one_then = one + ahead * first.velocity.lane(lane),
                other_then = other + ahead * second.velocity.lane(lane);
    if (one_then.x() <= other_then.x() + assumptions_.crossed_by) continue;
    const Point man = left.at.lane(lane), mate = right.at.lane(lane);
    if (distance(man, other_then) + distance(mate, one_then) >= distance(man, one_then) + distance(mate, other_then))
      continue;
    if (!zone) {
      const double nearer = std::min(distance(one, guarded), distance(other, guarded));
      const double men = std::max(distance(man, guarded), distance(mate, guarded));
      if (distance(one, other) > near_one_another || nearer <= men) continue;
    }
    left.man[lane] = left.target[lane] = of_right;
    right.man[lane] = right.target[lane] = of_left;
  }
}

void RepSimulator::Reps::choose_help(std::size_t lane) {
  for (std::size_t k = 0; k < line_.size(); ++k) {
    Blocking& free = protectors_[line_[k]];
    if (free.man[lane] != no_man) continue;
    const Point at = free.at.lane(lane);
    double least = assumptions_.takes_within;
    for (std::size_t j = 0; j < rushers_.size(); ++j) {
      const bool had = std::any_of(line_.begin(), line_.end(), [&](std::size_t other) {
        return protectors_[other].man[lane] == static_cast<std::int64_t>(j);
      });
      const double range = distance(at, rushers_[j].at.lane(lane));
      if (had || range > least) continue;
      least = range;
      free.man[lane] = free.target[lane] = static_cast<std::int64_t>(j);
    }
    if (free.man[lane] != no_man) continue;
    double most = -1;
    std::int64_t chosen = no_man;
    const auto consider = [&](std::int64_t rusher, double ratio) {
      const Point there = rusher_at(lane, rusher);
      if (distance(at, there) > assumptions_.helps_within) return;
      if (formation_.slide != 0 && (there.x() - at.x()) * formation_.slide < 0) return;
      if (rusher == free.target[lane]) ratio += help_preference;
      if (ratio > most) most = ratio, chosen = rusher;
    };
    const Point guarded = guards_.lane(lane);
    const auto neighbour = [&](std::size_t from, std::size_t by) {
      for (std::size_t next = from + by; next < line_.size(); next += by) {  // +1 or -1: wraps
        const Blocking& man = protectors_[line_[next]];
        if (man.man[lane] == no_man) continue;
        consider(man.man[lane], cutoff_ratio(rusher_at(lane, man.man[lane]), man.at.lane(lane), guarded));
        return;
      }
    };
    neighbour(k, static_cast<std::size_t>(-1));
    neighbour(k, 1);
    free.target[lane] = chosen;
  }
}

void RepSimulator::Reps::find_route(std::size_t lane, Rushing& rusher, std::int64_t code) {
  rusher.run_on[lane] = 0;
  Course& course = rusher.courses[lane];
  const Point at = rusher.at.lane(lane), aim = rush_aim_.lane(lane);
  const bool stunts = course.through < formation_.rushers[static_cast<std::size_t>(code)].path.size();
  if (rusher.had_by[lane] != no_man) {
    const Point man = protectors_[static_cast<std::size_t>(rusher.had_by[lane])].at.lane(lane);
    if ((aim - at).dot(man - at) > 0) {
      rusher.on_route[lane] = 0;
      rusher.guided[lane] = stunts ? -1 : 0;
      return;
    }
  }
  discs_.clear();
  for (const Blocking& man : protectors_) discs_.push_back({man.at.lane(lane), radius(lane, man, code)});
  const Route& route = search_.route(at, aim, discs_, distance(at, aim) + longer_than);
  const bool bends = route.bend > 0;
  rusher.on_route[lane] = bends ? -1 : 0;
  rusher.guided[lane] = bends || stunts ? -1 : 0;
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

}  // namespace shortedge
