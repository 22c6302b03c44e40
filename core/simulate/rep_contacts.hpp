#pragma once
/// Who may touch in a step of a simulated rep, and what that takes from their velocities. For rep.cpp alone.

#include <algorithm>
#include <cstddef>
#include <cstdint>

#include "simulate/rep_lanes.hpp"

namespace shortedge {

inline constexpr double engaged_at = 0.02;  // yd from the rim
inline constexpr int most_rounds = 50;      // of settling contacts in a step
inline constexpr double settled = 1e-12;    // yd: nobody comes nearer than he may by more in a step

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

}  // namespace shortedge
