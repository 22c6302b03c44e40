#pragma once
/// Rusher and protector together: who may touch in a step of a simulated rep, and what that takes from their
/// velocities. For rep.cpp alone.
///
/// At the rim of a man's disc a rusher comes no nearer. A squared-up rusher moves his man back, at push (push_power
/// more with power, and the difference of their strengths) x squareness, a share of it in a sideways move or
/// against two men, push_open at least against open hips. A man sets his feet (he anchors): the rate falls as 1 /
/// (1 + s / anchors), s the seconds since he first met his rusher, so ground is given early or not at all.
/// Squareness: the cosine, not below 0, of the angle between the rusher's aim and his man as he sees them. Within
/// 0.1 yd of the rim the hands slow his slip along it by grip x squareness x vmax / tau, grip_open of it with open
/// hips, won_grip of it while he has won the hands; what would reverse his slip, or push him on, only stops it. So
/// a rusher who is squared up is held, and one on the edge slips off.
///
/// Riding: a tackle (or a man outside him) on his own man, at most 0.35 yd from the rim, more than 0.3 of his reach
/// inside the rusher's line and no more than 0.6 yd behind him along it, the rusher no deeper than a yard past the
/// passer. He neither holds nor pushes; he takes the straight way: the rusher gains speed toward the passer at most at
/// ride_speeding (without it at a_lat), and so runs by behind him. With a pull or a push instead the edge is no threat
/// any more: tried.

#include <algorithm>
#include <cstddef>
#include <cstdint>

#include "simulate/rep_lanes.hpp"

namespace shortedge {

inline constexpr double engaged_at = 0.02;                                    // yd from the rim
inline constexpr double ride_gap = 0.35, ride_behind = 0.6, ride_past = 1.0;  // yd
inline constexpr double ride_inside = 0.3;                                    // of his reach
inline constexpr int most_rounds = 200;                                       // of settling contacts in a step
inline constexpr double settled = 1e-12;  // yd: nobody comes nearer than he may by more in a step

SHORTEDGE_INLINED Wide RepSimulator::Reps::radius(const Blocking& protector, std::int64_t rusher) const {
  return blend(protector.target == rusher, protector.rim, assumptions_.body);
}

SHORTEDGE_INLINED void RepSimulator::Reps::crowd(Man& one, Man& other, double room, const Wide& share) {
  const WidePoint between = other.middle - one.middle;
  const Wide range2 = between.squaredNorm(), most = room + stride_;
  const WideMask may = range2 <= most * most;
  if (!any(may)) return;
  const Wide range = root(range2);
  const WidePoint n = blend(range > 0, between * (1.0 / range), splat(Point(1, 0)));
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
  for (Blocking& man : protectors_) man.ties = man.holds = WideMask{};
  for (Rushing& man : rushers_) man.ties = man.held = man.blockers = WideMask{};
  contacts_.clear();
  crowdings_.clear();
  backings_.clear();
  const Wide widest = std::max({assumptions_.reach, assumptions_.reach_open, assumptions_.body}) + grip_zone + stride_;
  const Wide widest2 = widest * widest;
  const double now = time - step_ / 2;
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
        man.leaves_at = blend(meets, blend(man.chip_hits, now + man.chip_hold, now), man.leaves_at);
        rusher.held_until = blend(meets & man.chip_hits, man.leaves_at, rusher.held_until);
        man.engaged = blend(meets, time, man.engaged);
        man.target = blend(meets, whole(no_man), man.target);
      }
      const Wide gap = range - radius(man, code);
      may &= gap <= grip_zone + stride_;
      if (!any(may)) continue;
      const WidePoint n = blend(range > 0, between * (1.0 / range), splat(Point(0, -1)));
      Contact& pair = contacts_.add();
      pair.protector = &man, pair.rusher = &rusher, pair.j = code;
      pair.may = may;
      pair.n = n;
      pair.range = range;
      man.ties -= may, rusher.ties -= may;
      const WideMask blocks = may & (gap <= grip_zone) & (man.target == code);
      man.holds |= blocks;
      rusher.held |= blocks;
      rusher.blockers -= blocks;
    }
    for (std::size_t k = i + 1; k < protectors_.size(); ++k) {
      Blocking& other = protectors_[k];
      const Wide alone = blend(man.gone, 1.0, Wide{});
      crowd(man, other, assumptions_.protector_room, blend(man.gone == other.gone, 0.5, alone));
    }
    const WidePoint between = passer_.middle - man.middle;
    const Wide range2 = between.squaredNorm(), most = assumptions_.passer_room + stride_;
    const WideMask may = (range2 <= most * most) & (range2 != 0);
    if (!any(may)) continue;
    const Wide range = root(range2);
    Backing& backing = backings_.add();
    backing.man = &man;
    backing.may = may;
    backing.n = between * (1.0 / range);
    backing.closing = larger(0.0, range - assumptions_.passer_room) / step_;
    man.ties -= may;
  }
  for (std::size_t j = 0; j < rushers_.size(); ++j) {
    for (std::size_t k = j + 1; k < rushers_.size(); ++k)
      crowd(rushers_[j], rushers_[k], assumptions_.rusher_room, 0.5);
  }
}

