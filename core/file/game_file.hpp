#pragma once
/// A game on disk (HDF5): a dictionary of plays and one of players, tracks, snaps, people, the columns kept beside
/// them, how many rows were dropped on the way in, and of a game made of clicks the clicks. Everything as Game holds
/// it, bit for bit: yards, seconds, field frame. The ball needs no tracks: snaps hold its place.

#include <filesystem>
#include <string>
#include <vector>

#include "tracking/game.hpp"

namespace shortedge {

/// A game's tables as read. Not checked as a game: that is make_game's work, for files and tables alike.
struct StoredGame {
  std::string name;
  std::string digest;  ///< of the tables the game was made from, as write_game was given it
  std::vector<std::string> plays, players;
  struct TrackColumns {
    std::vector<std::int32_t> play, player;
    std::vector<double> time, x, y;
    std::vector<double> vx, vy;               ///< empty when not recorded
    std::vector<double> sd_x, sd_y, corr_xy;  ///< empty when not recorded
  } tracks;
  struct SnapColumns {
    std::vector<std::int32_t> play;
    std::vector<double> ball_x, ball_y, direction, snap_time, throw_time, end_time, film_time;
  } snaps;
  struct PeopleColumns {
    std::vector<std::int32_t> player, play;
    std::vector<Unit> unit;
    std::vector<std::string> position;
    std::vector<Role> role;
  } people;
  std::vector<KeptColumn> kept_snaps, kept_people;
  Dropped dropped;                  ///< to be put into the Game that make_game returns: it sees none of these rows
  std::vector<ClickedWay> clicked;  ///< for Game::add_clicked, likewise
  std::vector<std::string> notes;   ///< what a newer file has beyond this library; a line each
  bool checked =
      false;  ///< the file says what its columns add up to, and they do; of older files the digest can be made again

  /// For make_game with Orientation::trust. Its columns are views of this object.
  GameInput input() const&;
  GameInput input() const&& = delete;
  /// What make_game does not see: dropped and clicked.
  void complete(Game& game) const;
};

/// Replaces the file in one step; an error leaves the old one as it was. Throws FileError when it cannot be written,
/// InputError for text that is not UTF-8, holds a NUL or has over 1024 bytes, and for more than 1000 kept columns.
void write_game(const Game& game, const std::string& digest, const std::filesystem::path& path);

/// Throws FileError, naming the file and what was found, for anything but a whole game file of this schema: truncated,
/// damaged, foreign, hostile, with codes beyond their lists or times that are not finite. So is a file of a
/// newer version (core/file/schema.hpp).
StoredGame read_game(const std::filesystem::path& path);

/// Reads a game file column by column and keeps none: FileError as read_game, for those who read it in parts, which
/// cannot tell whether the whole was changed.
void check_game(const std::filesystem::path& path);

/// Where the plays of a game file stand, for reading it in parts.
struct GameRows {
  std::string name;
  std::vector<std::string> plays;  ///< by code
  std::vector<std::size_t> begin;  ///< play code -> its first row of tracks; one more entry than there are plays
};
GameRows read_game_rows(const std::filesystem::path& path);

/// Some plays of a game file, by code: their codes count from the first. Memory holds these plays and the names alone:
/// columns that are kept beside the tables are left out. Rows dropped on the way in count with the first play.
struct GamePart {
  std::size_t first_play, end_play;
  std::size_t first_row, end_row;     ///< of tracks, as read_game_rows has them
  std::vector<std::int32_t> without;  ///< codes in the whole file of plays that are left out
};
StoredGame read_game(const std::filesystem::path& path, const GamePart& part);

}  // namespace shortedge
