#include "file/game_file.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "base/error.hpp"
#include "sample.hpp"

using namespace sample;

namespace {
const std::string older_definition =
                      "made by an older definition: edges and blockers are of the protector nearest in each frame",
                  no_comings = "reps: an older file; missing: came, dropped, help_side, exchanged";
/// What reps lack that were written before version 4.
const std::vector<std::string> before_4{"dropbacks: an older file; missing: ball_across, wide_side, snap, line",
                                        "an older file; missing: the table exchanges",
                                        "an older file; missing: the table searches",
                                        "an older file; missing: the table looks"};
std::vector<std::string> also_before_4(std::vector<std::string> said) {
  said.insert(said.end(), before_4.begin(), before_4.end());
  return said;
}
}  // namespace

TEST_CASE("a game comes back from its file bit for bit") {
  const Folder folder;
  for (const bool velocity : {false, true}) {
    const Game game = sample::game(velocity);
    REQUIRE(game.problems.size() == 2);
    REQUIRE(game.dropped.missing == 1);
    write_game(game, "sha256:ab", folder / "game.h5");
    CHECK(read_game(folder / "game.h5").digest == "sha256:ab");
    CHECK(same(opened(folder / "game.h5"), game));
  }
}

TEST_CASE("clicks that men were smoothed from come back, whole and in parts") {
  const Folder folder;
  Game game = sample::game(true);
  const auto way = [&](std::int32_t play, std::int32_t player, std::optional<double> rest, int many) {
    ClickedWay made{play, player, {}, rest, {.jerk = 300, .start_jerk = 1500, .start = 8, .tail = 4}};
    for (int i = 0; i < many; ++i) {
      Eigen::Matrix2d covariance;
      covariance << 0.02 + i, 0.001 * i, 0.001 * i, 1.0 / 3;
      made.clicks.push_back({0.1 * i, {50 + i / 7.0, 26.0 - player}, covariance});
    }
    return made;
  };
  game.add_clicked(way(1, 2, std::nullopt, 5));
  game.add_clicked(way(0, 3, 1.5, 3));
  game.add_clicked(way(0, 1, 0.0, 1));
  write_game(game, "", folder / "game.h5");
  const auto same_ways = [](const std::vector<ClickedWay>& a, const std::vector<ClickedWay>& b) {
    return std::equal(a.begin(), a.end(), b.begin(), b.end(), [](const ClickedWay& one, const ClickedWay& other) {
      return one.play == other.play && one.player == other.player && one.rest == other.rest &&
             one.options.jerk == other.options.jerk && one.options.start_jerk == other.options.start_jerk &&
             one.options.start == other.options.start && one.options.tail == other.options.tail &&
             std::equal(one.clicks.begin(), one.clicks.end(), other.clicks.begin(), other.clicks.end(),
                        [](const Click& p, const Click& q) {
                          return p.time == q.time && p.place == q.place && p.covariance == q.covariance;
                        });
    });
  };
  REQUIRE(game.clicked.size() == 3);
  CHECK(same_ways(opened(folder / "game.h5").clicked, game.clicked));
  CHECK(same(opened(folder / "game.h5"), game));
  const GameRows rows = read_game_rows(folder / "game.h5");
  const StoredGame part = read_game(folder / "game.h5", {1, 2, rows.begin[1], rows.begin[2], {}});
  REQUIRE(part.clicked.size() == 1);
  CHECK(part.clicked[0].play == 0);
  CHECK(part.clicked[0].player == 2);
  CHECK(part.clicked[0].clicks.size() == 5);
  CHECK(!part.clicked[0].rest);
  // A variance below 0 is no file of ours.
  game.clicked[2].clicks[1].covariance(0, 0) = -1;
  write_game(game, "", folder / "bad.h5");
  CHECK_THROWS_WITH_AS(read_game(folder / "bad.h5"), doctest::Contains("positive definite"), FileError);
}

TEST_CASE("any file name will do") {
  const Folder folder;
  const Game game = sample::game(false);
  for (const std::string& name :
       {std::string("<b>\"x\"&amp;.h5"), std::string("משחק 1.h5"), std::string(255, 'n'), std::string("not\xFFutf8")}) {
    write_game(game, "", folder / name);
    CHECK(same(opened(folder / name), game));
  }
}

TEST_CASE("one game gives the same bytes each time") {
  const Folder folder;
  const Game game = sample::game(true);
  write_game(game, "d", folder / "a.h5");
  write_game(game, "d", folder / "b.h5");
  CHECK(bytes(folder / "a.h5") == bytes(folder / "b.h5"));
}

