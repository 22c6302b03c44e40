#pragma once
/// What the tests share: random numbers, men in one frame, and tiny games written down in the play frame.

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <functional>
#include <limits>
#include <map>
#include <random>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/error.hpp"
#include "measure/measure.hpp"
#include "play/review.hpp"
#include "play/scene.hpp"
#include "play/sides.hpp"

namespace shortedge::scenes {

using shortedge::infinity, shortedge::nan;  // scenes::nan: plain nan is also a function of the C library's

/// How many random cases: more when the environment sets SHORTEDGE_FULL to 1.
inline int cases(int quick, int full) {
  const char* wanted = std::getenv("SHORTEDGE_FULL");
  return wanted && std::string_view(wanted) == "1" ? full : quick;
}

struct Random {
  std::mt19937_64 engine;
  explicit Random(std::uint64_t seed) : engine(seed) {}

  double number(double low, double high) { return low + (high - low) * static_cast<double>(engine() >> 11) * 0x1p-53; }
  int whole(int low, int high) { return low + static_cast<int>(engine() % static_cast<std::uint64_t>(high - low + 1)); }
  Point point(double half) { return {number(-half, half), number(-half, half)}; }
};

inline Point mirrored(const Point& a) { return {-a.x(), a.y()}; }

/// A rigid motion of the plane.
struct Move {
  double angle;
  Point by;
  Point operator()(const Point& a) const {
    return Point(std::cos(angle) * a.x() - std::sin(angle) * a.y(), std::sin(angle) * a.x() + std::cos(angle) * a.y()) +
           by;
  }
};

/// The text of the InputError that `call` throws; empty when it throws none.
template <class Call>
std::string refusal(Call&& call) {
  try {
    call();
  } catch (const InputError& error) {
    return error.what();
  }
  return {};
}

inline bool contains(std::string_view text, std::string_view part) { return text.find(part) != text.npos; }

/// Five linemen on an arc, with room behind for a passer 5 yd deep.
inline const std::vector<std::pair<Slot, Point>>& five_linemen() {
  static const std::vector<std::pair<Slot, Point>> five{
      {Slot::LT, {-3, 3}}, {Slot::LG, {-1.5, 2}}, {Slot::C, {0, 1.5}}, {Slot::RG, {1.5, 2}}, {Slot::RT, {3, 3}}};
  return five;
}

/// A frame of men, written down without a play.
struct FrameScene : Scene {
  explicit FrameScene(const Point& at) { passer = at; }

  FrameScene& protector(Slot slot, const Point& at) {
    protectors.push_back({next_++, slot, at});
    offense.push_back(protectors.back());
    return *this;
  }
  FrameScene& mate(const Point& at) {
    offense.push_back({next_++, Slot::none, at});
    return *this;
  }
  FrameScene& rusher(const Point& at, const Point& velocity = Point(0, 0)) {
    rushers.push_back({next_++, at, velocity});
    return *this;
  }
  /// five_linemen; when they come first, LT, LG, C, RG, RT are men 0 to 4.
  FrameScene& line() {
    for (const auto& [slot, at] : five_linemen()) protector(slot, at);
    return *this;
  }

 private:
  std::size_t next_ = 0;
};

/// A play of known roles and places, ready to be measured: men by code, a place a frame (the last one holds on). In
/// every frame the protector nearest to a rusher has him, but where `has` names another man or nobody.
struct Stage {
  Play play;
  Motion motion;
  std::vector<std::vector<Point>> places;
  std::map<std::size_t, std::int32_t> has;

  Stage() { play.play = 0; }

  std::size_t man(Role role, Slot slot, std::vector<Point> at) {
    const std::size_t index = play.men.size();
    Man who{static_cast<std::int32_t>(index), role == Role::rusher ? Unit::defense : Unit::offense, Position::other};
    who.role = role;
    who.slot = slot;
    play.men.push_back(who);
    places.push_back(std::move(at));
    if (role == Role::passer) play.passer = index;
    if (role == Role::protector) play.protectors.push_back(index);
    if (role == Role::rusher) play.rushers.push_back(index);
    if (role == Role::protector || role == Role::other) play.offense.push_back(index);
    return index;
  }
  void passer(std::vector<Point> at) { man(Role::passer, Slot::none, std::move(at)); }
  std::size_t protector(Slot slot, std::vector<Point> at) { return man(Role::protector, slot, std::move(at)); }
  std::size_t rusher(std::vector<Point> at) { return man(Role::rusher, Slot::none, std::move(at)); }
  /// Passer 0 at (0, 5), LT 1, LG 2, C 3, RG 4, RT 5 as five_linemen has them.
  void line() {
    passer({{0, 5}});
    for (const auto& [slot, at] : five_linemen()) protector(slot, {at});
  }

  Match who_has_whom() const {
    Match match;
    for (const std::size_t rusher : play.rushers) {
      std::vector<std::int32_t>& man = match.man.emplace_back();
      for (std::size_t frame = 0; frame < play.frames(); ++frame) {
        double nearest = infinity;
        man.push_back(nobody);
        for (const std::size_t protector : play.protectors) {
          const double range = distance(motion.at(frame, protector), motion.at(frame, rusher));
          if (!(range < nearest)) continue;
          nearest = range;
          man.back() = static_cast<std::int32_t>(protector);
        }
        if (const auto named = has.find(rusher); named != has.end()) man.back() = named->second;
      }
    }
    return match;
  }

