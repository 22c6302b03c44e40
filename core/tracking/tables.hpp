#pragma once
/// The three input tables as the library takes them: columns of equal length a table, names as codes into lists.
/// A game made of them (game.hpp) is in one unit and one frame.

#include <array>
#include <cstdint>
#include <limits>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace shortedge {

enum class Unit : std::int8_t { offense, defense };
enum class Position : std::int8_t { other, QB, LT, LG, C, RG, RT, T, OT, G, OG, OL, TE, RB, FB, HB };
enum class Role : std::int8_t { unset = -1, passer, protector, rusher, other };

/// The words of each, in the order of its codes; positions without the first, `other`, which any other text is.
inline constexpr std::array<std::string_view, 2> unit_words{"offense", "defense"};
inline constexpr std::array<std::string_view, 4> role_words{"passer", "protector", "rusher", "other"};
inline constexpr std::array<std::string_view, 15> position_words{"QB", "LT", "LG", "C",  "RG", "RT", "T", "OT",
                                                                 "G",  "OG", "OL", "TE", "RB", "FB", "HB"};

/// The position a text stands for; any text without a meaning is Position::other.
Position position_of(std::string_view text) noexcept;

inline constexpr std::int32_t no_code = -1;

/// What the door takes, checked before any work: beyond it is an error of the system, or ill will.
namespace bounds {
inline constexpr double rate = 100;            ///< samples a second and man, at the median
inline constexpr std::size_t frames = 12'000;  ///< a play, and samples of one man: two minutes at that rate
inline constexpr std::size_t men = 64;         ///< with tracks in a play: 22, and who stands by in reach of the cameras
inline constexpr std::size_t name_bytes = 1024;  ///< of an id, a position, a game's name; files hold no longer ones
inline constexpr double speed =
    15;  ///< yd/s, recorded; the fastest man ever timed ran 12.3 m/s, which is 13.5 (IAAF, Berlin 2009)
inline constexpr double spread =
    0.01;  ///< yd: a play whose places all lie in so small a box is in degrees of the earth
}  // namespace bounds

/// Where the input's coordinates stand. Converted once, here: x to 0..120 yd, y to 0..160/3 yd, y up.
struct Placement {
  enum class Length { yard, metre, foot };
  enum class Origin { corner, center };
  enum class Y { up, down };  ///< down from the corner: measured from the far sideline
  Length length = Length::yard;
  Origin origin = Origin::corner;
  Y y = Y::up;
};

/// Rows in any order. A row with NaN x or y is a missing sample; player -1 is a row without a player.
struct TracksInput {
  std::span<const std::int32_t> play, player;
  std::span<const double> time;    ///< s
  std::span<const double> x, y;    ///< in the placement's unit and frame
  std::span<const double> vx, vy;  ///< the same per second; both empty when not recorded
  /// How far a sample may be off: standard deviations in the placement's unit, and their correlation. NaN: not known.
  /// All empty when not recorded.
  std::span<const double> sd_x, sd_y, corr_xy;
};

struct SnapsInput {
  std::span<const std::int32_t> play;
  std::span<const double> ball_x, ball_y;  ///< empty when the ball is tracks of a player (GameInput::ball)
  std::span<const double> direction;       ///< +1 or -1: the offence attacks +x or -x
  std::span<const double> snap_time;       ///< s, on the tracks' clock
  std::span<const double> throw_time, end_time, film_time;  ///< s; NaN for none; empty when there is no such column
};

struct PeopleInput {
  std::span<const std::int32_t> player;
  std::span<const std::int32_t> play;  ///< -1: the row holds for every play without a row of its own; may be empty
  std::span<const Unit> unit;
  std::span<const std::string> position;
  std::span<const Role> role;  ///< may be empty
};

/// A column the library does not read but keeps beside the rows of a table: one of the vectors is filled.
struct KeptColumn {
  std::string name;
  std::vector<double> numbers;  ///< NaN: missing
  std::vector<std::int64_t> integers;
  std::vector<std::string> texts;  ///< empty: missing
  std::size_t rows() const noexcept { return numbers.size() + integers.size() + texts.size(); }
};

struct GameInput {
  std::string name;
  std::vector<std::string> plays, players;  ///< in the order in which ties go: the lower id first
  Placement placement;
  TracksInput tracks;
  SnapsInput snaps;
  PeopleInput people;
  std::int32_t ball = no_code;                      ///< the player whose tracks are the ball
  std::vector<KeptColumn> kept_snaps, kept_people;  ///< beside the rows of snaps and people
};

}  // namespace shortedge