TEST_CASE("a large game fills many chunks") {
  const Folder folder;
  Game game = sample::game(true);
  const std::size_t rows = 200'001;
  Tracks& tracks = game.tracks;
  tracks = {std::vector<std::int32_t>(rows, 3), {}, {}, {}, {}, {}, {}, {}, {}, {0, rows, rows, rows}};
  for (std::vector<double>* column : {&tracks.time, &tracks.x, &tracks.y, &tracks.vx, &tracks.vy}) {
    for (std::size_t row = 0; row < rows; ++row) column->push_back(std::sin(static_cast<double>(row + column->size())));
  }
  write_game(game, "", folder / "game.h5");
  const StoredGame read = read_game(folder / "game.h5");
  CHECK(read.tracks.player == tracks.player);
  CHECK(read.tracks.play == std::vector<std::int32_t>(rows, 0));
  CHECK(same_bits(read.tracks.time, tracks.time));
  CHECK(same_bits(read.tracks.x, tracks.x));
  CHECK(same_bits(read.tracks.vy, tracks.vy));
}

TEST_CASE("text a file cannot hold is refused, and told where") {
  const Folder folder;
  const auto write = [&](auto&& change) {
    Game game = sample::game(false);
    change(game);
    write_game(game, "", folder / "game.h5");
  };
  CHECK_THROWS_WITH_AS(write([](Game& game) { game.players[2] = std::string(1025, 'n'); }),
                       doctest::Contains("table players, column name: a text of 1025 bytes; accepted: at most 1024"),
                       InputError);
  CHECK_THROWS_WITH_AS(write([](Game& game) { game.name = std::string(1025, 'n'); }), doctest::Contains("1025 bytes"),
                       InputError);
  CHECK_THROWS_WITH_AS(write([](Game& game) { game.plays[0] = std::string("a\0b", 3); }), doctest::Contains("NUL"),
                       InputError);
  // Overlong, a surrogate, beyond U+10FFFF, cut short, a lone continuation: RFC 3629 allows none.
  for (const char* text : {"\xC0\xAF", "\xED\xA0\x80", "\xF4\x90\x80\x80", "ab\xE2\x82", "\x80", "\xFF"}) {
    CHECK_THROWS_WITH_AS(write([&](Game& game) { game.people[1].position = text; }), doctest::Contains("not UTF-8"),
                         InputError);
  }
  CHECK_THROWS_WITH_AS(write([](Game& game) { game.kept_snaps.assign(1001, {"k", {1, 2}, {}, {}}); }),
                       doctest::Contains("at most 1000 columns"), InputError);
  CHECK(folder.names().empty());
}

TEST_CASE("files of schema 1 are read for good") {
  // Made when that was the version, and kept: a later one gets files of its own.
  const fs::path game_path = data_folder / "schema1_game.h5", results_path = data_folder / "schema1_results.h5",
                 reps_path = data_folder / "schema1_reps.h5";
  CHECK(same(opened(game_path), sample::game(true)));
  const Results results = read_results(results_path);
  CHECK(results.players == awkward);
  CHECK(results.rules.reach == 1.0 / 3);
  CHECK(results.tables.frames.rows() == 19);
  CHECK(!results.noise);
  // They do not tell the definition: it is the one before it was told.
  CHECK(results.definition == 2);
  CHECK(results.notes == std::vector{older_definition});
  const RepResults reps = read_reps(reps_path);
  CHECK(reps.definition == 2);
  CHECK(reps.notes == also_before_4({older_definition, no_comings}));
  CHECK(reps.tables.reps.came.size() == reps.tables.reps.rows());
  CHECK(std::all_of(reps.tables.reps.came.begin(), reps.tables.reps.came.end(),
                    [](double came) { return std::isnan(came); }));
  CHECK(reps.players == awkward);
  CHECK(reps.labels == std::vector<std::string>{"<screen>", "סקרין"});
  CHECK(reps.corrections.note == std::vector<std::string>{"his man slipped & fell"});
  CHECK(reps.corrections.given_to == std::vector<std::string>{""});
  CHECK(reps.corrections.helped == std::vector<std::string>{""});
  CHECK(reps.tables.dropbacks.rows() == 1);
  // What it had not yet is missing, and said; so is that it is of an older definition.
  CHECK(std::all_of(reps.tables.reps.came.begin(), reps.tables.reps.came.end(),
                    [](double time) { return std::isnan(time); }));
  CHECK(reps.tables.reps.came.size() == reps.tables.reps.rows());
  CHECK(results.definition == definition - 1);
  REQUIRE(results.notes.size() == 1);
  CHECK(results.notes[0].find("older definition") != std::string::npos);
}

TEST_CASE("reps of schema 4 are read for good") {
  // Made once: SHORTEDGE_MAKE_SCHEMA_FILES=1 writes it anew. A changed format gets a new version and a new file.
  const fs::path reps_path = data_folder / "schema4_reps.h5";
  if (std::getenv("SHORTEDGE_MAKE_SCHEMA_FILES")) write_reps(sample::reps_with_bands(), reps_path);
  const RepResults reps = read_reps(reps_path);
  CHECK(reps.notes.empty());
  REQUIRE(reps.tables.dropbacks.rows() == 1);
  CHECK(reps.tables.dropbacks.snap[0] == code(Snapped::clean));
  CHECK(reps.players == awkward);
  CHECK(reps.corrections.helped == std::vector<std::string>{"no"});
  CHECK(reps.corrections.given_to == sample::reps().corrections.given_to);
  CHECK(reps.bands.reps.rows() == reps.tables.reps.rows());
  CHECK(reps.tables.looks.rows() == sample::reps().tables.looks.rows());
  CHECK(same(std::vector<KeptColumn>(reps.brought), sample::reps().brought));
}

