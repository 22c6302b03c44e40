#include "study/speeds.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "base/tolerances.hpp"
#include "play/span.hpp"
#include "reps/technique.hpp"

namespace shortedge {

namespace {

constexpr double at_rest = 1.0;        // yd/s, below it a man has not gone yet: half a second smears his start
constexpr double lead = 0.2;           // s before that
constexpr double settle = 0.1;         // s before his greatest speed, which half a second blurs into his braking
constexpr double clear_heading = 2.0;  // yd/s, above it the direction of motion is his
constexpr double most_turn = 45.0;     // degrees
constexpr double shortest_run = 0.4;   // s
constexpr double slowest_run = 2.5;    // yd/s
constexpr double fastest_kick = 3.3;   // yd/s (from memory, no source)
constexpr double plateau = 0.8;        // share of the greatest speed
constexpr double shortest_set = 0.5;   // s
constexpr double least_back = 1.0;     // yd

// high / low of the widest interval that still says something.
constexpr double useful_top_speed = 1.2, useful_tau = 1.6, useful_kick = 1.5;

/// Frames begin to end, and the one from which he moves.
struct Stretch {
  std::size_t begin, moves, end;
};

class Runner {
 public:
  Runner(const Play& play, const Motion& motion, std::size_t man) : play_(play), motion_(motion), man_(man) {}

  double speed(std::size_t frame) const { return motion_.speed(frame, man_).norm(); }
  double seconds(const Stretch& stretch) const { return play_.time[stretch.end] - play_.time[stretch.moves]; }
  double back(const Stretch& stretch) const {
    return motion_.at(stretch.end, man_).y() - motion_.at(stretch.begin, man_).y();
  }

  /// The first of `frames` frames with one of `others` within `range`, or with his speed above `limit`.
  std::size_t free_until(const std::vector<std::size_t>& others, double range, double limit, std::size_t frames) const {
    for (std::size_t frame = 0; frame < frames; ++frame) {
      const bool met = std::any_of(others.begin(), others.end(), [&](std::size_t other) {
        return distance(motion_.at(frame, man_), motion_.at(frame, other)) <= range;
      });
      if (met || speed(frame) > limit) return frame;
    }
    return frames;
  }

  /// From rest to the greatest speed of the first `frames` frames.
  std::optional<Stretch> from_rest(std::size_t frames) const {
    std::size_t fastest = frames;
    for (std::size_t frame = 0; frame < frames; ++frame) {
      if (!std::isnan(speed(frame)) && (fastest == frames || speed(frame) > speed(fastest))) fastest = frame;
    }
    if (fastest == frames) return {};
    std::size_t moves = fastest + 1;
    while (moves > 0 && !(speed(moves - 1) < at_rest)) --moves;
    if (moves == 0 || moves > fastest) return {};  // on the move already at the first frame, or never
    --moves;
    std::size_t begin = moves;
    while (begin > 0 && play_.time[begin - 1] >= play_.time[moves] - lead - tolerance::time) --begin;
    return Stretch{begin, moves, fastest};
  }

  std::size_t before_braking(const Stretch& stretch) const {
    std::size_t frame = stretch.end;
    while (frame > stretch.begin && play_.time[frame] > play_.time[stretch.end] - settle + tolerance::time) --frame;
    return frame;
  }

  bool seen(const Stretch& stretch) const {
    for (std::size_t frame = stretch.begin; frame <= stretch.end; ++frame) {
      if (!present(motion_.at(frame, man_)) || std::isnan(speed(frame))) return false;
    }
    return true;
  }

  std::size_t first_heading(const Stretch& stretch) const {
    std::size_t frame = stretch.begin;
    while (frame < stretch.end && speed(frame) < clear_heading) ++frame;
    return frame;
  }

  /// The last frame before he has turned from his first heading.
  std::size_t before_turn(const Stretch& stretch) const {
    const std::size_t first = first_heading(stretch);
    const Point heading = motion_.speed(first, man_).normalized();
    const double least = std::cos(radians(most_turn));
    std::size_t frame = first;
    while (frame < stretch.end && motion_.speed(frame + 1, man_).normalized().dot(heading) >= least) ++frame;
    return frame;
  }

  TimedRun run(const Stretch& stretch) const {
    const Point first = motion_.speed(first_heading(stretch), man_).normalized();
    const auto heading = [&](std::size_t frame) -> Point {
      return speed(frame) >= clear_heading ? motion_.speed(frame, man_).normalized() : first;
    };
    TimedRun run{{play_.time[stretch.begin]}, {0}};
    for (std::size_t frame = stretch.begin + 1; frame <= stretch.end; ++frame) {
      const Point step = motion_.at(frame, man_) - motion_.at(frame - 1, man_);
      const Point direction = heading(frame - 1) + heading(frame);
      run.time.push_back(play_.time[frame]);
      run.way.push_back(run.way.back() + step.dot(direction.normalized()));
    }
    return run;
  }