/// Takes from the velocities what brings anybody nearer than he may be, until nothing is left to take. What is taken
/// from men with no other tie undoes nothing.
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
      const Wide excess = (man.total() - passer_.velocity).dot(backing.n) - backing.closing;
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

/// Nobody enters a disc, whatever else: protectors who still come on too fast stand, then rushers slow as far as they
/// must.
SHORTEDGE_INLINED void RepSimulator::Reps::stop(const WideMask& going) {
  for (const Contact& pair : contacts_) {
    Blocking& man = *pair.protector;
    man.next = blend(pair.may & going & (-man.total().dot(pair.n) > pair.closing), -man.push, man.next);
  }
  for (const Contact& pair : contacts_) {
    const Wide closes = pair.rusher->next.dot(pair.n);
    const Wide most = larger(0.0, pair.protector->total().dot(pair.n) + pair.closing);
    pair.rusher->next =
        blend(pair.may & going & (closes > most), pair.rusher->next * (most / closes), pair.rusher->next);
  }
}

/// Who runs into a man within a step closes the gap that is left, and has then lost the speed that closed it: he goes
/// on along the rim at the place where he met it, round by slip x time to it / radius from where it was nearest to him.
/// The place comes from settle(); what he still has too much at its end is taken at the next middle, when he is there.
/// Left to him, he went the straighter past his man the longer the step, and ends who had won the hands pressed more.
SHORTEDGE_INLINED void RepSimulator::Reps::run_into() {
  for (Blocking& man : protectors_) man.lost = WidePoint{};
  for (Rushing& man : rushers_) man.lost = WidePoint{};
  for (const Contact& pair : contacts_) {
    const WideMask meets = pair.may & (pair.gap > 0) & (pair.comes > pair.closing);
    if (!any(meets)) continue;
    Blocking& man = *pair.protector;
    const Wide slip = cross(pair.n, WidePoint(pair.rusher->next - man.total()));
    const Wide round = slip * slip * pair.gap / (pair.comes * (pair.range - pair.gap));
    const Wide loses = blend(meets, bounded(pair.approach(), 0.0, larger(0.0, pair.closing - round)), Wide{});
    const Wide comes_on = bounded(-man.total().dot(pair.n), 0.0, loses);
    const Wide turns = blend(loses > 0, slip * pair.gap / (pair.range - pair.gap), Wide{});
    const Wide his = comes_on / larger(1e-9, loses);
    const WidePoint along = turns * quarter_turn(pair.n);
    man.lost = man.lost - comes_on * pair.n + his * along;
    pair.rusher->lost = pair.rusher->lost + (loses - comes_on) * pair.n - (1.0 - his) * along;
  }
}