TEST_CASE("results and reps of schema 3 are read for good") {
  const fs::path path = data_folder / "schema3_results.h5", reps_path = data_folder / "schema3_reps.h5";
  const Results results = read_results(path);
  CHECK(results.tables.frames.rows() == 19);
  CHECK(results.definition == 3);
  CHECK(results.notes.empty());
  REQUIRE(results.noise);
  CHECK(results.bands.rushers.rows() == results.tables.rushers.rows());
  const RepResults reps = read_reps(reps_path);
  CHECK(reps.notes == also_before_4({"reps: an older file; missing: help_side, exchanged"}));
  CHECK(reps.tables.exchanges.rows() + reps.tables.searches.rows() + reps.tables.looks.rows() == 0);
  CHECK(reps.brought.empty());
  CHECK(std::none_of(reps.tables.reps.came.begin(), reps.tables.reps.came.end(), [](double time) { return time < 0; }));
  CHECK(reps.bands.reps.rows() == reps.tables.reps.rows());
}

TEST_CASE("results and reps of schema 2 are read for good") {
  const fs::path path = data_folder / "schema2_results.h5", reps_path = data_folder / "schema2_reps.h5";
  const Results results = read_results(path);
  CHECK(results.tables.frames.rows() == 19);
  REQUIRE(results.noise);
  CHECK(results.noise->sigma == 0.1);
  CHECK(results.noise->draws == 3);
  CHECK(results.bands.frames.rows() == 19);
  CHECK(results.bands.rushers.rows() == results.tables.rushers.rows());
  CHECK(results.definition == 2);
  CHECK(results.notes == std::vector{older_definition});
  const RepResults reps = read_reps(reps_path);
  CHECK(reps.notes == also_before_4({older_definition, no_comings}));
  CHECK(reps.tables.reps.dropped.size() == reps.tables.reps.rows());
  CHECK(std::all_of(reps.tables.reps.dropped.begin(), reps.tables.reps.dropped.end(),
                    [](double at) { return std::isnan(at); }));
  // Bands of what an older file had not yet are missing too; the others are as long.
  BandTable<RepsTable>::for_each(reps.bands.reps, [&](const ColumnInfo& info, const std::vector<double>& column) {
    CAPTURE(info.name);
    CHECK(column.size() == reps.tables.reps.rows());
    const bool newer =
        info.name.starts_with("came_") || info.name.starts_with("dropped_") || info.name.starts_with("help_side_");
    if (newer) CHECK(std::all_of(column.begin(), column.end(), [](double value) { return std::isnan(value); }));
  });
  REQUIRE(reps.noise);
  CHECK(reps.noise->seed == 5);
  CHECK(reps.bands.reps.rows() == reps.tables.reps.rows());
}

TEST_CASE("a game comes back in parts") {
  const Folder folder;
  const Game game = sample::game(true);
  write_game(game, "sha256:ab", folder / "game.h5");
  const GameRows rows = read_game_rows(folder / "game.h5");
  CHECK(rows.plays == game.plays);
  CHECK(rows.begin == game.tracks.begin);
  std::vector<double> x;
  std::size_t snaps = 0;
  for (std::size_t play = 0; play < game.plays.size(); ++play) {
    const StoredGame part = read_game(folder / "game.h5", {play, play + 1, rows.begin[play], rows.begin[play + 1], {}});
    CHECK(part.plays == std::vector{game.plays[play]});
    CHECK(part.players == game.players);
    CHECK(std::all_of(part.tracks.play.begin(), part.tracks.play.end(), [](std::int32_t code) { return code == 0; }));
    CHECK(part.dropped.missing == (play == 0 ? game.dropped.missing : 0));
    x.insert(x.end(), part.tracks.x.begin(), part.tracks.x.end());
    snaps += part.snaps.play.size();
  }
  CHECK(same_bits(x, game.tracks.x));
  CHECK(snaps == game.snaps.size());

  const std::size_t end = game.plays.size();
  const StoredGame without = read_game(folder / "game.h5", {0, end, 0, rows.begin[end], {1}});
  CHECK(std::find(without.tracks.play.begin(), without.tracks.play.end(), 1) == without.tracks.play.end());
  CHECK(std::find(without.snaps.play.begin(), without.snaps.play.end(), 1) == without.snaps.play.end());
  CHECK(without.tracks.x.size() == game.tracks.x.size() - (rows.begin[2] - rows.begin[1]));
  CHECK_THROWS_AS(read_game(folder / "game.h5", GamePart{0, end + 1, 0, 1, {}}), FileError);
}
