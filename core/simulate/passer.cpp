#include "simulate/passer.hpp"

#include <algorithm>
#include <cmath>

#include "base/error.hpp"

namespace shortedge {

namespace {
constexpr double least_drop_time = 0.3;  // s
constexpr double deepest = 30;           // yd
}  // namespace

PasserDrop::PasserDrop(const Formation& formation, const Assumptions& assumptions, double depth)
    : start_(formation.passer),
      spot_(formation.passer.x() + formation.roll, depth),
      hitch_(assumptions.hitch),
      hitch_seconds_(assumptions.hitch_seconds) {
  if (!(depth >= start_.y() && depth <= deepest)) {
    throw InputError("depth is " + shown(depth) + " yd; accepted: " + shown(start_.y()) +
                     " (where the passer takes the snap) to " + shown(deepest));
  }
  const bool under = formation.takes == TakesSnap::under;
  const double farther = distance(start_, spot_) - (depth - start_.y());  // what a roll-out adds to the way
  const double way = (under ? depth : depth - start_.y()) + farther;
  const double more = under ? assumptions.drop_under : assumptions.drop_gun;
  top_ = std::max(least_drop_time, assumptions.drop_pace * way + more) + formation.fake;
}

Point PasserDrop::at(double time) const {
  if (time <= 0) return start_;
  const auto eased = [](double share) { return (1 - std::cos(pi * share)) / 2; };
  if (time < top_) return start_ + eased(time / top_) * (spot_ - start_);
  return spot_ - Point(0, hitch_ * eased(std::min(1.0, (time - top_) / hitch_seconds_)));
}

Point PasserDrop::velocity(double time) const {
  if (time <= 0 || time >= top_ + hitch_seconds_) return {0, 0};
  const auto slope = [](double share, double seconds) { return pi * std::sin(pi * share) / (2 * seconds); };
  if (time < top_) return slope(time / top_, top_) * (spot_ - start_);
  return {0, -hitch_ * slope((time - top_) / hitch_seconds_, hitch_seconds_)};
}

}  // namespace shortedge