/// Who rides his man in this step.
SHORTEDGE_INLINED void RepSimulator::Reps::ride(double time) {
  for (Rushing& man : rushers_) man.ridden = WideMask{};
  for (std::size_t i = 0; i < protectors_.size(); ++i) {
    if (!tackles_[i]) continue;
    Blocking& man = protectors_[i];
    man.rides = WideMask{};
    for (std::size_t j = 0; j < rushers_.size(); ++j) {
      Rushing& rusher = rushers_[j];
      const WideMask his = live_ & (man.man == static_cast<std::int64_t>(j)) & (man.target == man.man) &
                           (man.reaction <= time) & (rusher.reaction <= time);
      if (!any(his)) continue;
      const WidePoint to_man = man.middle - rusher.middle;
      const Wide range = to_man.norm();
      const Wide inside = static_cast<double>(sides_[i]) * cross(rusher.seen.line, to_man);
      const WideMask rides = his & (range - man.rim <= ride_gap) & (inside > ride_inside * assumptions_.reach) &
                             (rusher.seen.line.dot(to_man) >= -ride_behind) &
                             (rusher.middle.v <= passer_.middle.v + ride_past);
      man.rides |= rides;
      rusher.ridden |= rides;
    }
  }
}

SHORTEDGE_INLINED void RepSimulator::Reps::touch(double time) {
  const Assumptions& a = assumptions_;
  for (Blocking& man : protectors_) man.push = WidePoint{};
  for (Contact& pair : contacts_) {
    pair.gap = larger(0.0, pair.range - radius(*pair.protector, pair.j));
    pair.closing = pair.gap / step_;
    pair.squareness = larger(0.0, pair.n.dot(pair.rusher->seen.line));
  }
  // A squared-up rusher moves his man back; the man's hands slow the slip along the rim, and never push on.
  for (const Contact& pair : contacts_) {
    Blocking& man = *pair.protector;
    const Rushing& rusher = *pair.rusher;
    const Wide approach = (rusher.next - man.next).dot(pair.n) - pair.closing;
    Wide rate = larger(0.0, a.push + blend(rusher.powers, a.push_power, Wide{}) + rusher.strength - man.strength);
    rate = rate * blend(rusher.moving, a.push_shared, 1.0) * blend(rusher.blockers > 1, a.push_shared, 1.0);
    const WideMask had = (man.man == pair.j) & (man.engaged <= time);
    rate = rate / (1.0 + blend(had, time - man.engaged, Wide{}) / a.anchors);
    rate = blend(man.open, larger(rate, a.push_open), rate);
    // Pushed for the part of the step that is left once the gap is closed.
    const Wide left = approach / larger(1e-9, approach + pair.closing);
    const Wide most = smaller(approach, rate * pair.squareness * left);
    man.push = blend(pair.may & (approach > 0), man.push + most * pair.n, man.push);
  }
  for (const Contact& pair : contacts_) {
    const Blocking& man = *pair.protector;
    const WideMask blocks = pair.may & (pair.gap <= grip_zone) & (man.target == pair.j);
    if (!any(blocks)) continue;
    Rushing& rusher = *pair.rusher;
    const WidePoint along = quarter_turn(pair.n);
    const Wide own = rusher.next.dot(along), slip = own - man.total().dot(along);
    const Wide grip = man.grip * blend(man.open, a.grip_open, 1.0) * blend(man.beaten_until > time, a.won_grip, 1.0);
    const Wide held = grip * pair.squareness * rusher.legs.vmax / rusher.legs.tau * step_;
    const Wide taken = signed_as(smaller(smaller(held, size_of(slip)), size_of(own)), slip);
    rusher.next = blend(blocks & (slip * own > 0), rusher.next - taken * along, rusher.next);
  }
  for (Contact& pair : contacts_) pair.comes = pair.approach();
  settle();
  run_into();
  for (const Contact& pair : contacts_) {
    Wide& engaged = pair.protector->engaged;
    const WideMask asked = pair.may & unknown(engaged) & (pair.protector->man == pair.j);
    if (!any(asked)) continue;
    const Wide left = pair.gap - engaged_at, closes = pair.approach();
    const Wide when = blend(left <= 0, time, time + left / closes);
    engaged = blend(asked & ((left <= 0) | (closes * step_ > left)), when, engaged);
  }
}

}  // namespace shortedge
