#include "play/play.hpp"

#include <algorithm>
#include <cmath>

#include "base/error.hpp"
#include "base/tolerances.hpp"
#include "play/roles.hpp"
#include "tracking/clock.hpp"
#include "tracking/velocity.hpp"

namespace shortedge {

namespace {

constexpr double seconds_after_throw = 1.0;  // measured to here when the play states no end

std::vector<double> union_of_times(std::span<const Samples> samples) {
  if (samples.empty()) return {};
  // Most systems stamp all men alike; then the first man's clock is everybody's.
  const std::vector<double>& first = samples.front().time;
  if (std::all_of(samples.begin(), samples.end(), [&](const Samples& man) { return man.time == first; })) {
    return frame_times(first);
  }
  std::vector<double> times;
  for (const Samples& man : samples) times.insert(times.end(), man.time.begin(), man.time.end());
  return frame_times(std::move(times));
}

}  // namespace

RawPlay take_play(const Game& game, const Roster& roster, const Snap& snap) {
  const Tracks& tracks = game.tracks;
  RawPlay raw;
  raw.play.play = snap.play;
  const auto code = static_cast<std::size_t>(snap.play);
  double last = -infinity;
  for (std::size_t row = tracks.begin[code]; row < tracks.begin[code + 1]; ++row) {
    if (raw.play.men.empty() || raw.play.men.back().player != tracks.player[row]) {
      const Person& person = *roster.find(snap.play, tracks.player[row]);
      raw.play.men.push_back({person.player, person.unit, position_of(person.position), person.role});
      raw.samples.emplace_back();
    }
    Samples& samples = raw.samples.back();
    samples.time.push_back(tracks.time[row] - snap.snap_time);
    samples.place.emplace_back(snap.direction * (snap.ball_y - tracks.y[row]), snap.direction * (snap.ball_x - tracks.x[row]));
    if (tracks.has_velocity()) {
      samples.velocity.emplace_back(-snap.direction * tracks.vy[row], -snap.direction * tracks.vx[row]);
    }
    last = std::max(last, samples.time.back());
  }
  Play& play = raw.play;
  play.film_time = snap.film_time;
  play.throw_time = snap.throw_time - snap.snap_time;
  play.end_time = !std::isnan(snap.end_time)     ? snap.end_time - snap.snap_time
                  : !std::isnan(play.throw_time) ? play.throw_time + seconds_after_throw
                                                 : last;
  for (const double time : union_of_times(raw.samples)) {
    if (time >= -tolerance::time && time <= play.end_time + tolerance::time) play.time.push_back(time);
  }
  return raw;
}

Motion place_men(const Play& play, std::span<const Samples> samples) {
  Motion motion;
  motion.men = play.men.size();
  motion.place.assign(play.frames() * motion.men, absent());
  motion.velocity.assign(play.frames() * motion.men, absent());
  for (std::size_t man = 0; man < motion.men; ++man) {
    const std::vector<Mix> mixes = mix_samples(play.time, samples[man].time);
    for (std::size_t frame = 0; frame < play.frames(); ++frame) {
      motion.place[frame * motion.men + man] = mixed(mixes[frame], samples[man].place);
    }
  }
  return motion;
}

void add_velocities(const Play& play, std::span<const Samples> samples, Motion& motion) {
  for (std::size_t man = 0; man < motion.men; ++man) {
    const Role role = play.men[man].role;
    if (role != Role::passer && role != Role::protector && role != Role::rusher) continue;
    const Samples& own = samples[man];
    const std::vector<Point> fitted = own.velocity.empty() ? fit_velocity(own.time, own.place) : std::vector<Point>();
    const std::span<const Point> velocity = own.velocity.empty() ? fitted : own.velocity;
    const std::vector<Mix> mixes = mix_samples(play.time, own.time);
    for (std::size_t frame = 0; frame < play.frames(); ++frame) {
      Point value = mixed(mixes[frame], velocity);
      if (std::isnan(value.x()) || std::isnan(value.y())) value = absent();
      motion.velocity[frame * motion.men + man] = value;
    }
  }
}

ReadyPlay prepare(const Game& game, const Roster& roster, const Snap& snap) {
  RawPlay raw = take_play(game, roster, snap);
  if (raw.play.time.empty()) throw InputError("no snap in range: no sample between snap and end");
  ReadyPlay ready;
  ready.motion = place_men(raw.play, raw.samples);
  find_roles(raw.play, ready.motion);
  add_velocities(raw.play, raw.samples, ready.motion);
  ready.play = std::move(raw.play);
  ready.samples = std::move(raw.samples);
  for (const Samples& man : ready.samples) {
    for (const Mix& mix : mix_samples(ready.play.time, man.time)) ready.filled += mix.filled();
  }
  return ready;
}

}  // namespace shortedge
