#pragma once
/// A small invented game and its results, with the values and names a file is most likely to lose.

#include <unistd.h>

#include <cmath>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <limits>
#include <set>
#include <string>
#include <vector>

#include "file/game_file.hpp"
#include "file/reps_file.hpp"
#include "file/results_file.hpp"
#include "play/review.hpp"

namespace sample {

using namespace shortedge;
namespace fs = std::filesystem;

inline constexpr double missing = std::numeric_limits<double>::quiet_NaN();
inline constexpr double infinite = std::numeric_limits<double>::infinity();

inline const fs::path data_folder = SHORTEDGE_TEST_DATA;

/// An empty folder that goes away with its owner.
struct Folder {
  fs::path path;
  Folder() {
    std::string name = (fs::temp_directory_path() / "shortedge-XXXXXX").string();
    path = ::mkdtemp(name.data());
  }
  ~Folder() { fs::remove_all(path); }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  fs::path operator/(const std::string& name) const { return path / name; }
  std::set<std::string> names() const {
    std::set<std::string> found;
    for (const auto& entry : fs::directory_iterator(path)) found.insert(entry.path().filename().string());
    return found;
  }
};

inline std::string bytes(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

inline void put(const fs::path& path, const std::string& content) { std::ofstream(path, std::ios::binary) << content; }

/// Texts that are easily mangled, each valid UTF-8.
inline const std::vector<std::string> awkward{"plain",
                                              "Zoë Åström",
                                              "לוי כהן",
                                              "\"quoted\" 'twice'",
                                              "<b onclick=\"x()\">&amp;</b>",
                                              "a/b",
                                              ".",
                                              "日本語 😀",
                                              std::string(1024, 'n'),
                                              std::string(341, 'x') + std::string("é") + std::string(681, 'y')};

/// Three plays at 10 Hz: one whole, one with an infinite coordinate, one without a snap. Ten men, each name awkward.
inline Game game(bool velocity) {
  GameInput input;
  input.name = "Herons – Otters <week 3>";
  input.plays = {"1|\"5\"", "2|ב", "3|no snap"};
  for (int man = 0; man < 10; ++man) input.players.push_back(awkward[static_cast<std::size_t>(man)]);
  const char* positions[] = {"QB", "LT", "LG", "C", "RG", "RT", "RB", "DE", "DE", "free <text> ☂"};
  const double u[] = {0, -3.2, -1.6, 0, 1.6, 3.2, 2, -4.5, 4.5, 12}, v[] = {5, 1, 1, 1, 1, 1, 6, -1, -1, -6};
  std::vector<std::int32_t> play, player;
  std::vector<double> time, x, y, vx, vy;
  const auto add = [&](int of_play, int man, double at, double place_x, double place_y) {
    play.push_back(of_play);
    player.push_back(man);
    time.push_back(at);
    x.push_back(place_x);
    y.push_back(place_y);
    vx.push_back(at > 1 ? missing : 0.1 * man);
    vy.push_back(man == 3 ? -0.0 : 1e-310);
  };
  for (int of_play = 0; of_play < 3; ++of_play) {
    for (int man = 0; man < 10; ++man) {
      for (int frame = 0; frame < 20; ++frame) {
        const double rush = man == 7 || man == 8 ? 0.25 * frame : 0;
        add(of_play, man, 0.1 * frame, 60 - v[man] - rush + 1 / 3.0, 26 - u[man] + std::sin(frame * man) / 7);
      }
    }
  }
  x[20 * 10 + 5] = infinite;
  add(0, -1, 0.5, 1, 1);       // dropped: no player
  add(0, 4, 3.0, missing, 1);  // dropped: no place
  const std::vector<std::int32_t> snap_play{1, 0};
  const std::vector<double> ball_x{60, 60 + 1 / 3.0}, ball_y{26, 26.1}, direction{1, 1}, snap_time{0, 0.1},
      throw_time{missing, 1.7}, film_time{1e300, missing};
  std::vector<std::int32_t> who;
  std::vector<Unit> unit;
  std::vector<std::string> position;
  std::vector<std::int32_t> row_play;
  std::vector<Role> role;
  for (int man = 0; man < 10; ++man) {
    who.push_back(man);
    row_play.push_back(-1);
    unit.push_back(man < 7 ? Unit::offense : Unit::defense);
    position.emplace_back(positions[man]);
    role.push_back(man == 8 ? Role::rusher : Role::unset);
  }
  who.push_back(6);
  row_play.push_back(0);
  unit.push_back(Unit::offense);
  position.emplace_back("");
  role.push_back(Role::other);
  input.tracks = {play, player, time, x, y, {}, {}, {}, {}, {}};
  if (velocity) input.tracks = {play, player, time, x, y, vx, vy, {}, {}, {}};
  input.snaps = {snap_play, ball_x, ball_y, direction, snap_time, throw_time, {}, film_time};
  input.people = {who, row_play, unit, position, role};
  input.kept_snaps = {
      {"a/b", {missing, -0.0}, {}, {}},
      {".", {}, {std::numeric_limits<std::int64_t>::min(), std::numeric_limits<std::int64_t>::max()}, {}},
      {"", {}, {}, {"", awkward[2]}},
      {"תווית", {}, {}, {"", ""}},
      {"plain", {infinite, 5e-324}, {}, {}}};
  for (int i = 5; i < 12; ++i) input.kept_snaps.push_back({"further", {1.0 * i, 2.0 * i}, {}, {}});
  input.kept_people = {{"name", {}, {}, std::vector<std::string>(11, "x")}};
  input.kept_people[0].texts[3] = awkward[9];
  Game game = make_game(input, Orientation::trust);
  game.dropped.not_in_people = 77;  // a figure that opening the file cannot find again
  return game;
}

inline Results results() {
  const Game from = game(true);
  Results results{{Rules{}, from.name, "sha256:0123", "0.1.0", from.plays, from.players},
                  measure_game(from, Rules{}, 1)};
  results.rules.reach = 1.0 / 3;
  return results;
}

/// Reps of that game, with labels and one correction.
inline RepResults reps() {
  const Game from = game(true);
  RepResults reps{{Rules{}, from.name, "sha256:0123", "0.1.0", from.plays, from.players},
                  reps_of_game(from, Rules{}, 1),
                  {"<screen>", "סקרין"},
                  {}};
  const auto name = [](const std::vector<std::string>& names, std::int32_t code) {
    return code < 0 ? std::string() : names[static_cast<std::size_t>(code)];
  };
  const RepsTable& rows = reps.tables.reps;
  reps.corrections = {{name(from.plays, rows.play[0])},     {name(from.players, rows.protector[0])},
                      {name(from.players, rows.rusher[0])}, {"held"},
                      {"his man slipped & fell"},           {missing},
                      {name(from.players, rows.rusher[0])}, {"no"}};
  // A row in each of the tables that so short a play leaves empty.
  const auto filled = [&](auto& table) {
    if (table.rows() > 0) return;
    table.add(typename std::remove_reference_t<decltype(table)>::Row{});
    std::remove_reference_t<decltype(table)>::for_each(table, [](const ColumnInfo& column, auto& values) {
      if (column.missing == "never") values[0] = 0;
    });
    table.play[0] = rows.play[0];
  };
  filled(reps.tables.exchanges);
  filled(reps.tables.searches);
  filled(reps.tables.looks);
  reps.brought = {{"down", {}, {3}, {}}, {"\"odds\" <b>", {2.5}, {}, {}}, {"call", {}, {}, {"קבוצה"}}};
  return reps;
}

/// The same with bands.
inline Results results_with_bands() {
  Results with = results();
  with.noise = NoiseUsed{{0.1, 3, 5}, "stated"};
  with.bands = bands_of_game(game(true), with.rules, *with.noise);
  return with;
}
inline RepResults reps_with_bands() {
  RepResults with = reps();
  with.noise = NoiseUsed{{0.1, 3, 5}, "stated"};
  with.bands = rep_bands_of_game(game(true), with.rules, *with.noise);
  return with;
}

inline bool same_bits(const std::vector<double>& a, const std::vector<double>& b) {
  return a.size() == b.size() && (a.empty() || std::memcmp(a.data(), b.data(), a.size() * sizeof(double)) == 0);
}

inline bool same(const std::vector<KeptColumn>& a, const std::vector<KeptColumn>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(), [](const KeptColumn& one, const KeptColumn& other) {
    return one.name == other.name && same_bits(one.numbers, other.numbers) && one.integers == other.integers &&
           one.texts == other.texts;
  });
}

/// Everything a game holds, numbers bit for bit.
inline bool same(const Game& a, const Game& b) {
  const auto snap = [](const Snap& one, const Snap& other) {
    const auto numbers = [](const Snap& s) {
      return std::vector<double>{s.ball_x, s.ball_y, s.snap_time, s.throw_time, s.end_time, s.film_time};
    };
    return one.play == other.play && one.direction == other.direction && same_bits(numbers(one), numbers(other));
  };
  const auto person = [](const Person& one, const Person& other) {
    return one.player == other.player && one.play == other.play && one.unit == other.unit &&
           one.position == other.position && one.role == other.role;
  };
  const auto problem = [](const Problem& one, const Problem& other) {
    return one.play == other.play && one.reason == other.reason;
  };
  return a.name == b.name && a.plays == b.plays && a.players == b.players && a.tracks.player == b.tracks.player &&
         same_bits(a.tracks.time, b.tracks.time) && same_bits(a.tracks.x, b.tracks.x) &&
         same_bits(a.tracks.y, b.tracks.y) && same_bits(a.tracks.vx, b.tracks.vx) &&
         same_bits(a.tracks.vy, b.tracks.vy) && a.tracks.begin == b.tracks.begin &&
         std::equal(a.snaps.begin(), a.snaps.end(), b.snaps.begin(), b.snaps.end(), snap) &&
         std::equal(a.people.begin(), a.people.end(), b.people.begin(), b.people.end(), person) &&
         same(a.kept_snaps, b.kept_snaps) && same(a.kept_people, b.kept_people) &&
         std::equal(a.problems.begin(), a.problems.end(), b.problems.begin(), b.problems.end(), problem) &&
         a.dropped.no_player == b.dropped.no_player && a.dropped.not_in_people == b.dropped.not_in_people &&
         a.dropped.missing == b.dropped.missing;
}

/// As a caller opens a game file.
inline Game opened(const fs::path& path) {
  const StoredGame stored = read_game(path);
  Game game = make_game(stored.input(), Orientation::trust);
  stored.complete(game);
  return game;
}

template <class Table>
bool same_table(const Table& a, const Table& b) {
  std::vector<std::string> one, other;
  const auto into = [](std::vector<std::string>& to) {
    return [&to]<class T>(const ColumnInfo&, const std::vector<T>& column) {
      to.emplace_back(reinterpret_cast<const char*>(column.data()), column.size() * sizeof(T));
    };
  };
  Table::for_each(a, into(one));
  Table::for_each(b, into(other));
  return one == other;
}

inline bool same(const std::optional<NoiseUsed>& a, const std::optional<NoiseUsed>& b) {
  if (!a || !b) return !a && !b;
  return same_bits({a->sigma}, {b->sigma}) && a->draws == b->draws && a->seed == b->seed && a->found == b->found;
}

inline bool same(const Results& a, const Results& b) {
  if (!same(a.noise, b.noise) || !same_table(a.bands.frames, b.bands.frames) ||
      !same_table(a.bands.edges, b.bands.edges) || !same_table(a.bands.rushers, b.bands.rushers)) {
    return false;
  }
  std::vector<double> one, other;
  Rules::for_each(a.rules, [&](auto, double value, auto, auto) { one.push_back(value); });
  Rules::for_each(b.rules, [&](auto, double value, auto, auto) { other.push_back(value); });
  return same_table(a.tables.frames, b.tables.frames) && same_table(a.tables.edges, b.tables.edges) &&
         same_table(a.tables.rushers, b.tables.rushers) && same_bits(one, other) && a.game == b.game &&
         a.digest == b.digest && a.library_version == b.library_version && a.plays == b.plays &&
         a.players == b.players && a.definition == b.definition;
}

inline bool same(const RepResults& a, const RepResults& b) {
  const auto texts = [](const RepResults& of) {
    const Corrections& c = of.corrections;
    return std::vector{of.labels,
                       of.plays,
                       of.players,
                       c.play,
                       c.protector,
                       c.rusher,
                       c.outcome,
                       c.note,
                       c.given_to,
                       c.helped,
                       {of.game, of.digest, of.library_version}};
  };
  return same(a.noise, b.noise) && a.definition == b.definition && same_table(a.bands.reps, b.bands.reps) &&
         same_table(a.tables.reps, b.tables.reps) && same_table(a.tables.exchanges, b.tables.exchanges) &&
         same_table(a.tables.searches, b.tables.searches) && same_table(a.tables.looks, b.tables.looks) &&
         same(a.brought, b.brought) && same_table(a.tables.dropbacks, b.tables.dropbacks) && texts(a) == texts(b) &&
         same_bits(a.corrections.beat_time, b.corrections.beat_time);
}

}  // namespace sample
