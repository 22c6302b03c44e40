#include "geometry/speed_profile.hpp"

#include <stdexcept>

namespace shortedge {

namespace {

constexpr std::size_t most_pieces = 8;

/// The greatest speed from which the piece can be run when `exit` is the greatest at its end.
template <class Number>
SHORTEDGE_INLINED Number greatest_entry(const Number& length, const Number& cap, const Number& exit, double a_brake) {
  const Number braked2 = exit * exit + 2 * a_brake * length;
  return choose(cap * cap <= braked2, [&] { return cap; }, [&] { return root(braked2); });
}

template <class Number>
SHORTEDGE_INLINED Number braking_distance(const Number& from, const Number& to, double a_brake) {
  return larger(Number(0.0), Number((from - to) * (from + to) / (2 * a_brake)));
}

/// One piece from speed `start`, at most `cap` on it and at most `exit` at its end; start and exit are within the cap,
/// and exit can be reached by braking.
template <class Number>
struct Leg {
  Number length, cap, start, exit;
};

/// How it is run.
template <class Number>
struct Manner {
  MaskOf<Number> holds;  // the cap is reached before braking must begin, and held
  MaskOf<Number> free;   // else: he speeds up all the way, as that does not pass `exit`. Else he brakes in the end
  RunOf<Number> held;    // the run, where the cap is held
};

template <class Number>
SHORTEDGE_INLINED Manner<Number> manner(const Leg<Number>& leg, const Runner& runner) {
  const auto& [length, cap, start, exit] = leg;
  const SpeedUp<Number> to_cap = speed_up<Number>(runner.sprint, start, cap);
  const Number held = length - to_cap.distance - braking_distance<Number>(cap, exit, runner.a_brake);
  Manner<Number> is{held >= 0, exit >= cap, {to_cap.time + held / cap + (cap - exit) / runner.a_brake, exit}};
  const MaskOf<Number> settled = is.holds | is.free;
  if (const MaskOf<Number> capped = (exit > start) & is_not(settled); any(capped)) {
    is.free = is.free | (capped & (speed_up<Number>(runner.sprint, start, exit).distance >= length));
  }
  return is;
}

/// Speeding up all the way.
template <class Number>
SHORTEDGE_INLINED RunOf<Number> run_free(const Leg<Number>& leg, const Runner& runner) {
  const Sprint& sprint = runner.sprint;
  const Number time = sprint.time_over<Number>(leg.length, leg.start, leg.length > 0);
  // dv/dt = (vmax - dx/dt) / tau
  return {time, smaller(leg.exit, Number(leg.start + (sprint.vmax * time - leg.length) / sprint.tau))};
}

/// Speeding up to the moment from which braking leads to `exit` just at the end, then braking. `cap` is not reached.
template <class Number>
SHORTEDGE_INLINED RunOf<Number> turn_and_brake(const Leg<Number>& leg, const Runner& runner) {
  const Number &length = leg.length, &cap = leg.cap, &start = leg.start, &exit = leg.exit;
  const double vmax = runner.sprint.vmax, tau = runner.sprint.tau, brake = runner.a_brake;
  const Number room = vmax - start;
  const MaskOf<Number> at_once = braking_distance<Number>(start, exit, brake) >= length;  // nothing to gain

  // First guess: even acceleration, as at the start, then as at the mean speed which that gives.
  Number speed_up = room / tau, top = cap;
  for (int k = 0; k < 2; ++k) {
    const Number squares = 2 * speed_up * brake * length + brake * start * start + speed_up * exit * exit;
    top = bounded(root(squares / (speed_up + brake)), start, cap);
    if (k == 0) speed_up = (vmax - (start + top) / 2) / tau;
  }
  // Overrun, for s = time / tau of speeding up: the distance with the braking after it, less the length.
  const auto overrun = [&](const Number& s) -> SlopesOf<Number> {
    const Number e = exponential(-s), ramped = ramp<Number>(s, e);
    const Number speed = start + room * (s - ramped), gain = room * e;  // gain: its derivative
    return {tau * (start * s + room * ramped) + (speed - exit) * (speed + exit) / (2 * brake) - length,
            speed * (tau + gain / brake), gain * (tau + (gain - speed) / brake),
            -gain * (tau + (3 * gain - speed) / brake), gain * (tau + (7 * gain - speed) / brake)};
  };
  const Number most = (length / tau + room) / vmax;  // by then he has run the length
  const Number s = increasing_root<Number>(overrun, (top - start) / (speed_up * tau), 0.0, most, is_not(at_once));
  const Number fastest = vmax - room * exponential(-s);
  return {blend(at_once, Number((start - exit) / brake), Number(tau * s + (fastest - exit) / brake)), exit};
}

}  // namespace

Run least_time(std::span<const Piece> pieces, double start, const Runner& runner) {
  std::array<Leg<double>, most_pieces> path;
  std::size_t count = 0;
  for (const Piece& piece : pieces) {
    if (piece.length <= 0) continue;
    if (count == path.size()) throw std::length_error("a path of more than 8 pieces");
    path[count++] = {piece.length, std::min(piece.cap, runner.sprint.vmax), 0, 0};
  }
  double allowed = runner.sprint.vmax;
  for (std::size_t i = count; i-- > 0;) {
    path[i].exit = std::min(allowed, path[i].cap);
    allowed = greatest_entry(path[i].length, path[i].cap, path[i].exit, runner.a_brake);
  }
  Run run{0, std::clamp(start, 0.0, allowed)};
  for (std::size_t i = 0; i < count; ++i) {
    Leg<double>& piece = path[i];
    piece.start = run.end_speed;
    const Manner<double> is = manner(piece, runner);
    const Run its = is.holds ? is.held : is.free ? run_free(piece, runner) : turn_and_brake(piece, runner);
    run = {run.time + its.time, its.end_speed};
  }
  return run;
}

SHORTEDGE_BY_REGISTERS void least_times(Paths& paths, const Runner& runner) {
  using Column = Paths::Column;
  const std::size_t count = (paths.count + lanes - 1) / lanes * lanes;
  for (std::size_t i = paths.count; i < count; ++i) {  // the last lanes are filled with paths of no length
    for (Column& length : paths.length) length[i] = 0;
    for (Column& cap : paths.cap) cap[i] = runner.sprint.vmax;
    paths.speed[i] = 0;
  }
  alignas(Wide) std::array<Column, Paths::pieces> exits;
  for (std::size_t i = 0; i < count; i += lanes) {
    Wide allowed = runner.sprint.vmax;
    for (std::size_t piece = Paths::pieces; piece-- > 0;) {
      const Wide length = Wide::load(&paths.length[piece][i]);
      const Wide cap = smaller(Wide::load(&paths.cap[piece][i]), Wide(runner.sprint.vmax)),
                 exit = smaller(allowed, cap);
      allowed = blend(length > 0, greatest_entry<Wide>(length, cap, exit, runner.a_brake), allowed);
      cap.store(&paths.cap[piece][i]);
      exit.store(&exits[piece][i]);
    }
    bounded(Wide::load(&paths.speed[i]), Wide(0.0), allowed).store(&paths.speed[i]);
    Wide(0.0).store(&paths.time[i]);
  }
  for (std::size_t piece = 0; piece < Paths::pieces; ++piece) {
    const auto leg = [&](auto&& take) {
      return Leg<Wide>{take(paths.length[piece]), take(paths.cap[piece]), take(paths.speed), take(exits[piece])};
    };
    // Those who hold the cap are done at once; of the others, those who run in one manner are taken together.
    std::array<std::uint8_t, Paths::most + lanes> free, braking;
    std::size_t frees = 0, brakings = 0;
    for (std::size_t i = 0; i < count; i += lanes) {
      const auto here = [&](const Column& column) { return Wide::load(&column[i]); };
      const Leg<Wide> his = leg(here);
      const WideMask counts = his.length > 0;
      if (!any(counts)) continue;
      const Manner<Wide> is = manner<Wide>(his, runner);
      const WideMask holds = counts & is.holds, others = counts & ~is.holds;
      blend(holds, here(paths.time) + is.held.time, here(paths.time)).store(&paths.time[i]);
      blend(holds, is.held.end_speed, his.start).store(&paths.speed[i]);
      for (std::size_t lane = 0; lane < lanes; ++lane) {
        free[frees] = braking[brakings] = static_cast<std::uint8_t>(i + lane);
        frees += (others & is.free)[lane] != 0;
        brakings += (others & ~is.free)[lane] != 0;
      }
    }
    const auto run_all = [&](std::array<std::uint8_t, Paths::most + lanes>& which, std::size_t number, auto&& run) {
      for (std::size_t lane = 0; lane < lanes && number > 0; ++lane) which[number + lane] = which[number - 1];
      for (std::size_t i = 0; i < number; i += lanes) {
        const auto gathered = [&](const Column& column) {
          return Wide::each([&](std::size_t lane) { return column[which[i + lane]]; });
        };
        const RunOf<Wide> its = run(leg(gathered));
        const Wide time = gathered(paths.time) + its.time;
        for (std::size_t lane = 0; lane < lanes; ++lane) {
          paths.time[which[i + lane]] = time[lane];
          paths.speed[which[i + lane]] = its.end_speed[lane];
        }
      }
    };
    run_all(free, frees, [&](const Leg<Wide>& his) { return run_free<Wide>(his, runner); });
    run_all(braking, brakings, [&](const Leg<Wide>& his) { return turn_and_brake<Wide>(his, runner); });
  }
}

}  // namespace shortedge
