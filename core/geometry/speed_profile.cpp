#include "geometry/speed_profile.hpp"

#include <algorithm>
#include <array>
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <limits>
#include <stdexcept>
#include <utility>

namespace shortedge {

namespace {

double braking_distance(double from, double to, double a_brake) {
  return std::max(0.0, (from - to) * (from + to) / (2 * a_brake));
}

/// One piece from speed `start`, at most `cap` on it and at most `exit` at its end; start and exit are within the cap,
/// and exit can be reached by braking.
Run run_piece(double length, double cap, double start, double exit, const Runner& runner) {
  const Sprint& sprint = runner.sprint;
  const double free_time = sprint.time_over(length, start);
  const double free_speed = sprint.speed_after(free_time, start);
  if (free_speed <= cap && free_speed <= exit) return {free_time, free_speed};

  // Hold the cap, if it is reached before braking must begin.
  const double to_cap = sprint.time_to_speed(cap, start);
  if (std::isfinite(to_cap)) {
    const double held = length - sprint.distance_after(to_cap, start) - braking_distance(cap, exit, runner.a_brake);
    if (held >= 0) {
      const double end = std::min(cap, exit);
      return {to_cap + held / cap + (cap - end) / runner.a_brake, end};
    }
  }
  // Else accelerate up to the moment when braking leads to `exit` just at the end.
  const double room = sprint.vmax - start;
  auto overrun = [&](double time) {
    const double speed = sprint.speed_after(time, start);
    const double distance = sprint.distance_after(time, start) + (speed - exit) * (speed + exit) / (2 * runner.a_brake);
    const double acceleration = room / sprint.tau * std::exp(-time / sprint.tau);
    return std::pair(distance - length, speed * (1 + acceleration / runner.a_brake));
  };
  if (overrun(0).first >= 0) return {(start - exit) / runner.a_brake, exit};  // nothing to gain: brake at once
  const double turn = boost::math::tools::newton_raphson_iterate(overrun, free_time / 2, 0.0, free_time,
                                                                 std::numeric_limits<double>::digits - 6);
  return {turn + (sprint.speed_after(turn, start) - exit) / runner.a_brake, exit};
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
    const double braked = std::sqrt(entry[i + 1] * entry[i + 1] + 2 * runner.a_brake * path[i].length);
    entry[i] = std::min({path[i].cap, i > 0 ? path[i - 1].cap : runner.sprint.vmax, braked});
  }
  Run run{0, std::clamp(start, 0.0, entry[0])};
  for (std::size_t i = 0; i < count; ++i) {
    const Run piece = run_piece(path[i].length, path[i].cap, run.end_speed, std::min(entry[i + 1], path[i].cap), runner);
    run = {run.time + piece.time, piece.end_speed};
  }
  return run;
}

}  // namespace shortedge
