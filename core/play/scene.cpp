#include "play/scene.hpp"

namespace shortedge {

void look(const Play& play, const Motion& motion, std::size_t frame, Scene& scene) {
  const auto gather = [&](const std::vector<std::size_t>& men, std::vector<Standing>& standing) {
    standing.clear();
    for (const std::size_t man : men) {
      if (const Point& at = motion.at(frame, man); present(at)) standing.push_back({man, play.men[man].slot, at});
    }
  };
  scene.center = play.center;
  scene.passer = motion.at(frame, play.passer);
  scene.passer_velocity = motion.speed(frame, play.passer);
  gather(play.protectors, scene.protectors);
  gather(play.offense, scene.offense);
  scene.rushers.clear();
  for (std::size_t index = 0; index < play.rushers.size(); ++index) {
    const std::size_t man = play.rushers[index];
    const Point& at = motion.at(frame, man);
    if (!play.men[man].takes_part(frame) || !present(at)) continue;
    scene.rushers.push_back({man, at, motion.speed(frame, man), index});
  }
}

}  // namespace shortedge
