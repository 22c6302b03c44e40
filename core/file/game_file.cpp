#include "file/game_file.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <numeric>

#include "base/error.hpp"
#include "file/kept.hpp"
#include "file/table_file.hpp"
#include "trace/smoother.hpp"

namespace shortedge {

using namespace file;

namespace {

using Stored = StoredGame::SnapColumns;
struct SnapNumber {
  const char* name;
  double Snap::* in_game;
  std::vector<double> Stored::* stored;
  const char *unit, *missing, *says;
};
constexpr SnapNumber snap_numbers[]{
    {"ball_x", &Snap::ball_x, &Stored::ball_x, "yd", "unknown", "the ball at the snap, along the field, 0 to 120"},
    {"ball_y", &Snap::ball_y, &Stored::ball_y, "yd", "unknown", "the ball at the snap, across the field, 0 to 160/3"},
    {"snap_time", &Snap::snap_time, &Stored::snap_time, "s", "unknown", "on the tracks' clock"},
    {"throw_time", &Snap::throw_time, &Stored::throw_time, "s", "no throw", "on the tracks' clock"},
    {"end_time", &Snap::end_time, &Stored::end_time, "s", "not given", "on the tracks' clock"},
    {"film_time", &Snap::film_time, &Stored::film_time, "s", "not given", "the snap on the film's clock"},
};

template <class T, class Rows, class Value>
void write_rows(TableWriter& writer, const char* name, const Notes& notes, const Rows& rows, Value&& value) {
  std::vector<T> values;
  values.reserve(rows.size());
  for (const auto& row : rows) values.push_back(static_cast<T>(value(row)));
  writer.column<T>(name, notes, values);
}

template <class Enum>
std::vector<Enum> take_words(StoredTable& table, const char* column, int least, std::size_t words) {
  const std::vector<std::int8_t> codes = table.take_codes<std::int8_t>(column, least, words);
  std::vector<Enum> values(codes.size());
  std::transform(codes.begin(), codes.end(), values.begin(), [](std::int8_t code) { return static_cast<Enum>(code); });
  return values;
}

constexpr int without_clicks = 1;  // the version of such files

/// Men in a table, each with how many of the clicks in the next are his.
void write_clicked(TableWriter& writer, const std::vector<ClickedWay>& ways) {
  writer.table("clicked");
  write_rows<std::int32_t>(writer, "play", notes("play", "", "never", "the play"), ways,
                           [](const ClickedWay& way) { return way.play; });
  write_rows<std::int32_t>(writer, "player", notes("player", "", "never", "the player"), ways,
                           [](const ClickedWay& way) { return way.player; });
  write_rows<std::int64_t>(writer, "clicks", notes("count", "", "never", "clicks of his, in the table clicks"), ways,
                           [](const ClickedWay& way) { return way.clicks.size(); });
  const auto number = [&](const char* name, const char* unit, const char* missing, const char* says, auto&& value) {
    write_rows<double>(writer, name, notes("number", unit, missing, says), ways, value);
  };
  number("rest", "s", "he moves", "when he stands, on the play's own clock",
         [](const ClickedWay& way) { return way.rest.value_or(nan); });
  number("jerk", "yd^2/s^5", "never", "white noise of his jerk",
         [](const ClickedWay& way) { return way.options.jerk; });
  number("start_jerk", "yd^2/s^5", "never", "the same while he starts",
         [](const ClickedWay& way) { return way.options.start_jerk; });
  number("start", "yd/s^2", "never", "jump of his acceleration as he starts",
         [](const ClickedWay& way) { return way.options.start; });
  number("tail", "", "never", "degrees of freedom of what moves him",
         [](const ClickedWay& way) { return way.options.tail; });
  number("rest_speed", "yd/s", "never", "how still he stands",
         [](const ClickedWay& way) { return way.options.rest_speed; });
  number("rest_acceleration", "yd/s^2", "never", "how still he stands",
         [](const ClickedWay& way) { return way.options.rest_acceleration; });

  std::vector<Click> clicks;
  for (const ClickedWay& way : ways) clicks.insert(clicks.end(), way.clicks.begin(), way.clicks.end());
  writer.table("clicks");
  const auto of_click = [&](const char* name, const char* unit, const char* says, auto&& value) {
    write_rows<double>(writer, name, notes("number", unit, "never", says), clicks, value);
  };
  of_click("time", "s", "the play's own clock", [](const Click& click) { return click.time; });
  of_click("x", "yd", "along the field, 0 to 120", [](const Click& click) { return click.place.x(); });
  of_click("y", "yd", "across the field, 0 to 160/3, y up", [](const Click& click) { return click.place.y(); });
  of_click("xx", "yd^2", "variance of x", [](const Click& click) { return click.covariance(0, 0); });
  of_click("xy", "yd^2", "covariance of x and y", [](const Click& click) { return click.covariance(0, 1); });
  of_click("yy", "yd^2", "variance of y", [](const Click& click) { return click.covariance(1, 1); });
}

}  // namespace

void write_game(const Game& game, const std::string& digest, const std::filesystem::path& path) {
  Schema schema = game_schema;
  if (game.clicked.empty()) schema.version = without_clicks;
  TableWriter writer(path, schema, {{"game", game.name}, {"digest", digest}});
  write_names(writer, "plays", game.plays);
  write_names(writer, "players", game.players);

  const Tracks& tracks = game.tracks;
  std::vector<std::int32_t> play_of_row;
  play_of_row.reserve(tracks.time.size());
  for (std::size_t play = 0; play < game.plays.size(); ++play) {
    play_of_row.insert(play_of_row.end(), tracks.begin[play + 1] - tracks.begin[play], static_cast<std::int32_t>(play));
  }
  writer.table("tracks");
  writer.column<std::int32_t>("play", notes("play", "", "never", "the play"), play_of_row);
  writer.column<std::int32_t>("player", notes("player", "", "never", "the player"), tracks.player);
  writer.column<double>("time", notes("number", "s", "never", "the play's own clock"), tracks.time);
  writer.column<double>("x", notes("number", "yd", "never", "along the field, 0 to 120"), tracks.x);
  writer.column<double>("y", notes("number", "yd", "never", "across the field, 0 to 160/3, y up"), tracks.y);
  if (tracks.has_velocity()) {
    writer.column<double>("vx", notes("number", "yd/s", "unknown", "velocity along the field"), tracks.vx);
    writer.column<double>("vy", notes("number", "yd/s", "unknown", "velocity across the field"), tracks.vy);
  }
  if (tracks.has_errors()) {
    writer.column<double>("sd_x", notes("number", "yd", "unknown", "standard deviation of x"), tracks.sd_x);
    writer.column<double>("sd_y", notes("number", "yd", "unknown", "standard deviation of y"), tracks.sd_y);
    writer.column<double>("corr_xy", notes("number", "", "unknown", "correlation of their errors"), tracks.corr_xy);
  }

  writer.table("snaps");
  write_rows<std::int32_t>(writer, "play", notes("play", "", "never", "the play"), game.snaps,
                           [](const Snap& snap) { return snap.play; });
  write_rows<std::int8_t>(writer, "direction", notes("number", "", "never", "1: the offence attacks +x, -1: -x"),
                          game.snaps, [](const Snap& snap) { return snap.direction; });
  for (const SnapNumber& number : snap_numbers) {
    write_rows<double>(writer, number.name, notes("number", number.unit, number.missing, number.says), game.snaps,
                       [&](const Snap& snap) { return snap.*number.in_game; });
  }

  writer.table("people");
  write_rows<std::int32_t>(writer, "player", notes("player", "", "never", "the player"), game.people,
                           [](const Person& person) { return person.player; });
  write_rows<std::int32_t>(writer, "play",
                           notes("play", "", "the row holds for every play without one of its own", "the play"),
                           game.people, [](const Person& person) { return person.play; });
  write_rows<std::int8_t>(writer, "unit", notes("word", "", "never", "whose side he is on", unit_words), game.people,
                          [](const Person& person) { return person.unit; });
  write_rows<std::string>(writer, "position", notes("text", "", "empty", "as the input spells it"), game.people,
                          [](const Person& person) { return person.position; });
  write_rows<std::int8_t>(writer, "role", notes("word", "", "not given: found by the rules", "his role", role_words),
                          game.people, [](const Person& person) { return person.role; });

  write_kept(writer, "kept_snaps", game.kept_snaps);
  write_kept(writer, "kept_people", game.kept_people);

  const auto count = [&](const char* name, const char* says, std::int64_t rows) {
    writer.column<std::int64_t>(name, notes("count", "", "never", says), std::span(&rows, 1));
  };
  writer.table("dropped");
  count("no_player", "rows of tracks left out: no player", game.dropped.no_player);
  count("not_in_people", "rows of tracks left out: a player people lacks", game.dropped.not_in_people);
  count("missing", "rows of tracks left out: no x or y", game.dropped.missing);
  if (!game.clicked.empty()) write_clicked(writer, game.clicked);
  writer.commit();
}

namespace {

void take_tracks(StoredTable& tracks, StoredGame& game, std::size_t plays, std::size_t players) {
  game.tracks.play = tracks.take_codes<std::int32_t>("play", 0, plays);
  game.tracks.player = tracks.take_codes<std::int32_t>("player", 0, players);
  game.tracks.time = tracks.take_times("time");
  game.tracks.x = tracks.take<double>("x");
  game.tracks.y = tracks.take<double>("y");
  if (tracks.has("vx")) {
    game.tracks.vx = tracks.take<double>("vx");
    game.tracks.vy = tracks.take<double>("vy");
  }
  if (tracks.has("sd_x")) {
    game.tracks.sd_x = tracks.take<double>("sd_x");
    game.tracks.sd_y = tracks.take<double>("sd_y");
    game.tracks.corr_xy = tracks.take<double>("corr_xy");
  }
}

void take_snaps_and_people(TableReader& reader, StoredGame& game) {
  StoredTable snaps = reader.table("snaps");
  game.snaps.play = snaps.take_codes<std::int32_t>("play", 0, game.plays.size());
  const std::vector<std::int8_t> direction = snaps.take<std::int8_t>("direction");
  for (const std::int8_t way : direction) {
    if (way != 1 && way != -1) snaps.refuse("direction", std::to_string(way) + "; accepted: 1, -1");
  }
  game.snaps.direction.assign(direction.begin(), direction.end());
  for (const SnapNumber& number : snap_numbers) game.snaps.*number.stored = snaps.take<double>(number.name);
  reader.finish(snaps, game.notes);

  StoredTable people = reader.table("people");
  game.people.player = people.take_codes<std::int32_t>("player", 0, game.players.size());
  game.people.play = people.take_codes<std::int32_t>("play", no_code, game.plays.size());
  game.people.unit = take_words<Unit>(people, "unit", 0, unit_words.size());
  game.people.position = people.take<std::string>("position");
  game.people.role = take_words<Role>(people, "role", -1, role_words.size());
  reader.finish(people, game.notes);
}

Dropped take_dropped(TableReader& reader, std::vector<std::string>& said) {
  StoredTable dropped = reader.table("dropped");
  const auto count = [&](const char* name) {
    const std::vector<std::int64_t> rows = dropped.take<std::int64_t>(name);
    if (rows.size() != 1 || rows[0] < 0) dropped.refuse(name, "one count is wanted");
    return rows[0];
  };
  const Dropped counts{count("no_player"), count("not_in_people"), count("missing")};
  reader.finish(dropped, said);
  return counts;
}

std::vector<ClickedWay> take_clicked(TableReader& reader, std::size_t plays, std::size_t players,
                                     std::vector<std::string>& said) {
  if (reader.version() == without_clicks) return {};
  StoredTable men = reader.table("clicked");
  const std::vector<std::int32_t> play = men.take_codes<std::int32_t>("play", 0, plays),
                                  player = men.take_codes<std::int32_t>("player", 0, players);
  const std::vector<std::int64_t> many = men.take<std::int64_t>("clicks");
  const std::vector<double> rest = men.take<double>("rest"), jerk = men.take<double>("jerk"),
                            start_jerk = men.take<double>("start_jerk"), start = men.take<double>("start"),
                            tail = men.take<double>("tail"), rest_speed = men.take<double>("rest_speed"),
                            rest_acceleration = men.take<double>("rest_acceleration");
  reader.finish(men, said);
  StoredTable clicks = reader.table("clicks");
  const std::vector<double> time = clicks.take<double>("time"), x = clicks.take<double>("x"),
                            y = clicks.take<double>("y"), xx = clicks.take<double>("xx"),
                            xy = clicks.take<double>("xy"), yy = clicks.take<double>("yy");
  reader.finish(clicks, said);

  std::vector<ClickedWay> ways;
  std::size_t row = 0;
  for (std::size_t man = 0; man < play.size(); ++man) {
    if (many[man] < 1 || static_cast<std::size_t>(many[man]) > time.size() - row)
      men.refuse("clicks", std::to_string(many[man]) + "; accepted: 1 and up, as many as there are");
    if (man > 0 && std::pair(play[man], player[man]) <= std::pair(play[man - 1], player[man - 1]))
      men.refuse("player", "not in order");
    ClickedWay way{play[man],
                   player[man],
                   {},
                   {},
                   {jerk[man], start_jerk[man], start[man], tail[man], rest_speed[man], rest_acceleration[man]}};
    if (!std::isnan(rest[man])) way.rest = rest[man];
    for (const std::size_t end = row + static_cast<std::size_t>(many[man]); row < end; ++row) {
      Eigen::Matrix2d covariance;
      covariance << xx[row], xy[row], xy[row], yy[row];
      way.clicks.push_back({time[row], {x[row], y[row]}, covariance});
    }
    try {
      Smoother(way.clicks, way.rest, {}, way.options);  // checks all of it
    } catch (const InputError& why) {
      clicks.refuse("time", why.what());
    }
    ways.push_back(std::move(way));
  }
  if (row != time.size()) men.refuse("clicks", "fewer than there are clicks");
  return ways;
}

/// A game with its name, digest, plays and players; the rest empty.
StoredGame read_names_of(TableReader& reader) {
  StoredGame game;
  game.name = reader.text("game");
  game.digest = reader.text("digest");
  game.plays = read_names(reader, "plays", game.notes);
  game.players = read_names(reader, "players", game.notes);
  return game;
}

/// Keeps the rows of a column for which keep(row).
template <class T, class Keep>
void thin(std::vector<T>& column, Keep&& keep) {
  std::size_t kept = 0;
  for (std::size_t row = 0; row < column.size(); ++row) {
    if (!keep(row)) continue;
    if (kept != row) column[kept] = std::move(column[row]);
    ++kept;
  }
  column.resize(std::min(kept, column.size()));
}

}  // namespace

StoredGame read_game(const std::filesystem::path& path) {
  TableReader reader(path, game_schema);
  StoredGame game = read_names_of(reader);
  StoredTable tracks = reader.table("tracks");
  take_tracks(tracks, game, game.plays.size(), game.players.size());
  reader.finish(tracks, game.notes);
  take_snaps_and_people(reader, game);
  game.kept_snaps = read_kept(reader, "kept_snaps", game.snaps.play.size(), game.notes);
  game.kept_people = read_kept(reader, "kept_people", game.people.player.size(), game.notes);
  game.dropped = take_dropped(reader, game.notes);
  game.clicked = take_clicked(reader, game.plays.size(), game.players.size(), game.notes);
  reader.finish(game.notes);
  game.checked = reader.tells_content();
  return game;
}

void check_game(const std::filesystem::path& path) {
  TableReader reader(path, game_schema);
  StoredGame game = read_names_of(reader);
  StoredTable tracks = reader.table("tracks");
  for (const char* code : {"play", "player"}) tracks.take<std::int32_t>(code);
  for (const char* number : {"time", "x", "y", "vx", "vy", "sd_x", "sd_y", "corr_xy"}) {
    if (tracks.has(number)) tracks.take<double>(number);
  }
  reader.finish(tracks, game.notes);
  take_snaps_and_people(reader, game);
  read_kept(reader, "kept_snaps", game.snaps.play.size(), game.notes);
  read_kept(reader, "kept_people", game.people.player.size(), game.notes);
  take_dropped(reader, game.notes);
  take_clicked(reader, game.plays.size(), game.players.size(), game.notes);
  reader.finish(game.notes);
}

GameRows read_game_rows(const std::filesystem::path& path) {
  TableReader reader(path, game_schema);
  GameRows rows;
  rows.name = reader.text("game");
  std::vector<std::string> said;  // by who reads the plays
  rows.plays = read_names(reader, "plays", said);
  StoredTable tracks = reader.table("tracks");
  const std::vector<std::int32_t> play = tracks.take_codes<std::int32_t>("play", 0, rows.plays.size());
  if (!std::is_sorted(play.begin(), play.end())) tracks.refuse("play", "not in order");
  rows.begin.assign(rows.plays.size() + 1, 0);
  for (const std::int32_t code : play) ++rows.begin[static_cast<std::size_t>(code) + 1];
  std::partial_sum(rows.begin.begin(), rows.begin.end(), rows.begin.begin());
  return rows;
}

StoredGame read_game(const std::filesystem::path& path, const GamePart& part) {
  TableReader reader(path, game_schema);
  StoredGame game = read_names_of(reader);
  if (part.first_play > part.end_play || part.end_play > game.plays.size())
    throw FileError(path.string() + ": has not these plays any more");
  StoredTable tracks = reader.table("tracks");
  tracks.only(part.first_row, part.end_row);
  take_tracks(tracks, game, game.plays.size(), game.players.size());
  take_snaps_and_people(reader, game);
  if (part.first_play == 0) game.dropped = take_dropped(reader, game.notes);
  game.clicked = take_clicked(reader, game.plays.size(), game.players.size(), game.notes);

  const auto first = static_cast<std::int32_t>(part.first_play), end = static_cast<std::int32_t>(part.end_play);
  std::vector<bool> of_part(game.plays.size(), false);
  std::fill(of_part.begin() + first, of_part.begin() + end, true);
  for (const std::int32_t play : part.without) of_part.at(static_cast<std::size_t>(play)) = false;
  const auto wanted = [&](std::int32_t play) { return of_part[static_cast<std::size_t>(play)]; };
  const auto only = [](std::vector<std::int32_t>& plays, auto&& keep, auto&... columns) {
    const std::vector<std::int32_t> all = plays;
    const auto kept = [&](std::size_t row) { return keep(all[row]); };
    (thin(columns, kept), ...);
    thin(plays, kept);
  };
  auto& [play, player, time, x, y, vx, vy, sd_x, sd_y, corr_xy] = game.tracks;
  if (!std::all_of(play.begin(), play.end(), wanted))
    only(play, wanted, player, time, x, y, vx, vy, sd_x, sd_y, corr_xy);
  auto& snaps = game.snaps;
  only(snaps.play, wanted, snaps.ball_x, snaps.ball_y, snaps.direction, snaps.snap_time, snaps.throw_time,
       snaps.end_time, snaps.film_time);
  auto& people = game.people;
  only(
      people.play, [&](std::int32_t of) { return of == no_code || wanted(of); }, people.player, people.unit,
      people.position, people.role);

  std::erase_if(game.clicked, [&](const ClickedWay& way) { return !wanted(way.play); });
  for (ClickedWay& way : game.clicked) way.play -= first;

  for (auto* codes : {&play, &snaps.play, &people.play}) {
    for (std::int32_t& code : *codes) code -= code == no_code ? 0 : first;
  }
  game.plays = {game.plays.begin() + first, game.plays.begin() + end};
  return game;
}

void StoredGame::complete(Game& game) const {
  game.dropped = dropped;
  for (const ClickedWay& way : clicked) game.add_clicked(way);
}

GameInput StoredGame::input() const& {
  GameInput input;
  input.name = name;
  input.plays = plays;
  input.players = players;
  input.tracks = {tracks.play, tracks.player, tracks.time, tracks.x,    tracks.y,
                  tracks.vx,   tracks.vy,     tracks.sd_x, tracks.sd_y, tracks.corr_xy};
  input.snaps = {snaps.play,      snaps.ball_x,     snaps.ball_y,   snaps.direction,
                 snaps.snap_time, snaps.throw_time, snaps.end_time, snaps.film_time};
  input.people = {people.player, people.play, people.unit, people.position, people.role};
  input.kept_snaps = kept_snaps;
  input.kept_people = kept_people;
  return input;
}

}  // namespace shortedge
