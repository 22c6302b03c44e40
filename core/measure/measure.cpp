#include "measure/measure.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/tolerances.hpp"
#include "geometry/taut_path.hpp"
#include "measure/edges.hpp"
#include "measure/lane.hpp"
#include "rush/closest.hpp"
#include "rush/corner.hpp"
#include "rush/cutoff.hpp"

namespace shortedge {

namespace {

class PlayMeasurer {
 public:
  PlayMeasurer(const Play& play, const Motion& motion, const Rules& rules) : play_(play), motion_(motion), rules_(rules) {
    frame_rows_.reserve(play.frames());
    edge_rows_.reserve(2 * play.frames());
    rusher_rows_.reserve(play.rushers.size() * play.frames());
  }

  void frame(std::size_t frame) {
    time_ = play_.time[frame];
    look(play_, motion_, frame, scene_);
    if (!present(scene_.passer)) {
      add_frame(Status::missing);
      return;
    }
    if (std::isnan(first_u_)) first_u_ = scene_.passer.x();
    find_wall(scene_, rules_, wall_);
    shape_pocket(scene_, wall_, rules_.cushion, pocket_);
    const Status status = status_of(scene_, wall_, pocket_, first_u_);
    looks_.clear();
    for (const Rushing& rusher : scene_.rushers) looks_.push_back(look_at(rusher));
    for (const RusherLook& look : looks_) add_rusher(look, status);
    add_frame(status);
  }

  void finish(Tables& tables) const {
    tables.frames.add(frame_rows_);
    tables.edges.add(edge_rows_);
    tables.rushers.add(rusher_rows_);
  }

 private:
  std::int32_t player(std::size_t man) const { return play_.men[man].player; }

  RusherLook look_at(const Rushing& rusher) const {
    RusherLook look;
    look.rusher = rusher;
    look.blocking = find_blocker(scene_, rusher, rules_);
    if (!look.blocking.blocker) return look;
    const Point &at = rusher.at, &blocker = look.blocking.blocker->at, &passer = scene_.passer;
    const int side = look.blocking.side;
    look.ways = ways_round(at, rusher.velocity, blocker, passer, side, rules_);
    look.outside_exposure = exposure(look.ways.outside_time, rules_);
    look.inside_exposure = exposure(look.ways.inside_time, rules_);
    look.cutoff_ratio = cutoff_ratio(at, blocker, passer);
    look.corner_held = corner_held(at, blocker, passer, side, rules_.reach);
    look.short_edge = short_edge(look.corner_held, rules_.reach);
    return look;
  }

  double path_length(const RusherLook& look) {
    discs_.clear();
    for (const Standing& man : scene_.protectors) {
      const bool blocks = look.blocking.blocker->man == man.man;
      discs_.push_back({man.at, blocks ? rules_.reach : rules_.body});
    }
    return taut_.length(look.rusher.at, scene_.passer, discs_);
  }

  void add_rusher(const RusherLook& look, Status status) {
    const Rushing& rusher = look.rusher;
    const Point to_passer = scene_.passer - rusher.at;
    const double range = to_passer.norm(), speed = rusher.velocity.norm();
    const double closing = range > 0 ? rusher.velocity.dot(to_passer) / range : nan;
    const Closest closest = closest_approach(-to_passer, rusher.velocity - scene_.passer_velocity);
    const double path = path_length(look);
    const LaneAt lane = status == Status::ok ? find_lane(pocket_, wall_, scene_.passer, rusher.at) : LaneAt{};
    const Blocking& blocking = look.blocking;

    RushersTable::Row& row = rusher_rows_.emplace_back();
    row.play = play_.play;
    row.time = time_;
    row.rusher = player(rusher.man);
    row.distance = range;
    row.bearing = bearing(scene_.passer, rusher.at);
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
    row.path_length = path;
    row.slack = path - range;
    row.lane = code(lane.lane);
    row.lane_side = code(lane.side);
  }

  void add_frame(Status status) {
    const bool seen = status != Status::missing, ok = status == Status::ok;
    double nearest = infinity, inside = 0;
    if (seen) {
      for (const RusherLook& look : looks_) {
        nearest = std::min(nearest, distance(look.rusher.at, scene_.passer));
        inside = std::fmax(inside, look.inside_exposure);
      }
    }
    FramesTable::Row& row = frame_rows_.emplace_back();
    row.play = play_.play;
    row.time = time_;
    row.status = code(status);
    if (seen) {
      row.passer_depth = scene_.passer.y();
      row.nearest_rusher = nearest;
    }
    if (ok) {
      row.pocket_width = wall_.u_max() - wall_.u_min();
      row.wall_left = player(wall_.men[wall_.left].standing.man);
      row.wall_right = player(wall_.men[wall_.right].standing.man);
      row.pocket_depth = pocket_depth(pocket_, scene_.passer);
      row.pocket_area = area(pocket_.ring);
      row.passer_room = passer_room(pocket_, scene_, room_);
      row.exposure_left = add_edge(-1);
      row.exposure_inside = inside;
      row.exposure_right = add_edge(1);
    }
  }

  /// Adds one side's row and returns its exposure.
  double add_edge(int side) {
    const Point& passer = scene_.passer;
    double& stood = line_stood_[side > 0];
    if (std::isnan(stood)) stood = (side < 0 ? wall_.u_min() : wall_.u_max()) * side;
    const Edge edge = find_edge(wall_, passer, looks_, side, rules_.takeover);
    const RusherLook* rusher = edge.rusher ? &looks_[*edge.rusher] : nullptr;
    const Standing& man = wall_.men[edge.edge_man].standing;
    const double out = (man.at.x() - passer.x()) * side;

    EdgesTable::Row& row = edge_rows_.emplace_back();
    row.play = play_.play;
    row.time = time_;
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
  const Rules& rules_;

  double time_ = nan;
  double first_u_ = nan;                             // where the passer was first seen
  std::array<double, 2> line_stood_{nan, nan};       // left, right: how far out the end stood at the first ok frame
  Scene scene_;
  Wall wall_;
  Pocket pocket_;
  Room room_;
  std::vector<RusherLook> looks_;
  std::vector<Disc> discs_;
  TautSearch taut_;
  std::vector<FramesTable::Row> frame_rows_;
  std::vector<EdgesTable::Row> edge_rows_;
  std::vector<RushersTable::Row> rusher_rows_;
};

}  // namespace

void measure(const Play& play, const Motion& motion, const Rules& rules, Tables& tables) {
  PlayMeasurer measurer(play, motion, rules);
  for (std::size_t frame = 0; frame < play.frames(); ++frame) measurer.frame(frame);
  measurer.finish(tables);
}

Tables measure_game(const Game& game, const Rules& rules, unsigned threads, const Progress& progress) {
  rules.validate();
  return over_plays<Tables>(game, threads, progress, [&](const ReadyPlay& ready, std::size_t, Tables& tables) {
    measure(ready.play, ready.motion, rules, tables);
  });
}

}  // namespace shortedge
