#include "pocket/wall.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

#include "base/tolerances.hpp"

namespace shortedge {

namespace {

constexpr double downfield = -3.0;     // yd
constexpr double on_passer = 0.05;     // yd
constexpr double farthest_back = 1.5;  // the rank of 135 degrees

/// Index of the man the wall is counted from. `center` is the play's (Scene::center); another man listed so comes next.
std::size_t center_of(const std::vector<WallMan>& men, std::int32_t center) {
  const auto rank = [center](const WallMan& man) {
    const Standing& who = man.standing;
    const bool first = static_cast<std::int32_t>(who.man) == center;
    const int kind = first ? 0 : who.slot == Slot::C ? 1 : who.slot != Slot::none ? 2 : 3;
    return std::tuple(kind, std::abs(who.at.x()), who.man);
  };
  const auto first = std::min_element(men.begin(), men.end(), [&](auto& a, auto& b) { return rank(a) < rank(b); });
  return static_cast<std::size_t>(first - men.begin());
}

/// Leaves out the detached; `men` are sorted across the field.
void detach(std::vector<WallMan>& men, std::int32_t middle, double most, std::vector<Standing>& detached) {
  const auto u = [&](std::size_t i) { return men[i].standing.at.x(); };
  const std::size_t center = center_of(men, middle);
  std::size_t begin = center, end = center + 1;
  while (begin > 0 && u(begin) - u(begin - 1) <= most) --begin;
  while (end < men.size() && u(end) - u(end - 1) <= most) ++end;
  for (std::size_t i = 0; i < men.size(); ++i) {
    if (i < begin || i >= end) detached.push_back(men[i].standing);
  }
  men.erase(men.begin() + static_cast<std::ptrdiff_t>(end), men.end());
  men.erase(men.begin(), men.begin() + static_cast<std::ptrdiff_t>(begin));
}

/// Of men at one bearing leaves the nearest; `men` are sorted by bearing.
void thin_out(std::vector<WallMan>& men, const Point& passer) {
  std::size_t kept = 0;
  for (std::size_t i = 1; i < men.size(); ++i) {
    const Point &at = men[i].standing.at, &before = men[kept].standing.at;
    if (men[i].rank - men[kept].rank > tolerance::ranks_apart ||
        bearing(passer, at) - bearing(passer, before) > tolerance::same_bearing) {
      men[++kept] = men[i];
    } else if (distance(at, passer) < distance(before, passer)) {
      men[kept] = men[i];
    }
  }
  men.resize(kept + 1);
}

}  // namespace

void find_wall(const Scene& scene, const Rules& rules, Wall& wall) {
  std::vector<WallMan>& men = wall.men;
  men.clear();
  wall.detached.clear();
  for (const Standing& man : scene.protectors) {
    const auto meets = [&](const Rushing& rusher) { return within(rusher.at, man.at, rules.engage); };
    if (man.slot == Slot::none && std::none_of(scene.rushers.begin(), scene.rushers.end(), meets)) continue;
    if (man.at.y() < downfield || distance(man.at, scene.passer) <= on_passer) continue;
    const double rank = bearing_rank(scene.passer, man.at);
    if (std::abs(rank) <= farthest_back + tolerance::same_rank) men.push_back({man, rank});
  }
  if (men.empty()) return;
  const auto across = [](const WallMan& man) { return std::pair(man.standing.at.x(), man.standing.man); };
  std::sort(men.begin(), men.end(), [&](auto& a, auto& b) { return across(a) < across(b); });
  detach(men, scene.center, rules.detach, wall.detached);
  std::sort(men.begin(), men.end(), [](const WallMan& a, const WallMan& b) {
    return std::pair(a.rank, a.standing.man) < std::pair(b.rank, b.standing.man);
  });
  thin_out(men, scene.passer);

  wall.center = center_of(men, scene.center);
  wall.left = wall.right = 0;
  for (std::size_t i = 1; i < men.size(); ++i) {
    const auto [u, id] = across(men[i]);
    if (std::pair(u, id) < across(men[wall.left])) wall.left = i;
    if (std::pair(-u, id) < std::pair(-across(men[wall.right]).first, across(men[wall.right]).second)) wall.right = i;
  }
}

}  // namespace shortedge
