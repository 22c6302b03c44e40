#include "board/still.hpp"

#include <cmath>

#include "play/sides.hpp"
#include "pocket/pocket.hpp"

namespace shortedge {

namespace {

/// How far out the line's ends stand, left and right; NaN of a frame that is not ok.
std::array<double, 2> ends_of(const Scene& scene, const Rules& rules, double first_u, Wall& wall, Pocket& pocket) {
  if (!present(scene.passer)) return {nan, nan};
  find_wall(scene, rules, wall);
  shape_pocket(scene, wall, rules.cushion, pocket);
  if (status_of(scene, wall, pocket, first_u) != Status::ok) return {nan, nan};
  return {-wall.u_min(), wall.u_max()};
}

void take_lists(Play& play) {
  for (std::size_t man = 0; man < play.men.size(); ++man) {
    switch (play.men[man].role) {
      case Role::passer: play.passer = man; break;
      case Role::protector: play.protectors.push_back(man); break;
      case Role::rusher: play.rushers.push_back(man); break;
      default: break;
    }
    if (play.men[man].unit == Unit::offense && play.men[man].role != Role::passer) play.offense.push_back(man);
  }
}

}  // namespace

PassedSide side_of(const Passed& passed) {
  PassedSide side;
  if (passed.man == nobody) return side;
  // A rusher beside the passer, nearer to him than the man straight upfield: outside of that man when he is on the
  // man's own side.
  const double beside = passed.outside ? passed.side : -passed.side;
  side.see({beside, 0}, static_cast<std::size_t>(passed.man), {0, -2}, {0, 0}, passed.side);
  return side;
}

Still still_of(const Play& play, const Motion& motion, const Match& match, const Rules& rules, std::size_t frame) {
  Still still;
  still.play.play = 0;
  still.play.time = {play.time[frame]};
  still.play.center = play.center;
  still.play.guards = play.guards;
  still.play.men = play.men;
  for (std::size_t man = 0; man < play.men.size(); ++man) {
    Man& his = still.play.men[man];
    if (his.role == Role::rusher && !his.takes_part(frame)) his.role = Role::other;
    his.player = static_cast<std::int32_t>(man);
    his.counts_from = 0;
    his.counts_to = std::numeric_limits<std::size_t>::max();
  }
  take_lists(still.play);
  still.motion.men = motion.men;
  const auto first = static_cast<std::ptrdiff_t>(frame * motion.men),
             last = first + static_cast<std::ptrdiff_t>(motion.men);
  still.motion.place.assign(motion.place.begin() + first, motion.place.begin() + last);
  still.motion.velocity.assign(motion.velocity.begin() + first, motion.velocity.begin() + last);

  Followed followed(play, motion, match);
  std::vector<Passed> passed(play.rushers.size());
  Scene scene;
  Wall wall;
  Pocket pocket;
  for (std::size_t before = 0; before <= frame; ++before) {
    look(play, motion, before, scene);
    if (!present(scene.passer)) continue;
    if (std::isnan(still.before.first_u)) still.before.first_u = scene.passer.x();
    if (std::isnan(still.before.line_stood[0])) {
      still.before.line_stood = ends_of(scene, rules, still.before.first_u, wall, pocket);
    }
    if (before == frame) break;
    for (const Rushing& rusher : scene.rushers) {
      const Blocking seen = followed.see(before, scene, rusher, rules);
      if (!seen.blocker) continue;  // a frame that is not shown to his side
      const auto man = static_cast<std::int32_t>(seen.blocker->man);
      Passed& his = passed[rusher.index];
      if (!seen.placed.past) {
        his = {};
      } else if (his.man != man) {
        his = {man, seen.placed.outside, seen.placed.side};  // and so he stays as long as he is past him
      }
    }
  }
  for (std::size_t index = 0; index < play.rushers.size(); ++index) {
    const std::size_t man = play.rushers[index];
    if (!play.men[man].takes_part(frame)) continue;
    still.match.man.push_back({match.man[index][frame]});
    still.passed.push_back(passed[index]);
    still.before.sides.push_back(side_of(passed[index]));
  }
  return still;
}

Still still_of(const Formation& formation, double depth, const Rules& rules) {
  Still still;
  const auto add = [&](const Point& at, Unit unit, Role role, Slot slot) {
    Man man{static_cast<std::int32_t>(still.play.men.size()), unit, Position::other};
    man.role = role;
    man.slot = slot;
    still.play.men.push_back(man);
    still.motion.place.push_back(at);
    still.motion.velocity.push_back({0, 0});
  };
  still.play.play = 0;
  still.play.time = {0};
  add({formation.passer.x(), depth}, Unit::offense, Role::passer, Slot::none);
  for (const Protector& one : formation.protectors) add(one.at, Unit::offense, Role::protector, one.slot);
  for (const Rusher& one : formation.rushers) add(one.at, Unit::defense, Role::rusher, Slot::none);
  still.motion.men = still.play.men.size();
  take_lists(still.play);
  find_sides(still.play, still.motion);
  still.match.man.assign(formation.rushers.size(), {nobody});
  for (std::size_t i = 0; i < formation.protectors.size(); ++i) {
    const Protector& one = formation.protectors[i];
    if (one.man == no_man || one.job == Job::chip) continue;
    still.match.man[static_cast<std::size_t>(one.man)] = {static_cast<std::int32_t>(1 + i)};
  }
  still.before.sides.resize(formation.rushers.size());
  still.passed.resize(formation.rushers.size());
  still.before.first_u = formation.passer.x();
  Scene scene;
  Wall wall;
  Pocket pocket;
  look(still.play, still.motion, 0, scene);
  still.before.line_stood = ends_of(scene, rules, still.before.first_u, wall, pocket);
  return still;
}

}  // namespace shortedge
