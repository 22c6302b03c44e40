#include "measure/picture.hpp"

#include <cmath>

#include "match/seen.hpp"
#include "measure/before.hpp"
#include "measure/edges.hpp"

namespace shortedge {

Picture picture_of(const Play& play, const Motion& motion, const Match& match, const Rules& rules) {
  return picture_of(play, motion, match, nothing_before(play), rules);
}

Picture picture_of(const Play& play, const Motion& motion, const Match& match, const Before& before,
                   const Rules& rules) {
  Picture picture;
  picture.frames.resize(play.frames());
  std::vector<PassedSide> sides = before.sides;
  Scene scene;
  Wall wall;
  Pocket pocket;
  double first_u = before.first_u;
  for (std::size_t frame = 0; frame < play.frames(); ++frame) {
    look(play, motion, frame, scene);
    if (!present(scene.passer)) continue;
    if (std::isnan(first_u)) first_u = scene.passer.x();
    find_wall(scene, rules, wall);
    shape_pocket(scene, wall, rules.cushion, pocket);
    if (status_of(scene, wall, pocket, first_u) == Status::ok) {
      PicturedFrame& seen = picture.frames[frame];
      seen.pocket = pocket;
      for (const WallMan& man : wall.men) seen.wall.push_back(man.standing.man);
      for (const Standing& man : wall.detached) seen.detached.push_back(man.man);
      seen.wall_left = wall.men[wall.left].standing.man;
      seen.wall_right = wall.men[wall.right].standing.man;
    }
    for (const Rushing& rusher : scene.rushers) {
      Blocking blocking = see_rusher(play, motion, match, frame, scene, rusher, rules, sides[rusher.index]);
      if (blocking.free)
        blocking.placed.outside = outside_the_wall(wall, rusher.at, scene.passer, blocking.placed.side);
      PicturedRusher& shown = picture.rushers.emplace_back();
      shown.frame = frame;
      shown.rusher = rusher.man;
      shown.man = match.man[rusher.index][frame];
      shown.placed = blocking.placed;
      if (!has_ways(blocking)) continue;
      shown.ways = drawn_ways(rush_of(rusher, blocking, scene.passer), rules);
    }
  }
  return picture;
}

}  // namespace shortedge
