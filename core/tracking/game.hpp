#pragma once
/// A game: the input in one unit and one frame, rows in order, and what was wrong with it.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "trace/click.hpp"
#include "tracking/tables.hpp"

namespace shortedge {

/// Corner origin, yards, y up, seconds; sorted by play, player and time; no missing samples.
struct Tracks {
  std::vector<std::int32_t> player;
  std::vector<double> time, x, y;
  std::vector<double> vx, vy;  ///< yd/s, NaN where unknown; empty when not recorded
  std::vector<double> sd_x, sd_y,
      corr_xy;                     ///< yd, yd and their correlation, NaN where unknown; empty when not recorded
  std::vector<std::size_t> begin;  ///< play code -> its first row; one more entry than there are plays

  bool has_velocity() const noexcept { return !vx.empty(); }
  bool has_errors() const noexcept { return !sd_x.empty(); }
};

struct Snap {
  std::int32_t play;
  double ball_x, ball_y;  ///< yd, field frame; NaN when unknown
  int direction;
  double snap_time, throw_time, end_time, film_time;  ///< s; NaN for none
};

struct Person {
  std::int32_t player;
  std::int32_t play;  ///< -1: every play without a row of its own
  Unit unit;
  std::string position;
  Role role;
};

/// A play that is not measured, and why.
struct Problem {
  std::int32_t play;
  std::string reason;
};

/// Something about a play that is measured all the same, and that whoever reads its figures should know.
struct Remark {
  std::int32_t play;
  std::string says;
  bool few_linemen;  ///< fewer than five at the snap
};

/// What a man's samples in a play were smoothed from, where they were: on the play's clock, field frame.
struct ClickedWay {
  std::int32_t play, player;
  std::vector<Click> clicks;
  std::optional<double> rest;
  SmootherOptions options;
};

/// Rows of tracks that were left out.
struct Dropped {
  std::int64_t no_player = 0, not_in_people = 0, missing = 0;
};

struct Game {
  std::string name;
  std::vector<std::string> plays, players;
  Tracks tracks;
  std::vector<Snap> snaps;     ///< in the input's order
  std::vector<Person> people;  ///< in the input's order
  std::vector<KeptColumn> kept_snaps, kept_people;
  std::vector<Problem> problems;  ///< by order of play, plays without a snap last; one a play
  std::vector<Remark> remarks;    ///< by row of snaps
  Dropped dropped;
  std::vector<ClickedWay> clicked;  ///< by play, then player

  /// Adds a man's clicks. Throws InputError for codes out of range, and for clicks of a man and play that has some.
  void add_clicked(ClickedWay way);
  /// nullptr for a man whose samples came as they are.
  const ClickedWay* find_clicked(std::int32_t play, std::int32_t player) const;
  /// A play that is not to be measured, for a reason found outside; instead of what was found here.
  void add_problem(Problem problem);

  /// Rows of `snaps` that have no problem, in order: the plays that are measured.
  std::vector<std::size_t> measured() const;
  /// Code of a play's id; nullopt when there is none.
  std::optional<std::int32_t> find_play(std::string_view id) const;
};

/// Brings the input into a game: units and frame, rows in order, the ball's place at the snap, and the plays that
/// cannot be measured whatever the roles: no or two snap rows, no snap in range, no place of the ball, infinite or
/// off-field coordinates, two rows of one player at one time, times that go nowhere; more samples, men or speed than
/// `bounds` (tables.hpp) has, or places in degrees of the earth.
/// Throws InputError for what makes the whole input doubtful: too long names, columns of unequal length, codes out of
/// range, a direction other than +1 or -1, a row without play or time, two people rows that disagree, empty tables.
Game assemble(const GameInput& input);

/// Who is who in each play.
class Roster {
 public:
  explicit Roster(std::span<const Person> people, std::size_t players);
  /// The person's row for this play, else for every play; nullptr when people lacks him.
  const Person* find(std::int32_t play, std::int32_t player) const;

 private:
  std::vector<const Person*> general_;   // by player code
  std::vector<const Person*> specific_;  // sorted by play and player
};

}  // namespace shortedge
