#include "measure/measure.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/tolerances.hpp"
#include "geometry/taut_path.hpp"
#include "match/seen.hpp"
#include "measure/before.hpp"
#include "measure/edges.hpp"
#include "measure/lane.hpp"
#include "rush/closest.hpp"
#include "rush/corner.hpp"
#include "rush/cutoff.hpp"

namespace shortedge {

namespace {

/// What is seen of a frame before anything is asked of its rushers.
struct Survey {
  double time = nan;
  Scene scene;
  Wall wall;
  Pocket pocket;
  Status status = Status::missing;
  std::size_t first = 0, count = 0;  // its rushers in Workspace::looks
};

/// Memory that is kept from play to play, so that frames ask for none.
struct Workspace {
  static constexpr std::size_t frames_at_once = 8;

  std::array<Survey, frames_at_once> surveys;
  std::vector<RusherLook> looks;  // of all their rushers
  std::vector<Rush> rushes;
  std::vector<Ways> ways;
  std::vector<Disc> discs;
  std::vector<TautSearch::String> strings;
  std::vector<double> path_lengths;
  TautSearch taut;
  Room room;
  std::vector<FramesTable::Row> frame_rows;
  std::vector<EdgesTable::Row> edge_rows;
  std::vector<RushersTable::Row> rusher_rows;
};

class PlayMeasurer {
 public:
  PlayMeasurer(const Play& play, const Motion& motion, const Match& match, const Before& before, const Rules& rules,
               bool all, Workspace& work)
      : play_(play),
        motion_(motion),
        match_(match),
        rules_(rules),
        all_(all),
        sides_(before.sides),
        first_u_(before.first_u),
        line_stood_(before.line_stood),
        work_(work) {
    work_.frame_rows.clear();
    work_.edge_rows.clear();
    work_.rusher_rows.clear();
    work_.frame_rows.reserve(play.frames());
    work_.edge_rows.reserve(2 * play.frames());
    work_.rusher_rows.reserve(play.rushers.size() * play.frames());
  }

  /// Frames are measured some at a time, so that what is asked of their rushers is asked together.
  void frames(std::size_t begin, std::size_t end) {
    work_.looks.clear();
    for (Survey& seen : work_.surveys) seen.first = seen.count = 0;
    for (std::size_t frame = begin; frame < end; ++frame) survey(frame, work_.surveys[frame - begin]);
    go_round();
    if (all_) pull_taut();
    for (std::size_t k = 0; k < end - begin; ++k) add_frame(work_.surveys[k]);
  }

  void finish(Tables& tables) const {
    tables.frames.add(work_.frame_rows);
    tables.edges.add(work_.edge_rows);
    tables.rushers.add(work_.rusher_rows);
  }

 private:
  std::int32_t player(std::size_t man) const { return play_.men[man].player; }

  void survey(std::size_t frame, Survey& seen) {
    seen.time = play_.time[frame];
    seen.first = work_.looks.size();
    seen.count = 0;
    look(play_, motion_, frame, seen.scene);
    seen.status = Status::missing;
    if (!present(seen.scene.passer)) return;
    if (std::isnan(first_u_)) first_u_ = seen.scene.passer.x();
    find_wall(seen.scene, rules_, seen.wall);
    shape_pocket(seen.scene, seen.wall, rules_.cushion, seen.pocket);
    seen.status = status_of(seen.scene, seen.wall, seen.pocket, first_u_);
    seen.count = seen.scene.rushers.size();
    for (const Rushing& rusher : seen.scene.rushers) {
      RusherLook& look = work_.looks.emplace_back();
      look.rusher = rusher;
      look.blocking = see_rusher(play_, motion_, match_, frame, seen.scene, rusher, rules_, sides_[rusher.index]);
      Placed& placed = look.blocking.placed;
      const Point &at = rusher.at, &passer = seen.scene.passer;
      if (look.blocking.free) placed.outside = outside_the_wall(seen.wall, at, passer, placed.side);
      if (!look.blocking.blocker) continue;
      const Point& blocker = look.blocking.blocker->at;
      look.cutoff_ratio = cutoff_ratio(at, blocker, passer);
      look.corner_held = corner_held(at, blocker, passer, placed, rules_.reach);
      look.short_edge = short_edge(look.corner_held, rules_.reach);
    }
  }