 private:
  const Play& play_;
  const Motion& motion_;
  const std::size_t man_;
};

/// One man's run of one play, if he has one.
struct Kept {
  std::int32_t player;
  Duty duty;
  bool inside;
  std::optional<TimedRun> run;
};

/// Runs as over_plays gathers them.
struct Gathered {
  struct List {
    std::vector<Kept> kept;
    template <class T, class Visit>
    static void for_each(T& list, Visit&& visit) {
      visit(0, list.kept);
    }
  } list;
  template <class T, class Visit>
  static void for_each(T& tables, Visit&& visit) {
    visit(tables.list);
  }
};

bool is_inside(Technique technique) {
  switch (technique) {
    case Technique::t0:
    case Technique::t1:
    case Technique::t2:
    case Technique::t2i:
    case Technique::t3:
    case Technique::t4:
    case Technique::t4i: return true;
    default: return false;
  }
}

void gather(const ReadyPlay& ready, const Rules& rules, std::vector<Kept>& kept) {
  const Play& play = ready.play;
  for (const std::size_t man : play.rushers) {
    kept.push_back({play.men[man].player, Duty::rusher, is_inside(aligned(play, ready.motion, man).technique),
                    free_run(play, ready.motion, rules, man)});
  }
  for (const std::size_t man : play.protectors) {
    kept.push_back({play.men[man].player, Duty::protector, false,
                    play.men[man].is_lineman() ? set_run(play, ready.motion, rules, man) : std::nullopt});
  }
}

bool useful(const Estimate& estimate, double most) { return estimate.high < most * estimate.low; }

/// A speed a man can run.
bool human(const Estimate& speed) { return speed.value <= fastest_man; }

/// What one man did in the whole game.
struct Work {
  std::vector<TimedRun> runs;
  std::size_t plays = 0, inside = 0;
};

SpeedsTable::Row rusher_row(const Work& work) {
  SpeedsTable::Row row;
  row.top_speed = 2 * work.inside > work.plays ? default_speeds.inside : default_speeds.end;
  row.tau = default_speeds.tau;
  RunsFit fit = fit_runs(work.runs);
  row.tau_fitted = useful(fit.vmax, useful_top_speed) && useful(fit.tau, useful_tau) && human(fit.vmax);
  if (!row.tau_fitted) fit = fit_runs(work.runs, default_speeds.tau);
  row.top_speed_fitted = useful(fit.vmax, useful_top_speed) && human(fit.vmax);
  if (row.tau_fitted) {
    row.tau = fit.tau.value;
    row.tau_low = fit.tau.low;
    row.tau_high = fit.tau.high;
  }
  if (row.top_speed_fitted) {
    row.top_speed = fit.vmax.value;
    row.top_speed_low = fit.vmax.low;
    row.top_speed_high = fit.vmax.high;
  }
  return row;
}

SpeedsTable::Row protector_row(const Work& work) {
  SpeedsTable::Row row;
  row.top_speed = default_speeds.protector;
  row.tau = default_speeds.tau;
  row.kick_speed = default_speeds.kick;
  const Estimate kick = fit_runs(work.runs, default_speeds.kick_tau).vmax;
  row.kick_speed_fitted = useful(kick, useful_kick) && human(kick);
  if (row.kick_speed_fitted) {
    row.kick_speed = kick.value;
    row.kick_speed_low = kick.low;
    row.kick_speed_high = kick.high;
  }
  return row;
}

}  // namespace

std::optional<TimedRun> free_run(const Play& play, const Motion& motion, const Rules& rules, std::size_t rusher) {
  const Runner runner(play, motion, rusher);
  std::vector<std::size_t> offense = play.offense;
  offense.push_back(play.passer);
  const std::size_t frames = runner.free_until(offense, rules.engage, infinity, rep_span(play, motion).frames);
  std::optional<Stretch> stretch = runner.from_rest(frames);
  if (!stretch || !runner.seen(*stretch)) return {};
  stretch->end = runner.before_braking(*stretch);
  stretch->end = runner.before_turn(*stretch);
  if (runner.seconds(*stretch) < shortest_run - tolerance::time || runner.speed(stretch->end) < slowest_run) return {};
  return runner.run(*stretch);
}

std::optional<TimedRun> set_run(const Play& play, const Motion& motion, const Rules& rules, std::size_t lineman) {
  const Runner runner(play, motion, lineman);
  const std::size_t frames = runner.free_until(play.rushers, rules.engage, fastest_kick, rep_span(play, motion).frames);
  std::optional<Stretch> stretch = runner.from_rest(frames);
  if (!stretch) return {};
  const double kept = plateau * runner.speed(stretch->end);
  while (stretch->end + 1 < frames && runner.speed(stretch->end + 1) >= kept) ++stretch->end;
  if (!runner.seen(*stretch) || runner.seconds(*stretch) < shortest_set - tolerance::time) return {};
  if (runner.back(*stretch) < least_back) return {};
  return runner.run(*stretch);
}

Speeds fit_speeds(const Game& game, const Rules& rules, unsigned threads, const Progress& progress) {
  rules.validate();
  const Gathered gathered = over_plays<Gathered>(
      game, threads, progress,
      [&](const ReadyPlay& ready, std::size_t, Gathered& part) { gather(ready, rules, part.list.kept); });
  std::map<std::pair<Duty, std::int32_t>, Work> men;
  for (const Kept& kept : gathered.list.kept) {
    Work& work = men[{kept.duty, kept.player}];
    ++work.plays;
    work.inside += kept.inside;
    if (kept.run) work.runs.push_back(*kept.run);
  }
  Speeds out;
  for (const auto& [who, work] : men) {
    SpeedsTable::Row row = who.first == Duty::rusher ? rusher_row(work) : protector_row(work);
    row.duty = code(who.first);
    row.player = who.second;
    row.runs = static_cast<std::int32_t>(work.runs.size());
    out.speeds.add(row);
  }
  return out;
}

}  // namespace shortedge
