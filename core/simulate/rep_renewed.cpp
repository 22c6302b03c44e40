// Every tenth of a second, lane by lane: who has whom, who helps on whom, and the rushers' routes.

#include <algorithm>
#include <cmath>
#include <utility>

#include "play/pressing.hpp"
#include "rush/cutoff.hpp"
#include "rush/ways.hpp"
#include "simulate/rep_lanes.hpp"

namespace shortedge {

namespace {

constexpr double longer_than = 0.4;      // yd: a route this much longer than the straight line is not taken
constexpr double help_preference = 0.1;  // of cut-off ratio
constexpr double crossed_by = 0.3;       // yd, across

}  // namespace

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
    if (formation_.protectors[line_[k]].job != Job::zone || formation_.protectors[line_[k + 1]].job != Job::zone)
      continue;
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

void RepSimulator::Reps::find_route(std::size_t lane, Rushing& rusher, std::int64_t code) {
  rusher.run_on[lane] = 0;
  discs_.clear();
  for (const Blocking& man : protectors_) discs_.push_back({man.at.lane(lane), radius(lane, man, code)});
  const Point at = rusher.at.lane(lane);
  const Route& route = search_.route(at, aim_.at, discs_, distance(at, aim_.at) + longer_than);
  Course& course = rusher.courses[lane];
  const bool bends = route.bend > 0;
  rusher.on_route[lane] = bends ? -1 : 0;
  rusher.guided[lane] =
      bends || course.through < formation_.rushers[static_cast<std::size_t>(code)].path.size() ? -1 : 0;
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
