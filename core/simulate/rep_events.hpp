#pragma once
/// What a step of a simulated rep puts on record: peaks, pressures and arrivals. For rep.cpp alone.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>

#include "base/tolerances.hpp"
#include "play/pressing.hpp"
#include "rush/closest.hpp"
#include "rush/cutoff.hpp"
#include "simulate/rep_lanes.hpp"

namespace shortedge {

/// The lanes in which somebody arrives.
SHORTEDGE_INLINED WideMask RepSimulator::Reps::note(double time) {
  WideMask arrived{};
  const Passing& passer = passer_;
  pressure_from_ = blend((passer.at.v >= pressing::deep_enough) & (pressure_from_ == infinity),
                         std::max(pressing::from, time), pressure_from_);
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
  const WideMask counts = live_ & (throw_time_ + step_ > time) & (pressure_from_ - tolerance::time <= time);
  // A stretch that is first seen now began half a step ago, in the middle; to the throw it lasts to the throw.
  const Wide begins = larger(pressure_from_, time - step_ / 2), lasts_to = smaller(throw_time_, time);
  for (Rushing& man : rushers_) {
    const WidePoint apart = man.at - passer.at;
    const Wide range2 = apart.squaredNorm();
    const WideMask asked = counts & unknown(man.pressure);
    if (any(asked)) {
      const WidePoint velocity = man.velocity - passer.velocity;
      const Wide reachable = pressing::soon_range + (pressing::soon + tolerance::time) * velocity.norm();
      const auto stretch = [&](const WideMask& holds, Wide& since) {
        since = blend(asked, blend(holds, blend(unknown(since), begins, since), nan), since);
        const WideMask begun = asked & pressing::long_enough(Wide(lasts_to - since)) & unknown(man.pressure);
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
      const double closes =
          range > 0 ? -(man.velocity.lane(l) - passer.velocity.lane(l)).dot(apart.lane(l)) / range : 0;
      man.arrival[l] = time - std::clamp(closes > 0 ? (assumptions_.arm - range) / closes : 0.0, 0.0, step_);
      if (std::isnan(man.pressure[l])) man.recorded_by[l] = man.had_by[l];
    }
    arrived |= comes;
  }
  return arrived;
}

}  // namespace shortedge
