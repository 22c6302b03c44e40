#include "file/results_file.hpp"

#include <doctest/doctest.h>

#include "base/error.hpp"
#include "sample.hpp"

using namespace sample;

namespace {

/// What reading says of the results, changed and written; nothing when they are read.
template <class Change>
doctest::String refusal(Results results, Change&& change) {
  const Folder folder;
  change(results);
  write_results(results, folder / "pocket.h5");
  try {
    read_results(folder / "pocket.h5");
  } catch (const FileError& error) {
    return doctest::String(error.what());
  }
  return doctest::String();
}

}  // namespace

TEST_CASE("results come back from their file bit for bit") {
  const Folder folder;
  Results results = sample::results();
  REQUIRE(results.tables.rushers.rows() > 0);
  REQUIRE(results.tables.edges.rows() > 0);
  results.tables.frames.pocket_width[0] = missing;
  results.tables.frames.nearest_rusher[1] = infinite;
  results.tables.frames.wall_left[0] = -1;
  write_results(results, folder / "pocket.h5");
  CHECK(same(read_results(folder / "pocket.h5"), results));
  CHECK(read_results(folder / "pocket.h5").definition == 3);
  CHECK(read_results(folder / "pocket.h5").notes.empty());
}

TEST_CASE("results without rows or names come back too") {
  const Folder folder;
  const Results nothing{};
  write_results(nothing, folder / "pocket.h5");
  CHECK(same(read_results(folder / "pocket.h5"), nothing));
}

TEST_CASE("codes beyond their list, odd times and odd rules are refused") {
  const auto said = [](auto&& change) { return refusal(sample::results(), change); };
  using doctest::Contains;
  CHECK(said([](Results& r) { r.tables.frames.play[1] = 3; }) ==
        Contains("table frames, column play: row 1: code 3; accepted: at least 0, below 3"));
  CHECK(said([](Results& r) { r.tables.edges.play[0] = -1; }) == Contains("column play: row 0: code -1"));
  CHECK(said([](Results& r) { r.tables.edges.rusher[0] = -2; }) ==
        Contains("column rusher: row 0: code -2; accepted: at least -1, below 10"));
  CHECK(said([](Results& r) { r.tables.rushers.lane[0] = 6; }) == Contains("column lane"));
  CHECK(said([](Results& r) { r.tables.edges.side[0] = -1; }) == Contains("column side"));
  CHECK(said([](Results& r) { r.tables.frames.status[0] = 5; }) == Contains("column status"));
  CHECK(said([](Results& r) { r.tables.edges.engaged[0] = 2; }) == Contains("column engaged"));
  CHECK(said([](Results& r) { r.tables.frames.time[0] = infinite; }) == Contains("column time: row 0: inf"));
  CHECK(said([](Results& r) { r.rules.vmax = 0; }) == Contains("rule vmax is 0"));
  CHECK(said([](Results&) {}) == "");
}

TEST_CASE("bands and their noise come back bit for bit") {
  const Folder folder;
  const Results results = sample::results_with_bands();
  REQUIRE(results.bands.frames.rows() == results.tables.frames.rows());
  REQUIRE(results.bands.edges.rows() > 0);
  write_results(results, folder / "pocket.h5");
  CHECK(same(read_results(folder / "pocket.h5"), results));
}

TEST_CASE("bands of other rows and noise that makes no sense are refused") {
  const auto said = [](auto&& change) { return refusal(sample::results_with_bands(), change); };
  using doctest::Contains;
  CHECK(said([](Results& r) { r.noise->sigma = -1; }) == Contains("table noise, column sigma: noise is -1"));
  CHECK(said([](Results& r) { r.noise->draws = 1; }) == Contains("draws is 1; accepted: 2 to 2000"));
  CHECK(said([](Results& r) { r.noise->seed = std::uint64_t{1} << 63; }) ==
        Contains("column seed: -9223372036854775808; accepted: 0 or more"));
  CHECK(said([](Results& r) {
          for (std::vector<double>& column : r.bands.edges.values) column.pop_back();
        }) == Contains("table edges_bands, column edge_man_agree"));
  CHECK(said([](Results&) {}) == "");
}

TEST_CASE("a game is not taken for results, nor results for a game") {
  const Folder folder;
  write_results(sample::results(), folder / "pocket.h5");
  write_game(sample::game(false), "", folder / "game.h5");
  CHECK_THROWS_WITH_AS(read_game(folder / "pocket.h5"),
                       doctest::Contains("pocket.h5: its schema is \"shortedge results\"; wanted: \"shortedge game\""),
                       FileError);
  CHECK_THROWS_WITH_AS(read_results(folder / "game.h5"), doctest::Contains("its schema is \"shortedge game\""),
                       FileError);
}
