#include "geometry/speed_profile.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

#include "geometry/root.hpp"

namespace shortedge {

namespace {

double braking_distance(double from, double to, double a_brake) {
  return std::max(0.0, (from - to) * (from + to) / (2 * a_brake));
}

/// Speeding up to the moment from which braking leads to `exit` just at the end, then braking. `cap` is not reached.
Run turn_and_brake(double length, double cap, double start, double exit, const Runner& runner) {
  const auto& [vmax, tau] = runner.sprint;
  const double room = vmax - start, brake = runner.a_brake;
  if (braking_distance(start, exit, brake) >= length) return {(start - exit) / brake, exit};  // nothing to gain

  // First guess: even acceleration, as at the start, then as at the mean speed which that gives.
  double speed_up = room / tau, top = cap;
  for (int k = 0; k < 2; ++k) {
    const double squares = 2 * speed_up * brake * length + brake * start * start + speed_up * exit * exit;
    top = std::clamp(std::sqrt(squares / (speed_up + brake)), start, cap);
    if (k == 0) speed_up = (vmax - (start + top) / 2) / tau;
  }
  // Overrun, for s = time / tau of speeding up: the distance with the braking after it, less the length.
  const auto overrun = [&, start = start, tau = tau](double s) -> Slopes {
    const double e = std::expm1(-s), speed = start - room * e, gain = room * (1 + e);  // gain: its derivative
    return {tau * (start * s + room * ramp(s, e)) + (speed - exit) * (speed + exit) / (2 * brake) - length,
            speed * (tau + gain / brake), gain * (tau + (gain - speed) / brake)};
  };
  const double most = (length / tau + room) / vmax;  // by then he has run the length
  const double s = increasing_root(overrun, (top - start) / (speed_up * tau), 0, most);
  return {tau * s + (start - room * std::expm1(-s) - exit) / brake, exit};
}

/// One piece from speed `start`, at most `cap` on it and at most `exit` at its end; start and exit are within the cap,
/// and exit can be reached by braking.
Run run_piece(double length, double cap, double start, double exit, const Runner& runner) {
  const Sprint& sprint = runner.sprint;
  // Hold the cap, if it is reached before braking must begin.
  const double to_cap = sprint.time_to_speed(cap, start);
  const double held =
      length - sprint.distance_to_speed(cap, start, to_cap) - braking_distance(cap, exit, runner.a_brake);
  if (held >= 0) return {to_cap + held / cap + (cap - exit) / runner.a_brake, exit};
  // Speed up all the way, if that does not pass `exit`.
  const auto not_past = [&](double speed) {
    return speed > start && sprint.distance_to_speed(speed, start, sprint.time_to_speed(speed, start)) >= length;
  };
  const bool free = exit >= cap || not_past(exit);
  if (!free) return turn_and_brake(length, cap, start, exit, runner);
  const double time = sprint.time_over(length, start);
  return {time, std::min(exit, start + (sprint.vmax * time - length) / sprint.tau)};  // dv/dt = (vmax - dx/dt) / tau
}

}  // namespace

Run least_time(std::span<const Piece> pieces, double start, const Runner& runner) {
  std::array<Piece, 8> path;
  std::size_t count = 0;
  for (const Piece& piece : pieces) {
    if (piece.length <= 0) continue;
    if (count == path.size()) throw std::length_error("a path of more than 8 pieces");
    path[count++] = {piece.length, std::min(piece.cap, runner.sprint.vmax)};
  }
  std::array<double, 9> entry;  // greatest speed at the start of each piece
  entry[count] = runner.sprint.vmax;
  for (std::size_t i = count; i-- > 0;) {
    const double cap = i > 0 ? std::min(path[i].cap, path[i - 1].cap) : path[i].cap;
    const double braked2 = entry[i + 1] * entry[i + 1] + 2 * runner.a_brake * path[i].length;
    entry[i] = cap * cap <= braked2 ? cap : std::sqrt(braked2);
  }
  Run run{0, std::clamp(start, 0.0, entry[0])};
  for (std::size_t i = 0; i < count; ++i) {
    const Run piece = run_piece(path[i].length, path[i].cap, run.end_speed, std::min(entry[i + 1], path[i].cap), runner);
    run = {run.time + piece.time, piece.end_speed};
  }
  return run;
}

}  // namespace shortedge
