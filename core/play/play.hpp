#pragma once
/// One play made ready to measure: who takes part, at what times, and where everybody is in the play frame.
///
/// Play frame: origin at the ball's spot at the snap, u yards to the offence's right, v yards behind the line of
/// scrimmage. With direction +1 (the offence attacks +x): v = ball_x - x, u = ball_y - y; with -1 both change sign.

#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <span>
#include <string_view>
#include <vector>

#include "geometry/point.hpp"
#include "tracking/game.hpp"

namespace shortedge {

/// Where a lineman plays.
enum class Slot : std::int8_t { none, LT, LG, C, RG, RT };
inline constexpr std::array<std::string_view, 5> slot_words{"LT", "LG", "C", "RG", "RT"};  ///< without the first

struct Man {
  std::int32_t player;  ///< code; men stand in order of it, so of equals the lower id comes first
  Unit unit;
  Position position;
  Role given = Role::unset;  ///< as people states it
  Role role = Role::other;   ///< as the rules find it
  Slot slot = Slot::none;
  int line_side = 0;            ///< of a lineman: -1 or +1, where he stood from the centre (sides.hpp); 0 of the centre
  bool late = false;            ///< a rusher who came late (roles.hpp)
  std::size_t counts_from = 0;  ///< frame from which a rusher takes part
  std::size_t counts_to =
      std::numeric_limits<std::size_t>::max();  ///< from this frame on he no longer does: he dropped

  bool is_lineman() const noexcept { return slot != Slot::none; }
  bool takes_part(std::size_t frame) const noexcept { return counts_from <= frame && frame < counts_to; }
};

/// Who and when. `measure` needs nothing else of the recording but a Motion, so stretched, noisy or simulated tracks
/// of the same men at the same frames can take the recording's place.
struct Play {
  std::int32_t play = no_code;
  std::vector<double> time;  ///< s since the snap, of the measured frames: snap to end
  double throw_time = nan;   ///< s since the snap; NaN for none
  double end_time = nan;     ///< s since the snap
  double film_time = nan;    ///< s on the film's clock, of the snap; NaN when not known
  double ball_across = nan;  ///< yd, the ball from the middle of the field to the offence's right; NaN: on no field
  std::vector<Man> men;
  std::size_t passer = 0;                                 ///< index into men
  std::vector<std::size_t> protectors, rushers, offense;  ///< indices into men; offense is without the passer
  std::int32_t center = -1;  ///< index into men, -1: none; of two listed so who stood nearer the ball
  std::array<std::int32_t, 2> guards{-1,
                                     -1};  ///< left, right: who stood next to the centre, index into men; -1: nobody

  std::size_t frames() const noexcept { return time.size(); }
};

/// Where every man is and how fast he moves at every frame, in the play frame.
struct Motion {
  std::size_t men = 0;
  std::vector<Point> place;     ///< frame * men + man, yd; NaN when absent
  std::vector<Point> velocity;  ///< the same, yd/s; NaN when unknown

  const Point& at(std::size_t frame, std::size_t man) const { return place[frame * men + man]; }
  const Point& speed(std::size_t frame, std::size_t man) const { return velocity[frame * men + man]; }
};

/// One man's own samples, in the play frame.
struct Samples {
  std::vector<double> time;            ///< s since the snap, increasing
  std::vector<Point> place;            ///< yd
  std::vector<Point> velocity;         ///< yd/s, NaN where unknown; empty when not recorded
  std::vector<Eigen::Matrix2d> error;  ///< yd^2, covariance of u and v, NaN where unknown; empty when not recorded
};

/// Frames, men and samples of a play, before roles.
struct RawPlay {
  Play play;
  std::vector<Samples> samples;  ///< one a man
};

/// Takes a play out of a game: men with tracks, their samples, the measured frames. Roles are not set yet.
RawPlay take_play(const Game& game, const Roster& roster, const Snap& snap);

/// Everybody's place at the play's frames, from the samples (mix_samples); velocities are left unknown.
Motion place_men(const Play& play, std::span<const Samples> samples);

/// Fills in the velocities of passer, protectors and rushers: the recorded ones where tracks have them, else fitted.
void add_velocities(const Play& play, std::span<const Samples> samples, Motion& motion);
/// The same of the passer alone.
void add_passer_velocity(const Play& play, std::span<const Samples> samples, Motion& motion);

struct ReadyPlay {
  Play play;
  Motion motion;
  std::vector<Samples> samples;
  std::size_t filled = 0;  ///< places between two samples
};

/// The whole preparation: take_play, place_men, roles and sides (roles.hpp, sides.hpp), velocities. Throws InputError
/// with the reason when the play cannot be measured.
ReadyPlay prepare(const Game& game, const Roster& roster, const Snap& snap);

}  // namespace shortedge
