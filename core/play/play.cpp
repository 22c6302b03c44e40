#include "play/play.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/error.hpp"
#include "base/tolerances.hpp"
#include "base/units.hpp"
#include "play/roles.hpp"
#include "play/sides.hpp"
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

/// Calls make(times) for the first man and whenever a man's times differ from those of the man before, then
/// use(man): most systems stamp all men alike, and what follows from the times alone is then made once. Men for whom
/// `wanted` is false are passed over.
template <class Wanted, class Make, class Use>
void by_clock(std::span<const Samples> samples, Wanted&& wanted, Make&& make, Use&& use) {
  const std::vector<double>* made = nullptr;
  for (std::size_t man = 0; man < samples.size(); ++man) {
    if (!wanted(man)) continue;
    if (!made || *made != samples[man].time) make(*(made = &samples[man].time));
    use(man);
  }
}

constexpr auto everybody = [](std::size_t) { return true; };

}  // namespace

RawPlay take_play(const Game& game, const Roster& roster, const Snap& snap) {
  const Tracks& tracks = game.tracks;
  RawPlay raw;
  raw.play.play = snap.play;
  const auto code = static_cast<std::size_t>(snap.play);
  double last = -infinity;
  for (std::size_t row = tracks.begin[code], next; row < tracks.begin[code + 1]; row = next) {
    const std::int32_t player = tracks.player[row];
    for (next = row + 1; next < tracks.begin[code + 1] && tracks.player[next] == player;) ++next;
    const Person& person = *roster.find(snap.play, player);
    raw.play.men.push_back({person.player, person.unit, position_of(person.position), person.role});
    Samples& samples = raw.samples.emplace_back();
    samples.time.reserve(next - row);
    samples.place.reserve(next - row);
    if (tracks.has_velocity()) samples.velocity.reserve(next - row);
    for (std::size_t i = row; i < next; ++i) {
      samples.time.push_back(tracks.time[i] - snap.snap_time);
      samples.place.emplace_back(snap.direction * (snap.ball_y - tracks.y[i]),
                                 snap.direction * (snap.ball_x - tracks.x[i]));
      if (tracks.has_errors()) {  // u goes with y, v with x; two turned signs are none
        const double across = tracks.sd_y[i], along = tracks.sd_x[i], together = tracks.corr_xy[i] * across * along;
        samples.error.emplace_back(Eigen::Matrix2d{{across * across, together}, {together, along * along}});
      }
      if (!tracks.has_velocity()) continue;
      samples.velocity.emplace_back(-snap.direction * tracks.vy[i], -snap.direction * tracks.vx[i]);
    }
    last = std::max(last, samples.time.back());
  }
  Play& play = raw.play;
  play.film_time = snap.film_time;
  play.ball_across = snap.direction * (field_width / 2 - snap.ball_y);
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
  std::vector<Mix> mixes;
  by_clock(
      samples, everybody, [&](const std::vector<double>& times) { mixes = mix_samples(play.time, times); },
      [&](std::size_t man) {
        for (std::size_t frame = 0; frame < play.frames(); ++frame) {
          motion.place[frame * motion.men + man] = mixed(mixes[frame], samples[man].place);
        }
      });
  return motion;
}

namespace {

template <class Wanted>
void add_velocities_of(const Play& play, std::span<const Samples> samples, Wanted&& wanted, Motion& motion) {
  std::vector<Mix> mixes;
  std::optional<VelocityFit> fit;
  std::vector<Point> fitted;
  const auto make = [&](const std::vector<double>& times) {
    mixes = mix_samples(play.time, times);
    fit.reset();
  };
  by_clock(samples, wanted, make, [&](std::size_t man) {
    const Samples& own = samples[man];
    if (own.velocity.empty()) {
      if (!fit) fit.emplace(own.time);
      fit->apply(own.place, fitted);
    }
    const std::vector<Point>& velocity = own.velocity.empty() ? fitted : own.velocity;
    for (std::size_t frame = 0; frame < play.frames(); ++frame) {
      Point value = mixed(mixes[frame], velocity);
      if (std::isnan(value.x()) || std::isnan(value.y())) value = absent();
      motion.velocity[frame * motion.men + man] = value;
    }
  });
}

}  // namespace

void add_velocities(const Play& play, std::span<const Samples> samples, Motion& motion) {
  const auto wanted = [&](std::size_t man) {
    const Role role = play.men[man].role;
    return role == Role::passer || role == Role::protector || role == Role::rusher;
  };
  add_velocities_of(play, samples, wanted, motion);
}

void add_passer_velocity(const Play& play, std::span<const Samples> samples, Motion& motion) {
  add_velocities_of(play, samples, [&](std::size_t man) { return man == play.passer; }, motion);
}

ReadyPlay prepare(const Game& game, const Roster& roster, const Snap& snap) {
  RawPlay raw = take_play(game, roster, snap);
  if (raw.play.time.empty()) throw InputError("no snap in range: no sample between snap and end");
  ReadyPlay ready;
  ready.motion = place_men(raw.play, raw.samples);
  find_roles(raw.play, ready.motion);
  find_sides(raw.play, ready.motion);
  add_passer_velocity(raw.play, raw.samples, ready.motion);
  find_comings(raw.play, ready.motion);
  add_velocities(raw.play, raw.samples, ready.motion);
  ready.play = std::move(raw.play);
  ready.samples = std::move(raw.samples);
  std::size_t gaps = 0;
  by_clock(
      ready.samples, everybody,
      [&](const std::vector<double>& times) {
        const std::vector<Mix> mixes = mix_samples(ready.play.time, times);
        gaps = static_cast<std::size_t>(
            std::count_if(mixes.begin(), mixes.end(), [](const Mix& mix) { return mix.filled(); }));
      },
      [&](std::size_t) { ready.filled += gaps; });
  return ready;
}

}  // namespace shortedge
