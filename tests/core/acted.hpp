#pragma once
/// A play acted out for the tests of reps: every man on a path, his velocity the path's own.

#include "scenes.hpp"

namespace shortedge::scenes {

struct Acted : Stage {
  std::vector<Path> paths;

  std::size_t add(Role role, Slot slot, Path path, Position position = Position::other) {
    paths.push_back(std::move(path));
    const std::size_t index = man(role, slot, {});
    play.men[index].position = position;
    return index;
  }
  /// The passer, who must come first.
  void back(Path path) { add(Role::passer, Slot::none, std::move(path), Position::QB); }
  std::size_t blocks(Slot slot, Path path) { return add(Role::protector, slot, std::move(path)); }
  std::size_t rushes(Path path) { return add(Role::rusher, Slot::none, std::move(path)); }

  /// Frames from the snap to `end`, and the linemen's sides. Velocities are central differences over 0.2 ms.
  void act(double end, double rate = 20, double throw_time = nan) {
    constexpr double half = 1e-4;
    play.time.clear();
    play.end_time = end;
    play.throw_time = throw_time;
    motion = {play.men.size(), {}, {}};
    for (int frame = 0; frame <= std::lround(end * rate); ++frame) {
      const double time = frame / rate;
      play.time.push_back(time);
      for (const Path& path : paths) {
        motion.place.push_back(path(time));
        motion.velocity.push_back((path(time + half) - path(time - half)) / (2 * half));
      }
    }
    find_sides(play, motion);
  }
};

/// A path seen in the mirror: left is right.
inline Path mirrored(Path path) {
  return [path = std::move(path)](double time) { return mirrored(path(time)); };
}

/// Seen from a time on; before it nobody is there.
inline Path from(double time, Path path) {
  return [=, path = std::move(path)](double at) { return at < time - 1e-9 ? absent() : path(at); };
}

}  // namespace shortedge::scenes