  /// The ways of all rushers of the frames.
  void go_round() {
    work_.rushes.clear();
    for (const Survey& seen : work_.surveys) {
      for (const RusherLook& look : looks_of(seen)) {
        if (!has_ways(look.blocking)) continue;
        work_.rushes.push_back(rush_of(look.rusher, look.blocking, seen.scene.passer));
      }
    }
    work_.ways.resize(work_.rushes.size());
    ways_round(work_.rushes, rules_, work_.ways);
    auto ways = work_.ways.begin();
    for (RusherLook& look : work_.looks) {
      if (!has_ways(look.blocking)) continue;
      look.ways = *ways++;
      look.outside_exposure = exposure(look.ways.outside_time, rules_);
      look.inside_exposure = exposure(look.ways.inside_time, rules_);
    }
  }

  /// Their shortest ways among all protectors.
  void pull_taut() {
    work_.discs.clear();
    for (const Survey& seen : work_.surveys) {
      for (const RusherLook& look : looks_of(seen)) {
        const std::optional<Standing>& blocker = look.blocking.blocker;
        for (const Standing& man : seen.scene.protectors) {
          work_.discs.push_back({man.at, blocker && blocker->man == man.man ? rules_.reach : rules_.body});
        }
      }
    }
    work_.strings.clear();
    std::span<const Disc> discs(work_.discs);
    for (const Survey& seen : work_.surveys) {
      const std::size_t protectors = seen.scene.protectors.size();
      for (const RusherLook& look : looks_of(seen)) {
        work_.strings.push_back({look.rusher.at, seen.scene.passer, discs.first(protectors)});
        discs = discs.subspan(protectors);
      }
    }
    work_.path_lengths.resize(work_.strings.size());
    work_.taut.lengths(work_.strings, work_.path_lengths);
    auto path = work_.path_lengths.begin();
    for (RusherLook& look : work_.looks) look.path_length = *path++;
  }

  std::span<const RusherLook> looks_of(const Survey& seen) const {
    return std::span(work_.looks).subspan(seen.first, seen.count);
  }

  void add_rusher(const Survey& seen, const RusherLook& look) {
    const Rushing& rusher = look.rusher;
    const Point& passer = seen.scene.passer;
    const Point to_passer = passer - rusher.at;
    const double range = to_passer.norm(), speed = rusher.velocity.norm();
    const double closing = range > 0 ? rusher.velocity.dot(to_passer) / range : nan;
    const Closest closest = closest_approach(-to_passer, rusher.velocity - seen.scene.passer_velocity);
    const LaneAt lane = seen.status == Status::ok ? find_lane(seen.pocket, seen.wall, passer, rusher.at) : LaneAt{};
    const Blocking& blocking = look.blocking;

    RushersTable::Row& row = work_.rusher_rows.emplace_back();
    row.play = play_.play;
    row.time = seen.time;
    row.rusher = player(rusher.man);
    row.distance = range;
    row.bearing = bearing(passer, rusher.at);
    row.closing = closing;
    row.approach_angle =
        speed >= tolerance::least_speed && range > 0
            ? degrees(std::atan2(std::abs(cross(rusher.velocity, to_passer)), rusher.velocity.dot(to_passer)))
            : nan;
    row.closest = closest.distance;
    row.closest_in = closest.in;
    row.blocker = blocking.blocker ? player(blocking.blocker->man) : no_code;
    row.blocker_range = blocking.range;
    row.engaged = blocking.engaged;
    row.helpers = blocking.helpers;
    row.cutoff_ratio = look.cutoff_ratio;
    row.corner_held = look.corner_held;
    row.short_edge = look.short_edge;
    row.outside_time = look.ways.outside_time;
    row.outside_bend = look.ways.outside_bend;
    row.outside_exposure = look.outside_exposure;
    row.inside_time = look.ways.inside_time;
    row.inside_exposure = look.inside_exposure;
    row.path_length = look.path_length;
    row.slack = look.path_length - range;
    row.lane = code(lane.lane);
    row.lane_side = code(lane.side);
  }

