#include "file/reps_file.hpp"

#include <doctest/doctest.h>

#include "base/error.hpp"
#include "file/kind.hpp"
#include "file/table_file.hpp"
#include "sample.hpp"

using namespace sample;

TEST_CASE("reps come back from their file bit for bit") {
  const Folder folder;
  const RepResults reps = sample::reps();
  REQUIRE(reps.tables.reps.rows() > 3);
  write_reps(reps, folder / "reps.h5");
  CHECK(same(read_reps(folder / "reps.h5"), reps));
}

TEST_CASE("bands of reps come back bit for bit") {
  const Folder folder;
  const RepResults reps = sample::reps_with_bands();
  REQUIRE(reps.bands.reps.rows() == reps.tables.reps.rows());
  write_reps(reps, folder / "reps.h5");
  CHECK(same(read_reps(folder / "reps.h5"), reps));
}

TEST_CASE("a file's kind is what it states, and no reader takes another kind") {
  const Folder folder;
  write_game(sample::game(true), "", folder / "game");
  write_results(sample::results(), folder / "results");
  write_reps(sample::reps(), folder / "reps");
  CHECK(kind_of_file(folder / "game") == FileKind::game);
  CHECK(kind_of_file(folder / "results") == FileKind::results);
  CHECK(kind_of_file(folder / "reps") == FileKind::reps);
  CHECK_THROWS_WITH_AS(read_reps(folder / "results"),
                       doctest::Contains("its schema is \"shortedge results\"; wanted: \"shortedge reps\""), FileError);
  CHECK_THROWS_WITH_AS(read_results(folder / "game"), doctest::Contains("wanted: \"shortedge results\""), FileError);
  CHECK_THROWS_WITH_AS(read_game(folder / "reps"), doctest::Contains("wanted: \"shortedge game\""), FileError);
}

TEST_CASE("a file of another schema has no kind") {
  const Folder folder;
  file::TableWriter(folder / "x", {"a shopping list", 1}, {}).commit();
  CHECK_THROWS_WITH_AS(kind_of_file(folder / "x"), doctest::Contains("its schema is none that this library reads"),
                       FileError);
}
