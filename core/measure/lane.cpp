#include "measure/lane.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/tolerances.hpp"

namespace shortedge {

namespace {

/// The letter of the gap outside wall man `inner`.
Lane letter(const Wall& wall, std::size_t inner) {
  const auto is_lineman = [](const WallMan& man) { return man.standing.slot != Slot::none; };
  const auto at = [&](std::size_t i) { return wall.men.begin() + static_cast<std::ptrdiff_t>(i); };
  const auto linemen = inner < wall.center ? std::count_if(at(inner), at(wall.center), is_lineman)
                                           : std::count_if(at(wall.center), at(inner + 1), is_lineman) -
                                                 is_lineman(wall.men[wall.center]);
  constexpr std::array letters{Lane::A, Lane::B, Lane::C, Lane::D};
  return letters[static_cast<std::size_t>(std::min<std::ptrdiff_t>(linemen, 3))];
}

}  // namespace

LaneAt find_lane(const Pocket& pocket, const Wall& wall, const Point& passer, const Point& rusher) {
  const double range = distance(rusher, passer);
  const Side own_side = side_of(rusher.x() - passer.x());
  if (range <= tolerance::same_point) return {Lane::in, own_side};
  const Point toward = (rusher - passer) / range;
  const Exit exit = leave_pocket(pocket, passer, toward);
  if (range <= exit.distance + tolerance::same_point) return {Lane::in, own_side};  // in it or on it

  const std::size_t next = (exit.edge + 1) % pocket.corners.size();
  if (next == 0) return {Lane::rear, own_side};
  const std::ptrdiff_t left = pocket.corners[exit.edge], right = pocket.corners[next];
  if (left == rear_left || right == rear_left) return {letter(wall, 0), Side::left};
  if (left == rear_right || right == rear_right) return {letter(wall, wall.men.size() - 1), Side::right};
  const auto outer_right = static_cast<std::size_t>(right);
  return outer_right > wall.center ? LaneAt{letter(wall, outer_right - 1), Side::right}
                                   : LaneAt{letter(wall, outer_right), Side::left};
}

}  // namespace shortedge