  /// Velocities are rest: what a man standing still can do.
  Tables measured(const Rules& rules = {}) {
    std::size_t frames = 1;
    for (const auto& at : places) frames = std::max(frames, at.size());
    motion = {play.men.size(), {}, {}};
    play.time.clear();
    for (std::size_t frame = 0; frame < frames; ++frame) {
      play.time.push_back(0.1 * static_cast<double>(frame));
      for (const auto& at : places) {
        motion.place.push_back(at[std::min(frame, at.size() - 1)]);
        motion.velocity.push_back(Point(0, 0));
      }
    }
    find_sides(play, motion);
    Tables tables;
    measure(play, motion, who_has_whom(), rules, tables);
    return tables;
  }
};

using Path = std::function<Point(double)>;  ///< place in the play frame at s since the snap

inline Path stands(double u, double v) {
  return [=](double) { return Point(u, v); };
}
/// Through the given places at the given times, straight between them, at rest before and after.
inline Path along(std::vector<std::pair<double, Point>> knots) {
  return [knots = std::move(knots)](double time) -> Point {
    if (time <= knots.front().first) return knots.front().second;
    for (std::size_t k = 1; k < knots.size(); ++k) {
      const auto& [before, a] = knots[k - 1];
      const auto& [after, b] = knots[k];
      if (time <= after) return a + (time - before) / (after - before) * (b - a);
    }
    return knots.back().second;
  };
}

struct Actor {
  std::string name;
  std::string position;
  Unit unit;
  Path path;
  Role role = Role::unset;
  double from = -0.5, to = 3.0;  ///< s since the snap, his samples
};

inline Actor offense(std::string position, Path path, std::string name = {}) {
  return {name.empty() ? position : name, position, Unit::offense, std::move(path)};
}
inline Actor defense(std::string name, Path path) { return {name, "DL", Unit::defense, std::move(path)}; }

/// One play as told; ball and direction say where on the field it happens.
struct Script {
  std::string play = "1";
  std::vector<Actor> men;
  double throw_time = nan, end_time = nan;  ///< s since the snap
  double snap_time = 20;                    ///< s, on the recording's clock
  double rate = 10;                         ///< Hz
  Point ball{45, 25};                       ///< x, y on the field
  int direction = 1;
};

/// Five linemen and a passer, all standing: enough for a play.
inline Script five_and_passer(std::string play = "1") {
  Script script;
  script.play = std::move(play);
  script.men = {offense("QB", stands(0, 5)),  offense("LT", stands(-3.2, 0.8)), offense("LG", stands(-1.6, 0.5)),
                offense("C", stands(0, 0.3)), offense("RG", stands(1.6, 0.5)),  offense("RT", stands(3.2, 0.8))};
  return script;
}

/// The three input tables of scripted plays: corner origin, yards, y up. Columns may be tampered with before use.
struct Input {
  std::vector<std::string> plays, players;
  std::vector<std::int32_t> track_play, track_player, snap_play, person_player;
  std::vector<double> time, x, y, vx, vy;
  std::vector<double> ball_x, ball_y, direction, snap_time, throw_time, end_time;
  std::vector<Unit> unit;
  std::vector<std::string> position;
  std::vector<Role> role;
  Placement placement;
  std::int32_t ball = no_code;

  explicit Input(const std::vector<Script>& scripts) {
    for (const Script& script : scripts) add(script);
  }
  explicit Input(const Script& script) { add(script); }

  std::int32_t player(const std::string& name) const {
    return static_cast<std::int32_t>(std::find(players.begin(), players.end(), name) - players.begin());
  }

  GameInput input() const {
    GameInput game;
    game.name = "invented";
    game.plays = plays;
    game.players = players;
    game.placement = placement;
    game.tracks = {track_play, track_player, time, x, y, vx, vy, {}, {}, {}};
    game.snaps = {snap_play, ball_x, ball_y, direction, snap_time, throw_time, end_time, {}};
    game.people = {person_player, {}, unit, position, role};
    game.ball = ball;
    return game;
  }
  Game game(Orientation orientation = Orientation::check) const { return make_game(input(), orientation); }

 private:
  void add(const Script& script) {
    const auto play = static_cast<std::int32_t>(plays.size());
    plays.push_back(script.play);
    snap_play.push_back(play);
    ball_x.push_back(script.ball.x());
    ball_y.push_back(script.ball.y());
    direction.push_back(script.direction);
    snap_time.push_back(script.snap_time);
    throw_time.push_back(script.snap_time + script.throw_time);
    end_time.push_back(script.snap_time + script.end_time);
    for (const Actor& actor : script.men) {
      std::int32_t code = player(actor.name);
      if (code == static_cast<std::int32_t>(players.size())) {
        players.push_back(actor.name);
        person_player.push_back(code);
        unit.push_back(actor.unit);
        position.push_back(actor.position);
        role.push_back(actor.role);
      }
      const auto first = std::lround(actor.from * script.rate), last = std::lround(actor.to * script.rate);
      for (long sample = first; sample <= last; ++sample) {
        const double since = static_cast<double>(sample) / script.rate;
        const Point at = actor.path(since);
        track_play.push_back(play);
        track_player.push_back(code);
        time.push_back(script.snap_time + since);
        x.push_back(script.ball.x() - script.direction * at.y());
        y.push_back(script.ball.y() - script.direction * at.x());
      }
    }
  }
};

/// The first measured play of a game, ready.
inline ReadyPlay ready(const Game& game) {
  return prepare(game, Roster(game.people, game.players.size()), game.snaps[game.measured().at(0)]);
}

inline const Man& man_called(const Game& game, const Play& play, std::string_view name) {
  return *std::find_if(play.men.begin(), play.men.end(),
                       [&](const Man& man) { return game.players[static_cast<std::size_t>(man.player)] == name; });
}

}  // namespace shortedge::scenes