  void add_frame(const Survey& seen) {
    const std::span<const RusherLook> looks = looks_of(seen);
    for (const RusherLook& look : looks) add_rusher(seen, look);
    FramesTable::Row& row = work_.frame_rows.emplace_back();
    row.play = play_.play;
    row.time = seen.time;
    row.status = code(seen.status);
    if (seen.status == Status::missing) return;
    const Point& passer = seen.scene.passer;
    double nearest = infinity, inside = 0;
    for (const RusherLook& look : looks) {
      nearest = std::min(nearest, distance(look.rusher.at, passer));
      inside = std::fmax(inside, look.inside_exposure);
    }
    row.passer_depth = passer.y();
    row.nearest_rusher = nearest;
    if (seen.status != Status::ok) return;
    const Wall& wall = seen.wall;
    row.pocket_width = wall.u_max() - wall.u_min();
    row.wall_left = player(wall.men[wall.left].standing.man);
    row.wall_right = player(wall.men[wall.right].standing.man);
    row.pocket_depth = pocket_depth(seen.pocket, passer);
    if (all_) {
      row.pocket_area = area(seen.pocket.ring);
      row.passer_room = passer_room(seen.pocket, seen.scene, work_.room);
    }
    row.exposure_left = add_edge(seen, -1);
    row.exposure_inside = inside;
    row.exposure_right = add_edge(seen, 1);
  }

  /// Adds one side's row and returns its exposure.
  double add_edge(const Survey& seen, int side) {
    const Wall& wall = seen.wall;
    const Point& passer = seen.scene.passer;
    double& stood = line_stood_[side > 0];
    if (std::isnan(stood)) stood = (side < 0 ? wall.u_min() : wall.u_max()) * side;
    const std::span<const RusherLook> looks = looks_of(seen);
    const Edge edge = find_edge(wall, looks, side, rules_.takeover);
    const RusherLook* rusher = edge.rusher ? &looks[*edge.rusher] : nullptr;
    const Standing& man = edge.edge_man;
    const double out = (man.at.x() - passer.x()) * side;

    EdgesTable::Row& row = work_.edge_rows.emplace_back();
    row.play = play_.play;
    row.time = seen.time;
    row.side = code(side_of(side));
    row.edge_man = player(man.man);
    row.edge_width = edge_width(man.at, passer, side, rules_.reach);
    row.edge_given = stood - out;
    row.drift = (passer.x() - first_u_) * side;
    row.short_edge = 0;
    row.outside_time = infinity;
    row.exposure = 0;
    if (rusher) {
      row.rusher = player(rusher->rusher.man);
      row.corner_held = rusher->corner_held;
      row.short_edge = rusher->short_edge;
      row.outside_time = rusher->ways.outside_time;
      row.exposure = rusher->outside_exposure;
      row.engaged = rusher->blocking.engaged;
      row.helpers = rusher->blocking.helpers;
    }
    return row.exposure;
  }

  const Play& play_;
  const Motion& motion_;
  const Match& match_;
  const Rules& rules_;
  const bool all_;  // what reps do not read, too
  std::vector<PassedSide> sides_;

  double first_u_;                    // where the passer was first seen
  std::array<double, 2> line_stood_;  // left, right: how far out the end stood at the first ok frame
  Workspace& work_;
};

void measure_play(const Play& play, const Motion& motion, const Match& match, const Before& before, const Rules& rules,
                  bool all, Tables& tables) {
  static thread_local Workspace work;
  PlayMeasurer measurer(play, motion, match, before, rules, all, work);
  constexpr std::size_t step = Workspace::frames_at_once;
  for (std::size_t frame = 0; frame < play.frames(); frame += step) {
    measurer.frames(frame, std::min(frame + step, play.frames()));
  }
  measurer.finish(tables);
}

}  // namespace

void measure(const Play& play, const Motion& motion, const Match& match, const Rules& rules, Tables& tables) {
  measure_play(play, motion, match, nothing_before(play), rules, true, tables);
}

void measure(const Play& play, const Motion& motion, const Match& match, const Before& before, const Rules& rules,
             Tables& tables) {
  measure_play(play, motion, match, before, rules, true, tables);
}

void measure_for_reps(const Play& play, const Motion& motion, const Match& match, const Rules& rules, Tables& tables) {
  measure_play(play, motion, match, nothing_before(play), rules, false, tables);
}

Tables measure_game(const Game& game, const Rules& rules, unsigned threads, const Progress& progress) {
  rules.validate();
  return over_plays<Tables>(game, threads, progress, [&](const ReadyPlay& ready, std::size_t, Tables& tables) {
    measure(ready.play, ready.motion, match_play(ready.play, ready.motion, rules), rules, tables);
  });
}

}  // namespace shortedge
