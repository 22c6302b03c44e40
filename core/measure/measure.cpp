#include "measure/measure.hpp"

#include <algorithm>
#include <array>
#include <atomic>
#include <chrono>
#include <cmath>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <thread>

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
  PlayMeasurer(const Play& play, const Motion& motion, const Rules& rules, Tables& tables)
      : play_(play), motion_(motion), rules_(rules), tables_(tables) {}

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

 private:
  std::int32_t code(std::size_t man) const { return play_.men[man].player; }

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

    RushersTable& rows = tables_.rushers;
    rows.play.push_back(play_.play);
    rows.time.push_back(time_);
    rows.rusher.push_back(code(rusher.man));
    rows.distance.push_back(range);
    rows.bearing.push_back(bearing(scene_.passer, rusher.at));
    rows.closing.push_back(closing);
    rows.approach_angle.push_back(
        speed >= tolerance::least_speed && range > 0
            ? degrees(std::atan2(std::abs(cross(rusher.velocity, to_passer)), rusher.velocity.dot(to_passer)))
            : nan);
    rows.closest.push_back(closest.distance);
    rows.closest_in.push_back(closest.in);
    rows.blocker.push_back(blocking.blocker ? code(blocking.blocker->man) : no_code);
    rows.blocker_range.push_back(blocking.range);
    rows.engaged.push_back(blocking.engaged);
    rows.helpers.push_back(blocking.helpers);
    rows.cutoff_ratio.push_back(look.cutoff_ratio);
    rows.corner_held.push_back(look.corner_held);
    rows.short_edge.push_back(look.short_edge);
    rows.outside_time.push_back(look.ways.outside_time);
    rows.outside_bend.push_back(look.ways.outside_bend);
    rows.outside_exposure.push_back(look.outside_exposure);
    rows.inside_time.push_back(look.ways.inside_time);
    rows.inside_exposure.push_back(look.inside_exposure);
    rows.path_length.push_back(path);
    rows.slack.push_back(path - range);
    rows.lane.push_back(static_cast<std::int8_t>(lane.lane));
    rows.lane_side.push_back(static_cast<std::int8_t>(lane.side));
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
    FramesTable& rows = tables_.frames;
    rows.play.push_back(play_.play);
    rows.time.push_back(time_);
    rows.status.push_back(static_cast<std::int8_t>(status));
    rows.passer_depth.push_back(scene_.passer.y());
    rows.pocket_width.push_back(ok ? wall_.u_max() - wall_.u_min() : nan);
    rows.wall_left.push_back(ok ? code(wall_.men[wall_.left].standing.man) : no_code);
    rows.wall_right.push_back(ok ? code(wall_.men[wall_.right].standing.man) : no_code);
    rows.pocket_depth.push_back(ok ? pocket_depth(pocket_, scene_.passer) : nan);
    rows.pocket_area.push_back(ok ? area(pocket_.ring) : nan);
    rows.passer_room.push_back(ok ? passer_room(pocket_, scene_) : nan);
    rows.nearest_rusher.push_back(seen ? nearest : nan);
    rows.exposure_left.push_back(ok ? add_edge(-1) : nan);
    rows.exposure_inside.push_back(ok ? inside : nan);
    rows.exposure_right.push_back(ok ? add_edge(1) : nan);
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

    EdgesTable& rows = tables_.edges;
    rows.play.push_back(play_.play);
    rows.time.push_back(time_);
    rows.side.push_back(static_cast<std::int8_t>(side_of(side)));
    rows.edge_man.push_back(code(man.man));
    rows.rusher.push_back(rusher ? code(rusher->rusher.man) : no_code);
    rows.edge_width.push_back(out + rules_.reach);
    rows.edge_given.push_back(stood - out);
    rows.drift.push_back((passer.x() - first_u_) * side);
    rows.corner_held.push_back(rusher ? rusher->corner_held : nan);
    rows.short_edge.push_back(rusher ? rusher->short_edge : 0);
    rows.outside_time.push_back(rusher ? rusher->ways.outside_time : infinity);
    rows.exposure.push_back(rusher ? rusher->outside_exposure : 0);
    rows.engaged.push_back(rusher && rusher->blocking.engaged);
    rows.helpers.push_back(rusher ? rusher->blocking.helpers : 0);
    return rows.exposure.back();
  }

  const Play& play_;
  const Motion& motion_;
  const Rules& rules_;
  Tables& tables_;

  double time_ = nan;
  double first_u_ = nan;                             // where the passer was first seen
  std::array<double, 2> line_stood_{nan, nan};       // left, right: how far out the end stood at the first ok frame
  Scene scene_;
  Wall wall_;
  Pocket pocket_;
  std::vector<RusherLook> looks_;
  std::vector<Disc> discs_;
  TautSearch taut_;
};

template <class Table>
void append(Table& to, const Table& from) {
  std::array<const void*, Table::columns.size()> columns{};
  std::size_t k = 0;
  Table::for_each(from, [&](const ColumnInfo&, const auto& values) { columns[k++] = &values; });
  k = 0;
  Table::for_each(to, [&](const ColumnInfo&, auto& values) {
    const auto& more = *static_cast<const std::remove_reference_t<decltype(values)>*>(columns[k++]);
    values.insert(values.end(), more.begin(), more.end());
  });
}

}  // namespace

void measure(const Play& play, const Motion& motion, const Rules& rules, Tables& tables) {
  PlayMeasurer measurer(play, motion, rules, tables);
  for (std::size_t frame = 0; frame < play.frames(); ++frame) measurer.frame(frame);
}

Tables measure_game(const Game& game, const Rules& rules, unsigned threads,
                    const std::function<bool(std::size_t, std::size_t)>& progress) {
  rules.validate();
  const std::vector<std::size_t> plays = game.measured();
  const Roster roster(game.people, game.players.size());
  constexpr std::size_t batch = 8;  // plays a thread takes at a time
  std::vector<Tables> parts((plays.size() + batch - 1) / batch);
  std::atomic<std::size_t> next{0}, done{0};
  std::atomic<bool> stopped{false};
  std::exception_ptr failure;
  std::mutex lock;
  std::condition_variable ended;

  const auto work = [&] {
    try {
      for (std::size_t part; !stopped && (part = next++) < parts.size();) {
        for (std::size_t i = part * batch; i < std::min(plays.size(), (part + 1) * batch); ++i) {
          const ReadyPlay ready = prepare(game, roster, game.snaps[plays[i]]);
          measure(ready.play, ready.motion, rules, parts[part]);
          ++done;
        }
      }
    } catch (...) {
      const std::lock_guard held(lock);
      if (!failure) failure = std::current_exception();
      stopped = true;
    }
    ended.notify_one();
  };
  {
    const unsigned wanted = threads ? threads : std::max(1u, std::thread::hardware_concurrency());
    std::vector<std::jthread> workers;
    for (std::size_t i = 0; i < std::min<std::size_t>(wanted, parts.size()); ++i) workers.emplace_back(work);
    std::unique_lock held(lock);
    while (progress && !ended.wait_for(held, std::chrono::milliseconds(50), [&] { return stopped || done == plays.size(); })) {
      held.unlock();
      if (!progress(done, plays.size())) stopped = true;
      held.lock();
    }
  }
  if (failure) std::rethrow_exception(failure);
  Tables tables;
  if (stopped) return tables;
  for (const Tables& part : parts) {
    append(tables.frames, part.frames);
    append(tables.edges, part.edges);
    append(tables.rushers, part.rushers);
  }
  return tables;
}

}  // namespace shortedge
