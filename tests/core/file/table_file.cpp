// Files that are not what they say they are, each made with HDF5's own C API: a good game file with one thing changed.

#include "file/table_file.hpp"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <hdf5.h>
#include <sys/file.h>
#include <sys/inotify.h>
#include <unistd.h>

#include <algorithm>
#include <functional>

#include "base/error.hpp"
#include "file/text.hpp"
#include "sample.hpp"

using namespace sample;
using doctest::Contains;
using doctest::String;

namespace {

hid_t ok(hid_t result) {
  REQUIRE(result >= 0);
  return result;
}

/// How a dataset is made; by default as the library makes a column of 10 numbers.
struct Make {
  hid_t type = H5T_IEEE_F64LE;
  std::vector<hsize_t> shape{10}, most{};
  hsize_t chunk = 10;  // 0: contiguous
  bool filtered = true;
  std::function<void(hid_t)> property = [](hid_t) {};
};

hid_t make(hid_t at, const char* name, const Make& how) {
  const hid_t space = how.shape.empty() ? ok(H5Screate(H5S_SCALAR))
                                        : ok(H5Screate_simple(static_cast<int>(how.shape.size()), how.shape.data(),
                                                              how.most.empty() ? nullptr : how.most.data()));
  const hid_t creation = ok(H5Pcreate(H5P_DATASET_CREATE));
  if (how.chunk > 0) {
    const std::vector<hsize_t> chunk(how.shape.size(), how.chunk);
    ok(H5Pset_chunk(creation, static_cast<int>(chunk.size()), chunk.data()));
  }
  if (how.filtered) {
    ok(H5Pset_shuffle(creation));
    ok(H5Pset_deflate(creation, 4));
    ok(H5Pset_fletcher32(creation));
  }
  how.property(creation);
  const hid_t dataset = ok(H5Dcreate2(at, name, how.type, space, H5P_DEFAULT, creation, H5P_DEFAULT));
  H5Pclose(creation);
  H5Sclose(space);
  return dataset;
}

hid_t text_type(std::size_t bytes, H5T_str_t pad = H5T_STR_NULLPAD, H5T_cset_t set = H5T_CSET_UTF8) {
  const hid_t type = ok(H5Tcopy(H5T_C_S1));
  ok(H5Tset_size(type, bytes));
  ok(H5Tset_strpad(type, pad));
  ok(H5Tset_cset(type, set));
  return type;
}

void replace(hid_t file, const char* name, const Make& how) {
  ok(H5Ldelete(file, name, H5P_DEFAULT));
  ok(H5Dclose(make(file, name, how)));
}

template <class T>
void set_row(hid_t file, const char* name, hid_t type, hsize_t row, T value) {
  const hid_t dataset = ok(H5Dopen2(file, name, H5P_DEFAULT)), space = ok(H5Dget_space(dataset));
  const hsize_t one = 1;
  const hid_t memory = ok(H5Screate_simple(1, &one, nullptr));
  ok(H5Sselect_hyperslab(space, H5S_SELECT_SET, &row, nullptr, &one, nullptr));
  ok(H5Dwrite(dataset, type, memory, space, H5P_DEFAULT, &value));
  ok(H5Dclose(dataset));
}

/// Writes a text into a row of the table "file".
void set_text(hid_t file, hsize_t row, std::string text, const char* column = "file/text") {
  const hid_t dataset = ok(H5Dopen2(file, column, H5P_DEFAULT)), space = ok(H5Dget_space(dataset)),
              type = ok(H5Dget_type(dataset));
  const hsize_t one = 1;
  const hid_t memory = ok(H5Screate_simple(1, &one, nullptr));
  text.resize(H5Tget_size(type));
  ok(H5Sselect_hyperslab(space, H5S_SELECT_SET, &row, nullptr, &one, nullptr));
  ok(H5Dwrite(dataset, type, memory, space, H5P_DEFAULT, text.data()));
}

/// Makes a file of before files told what their columns add up to: the last name of the table "file" is another.
void untell_content(hid_t file) {
  const hid_t dataset = ok(H5Dopen2(file, "file/name", H5P_DEFAULT)), space = ok(H5Dget_space(dataset));
  hsize_t rows = 0;
  ok(H5Sget_simple_extent_dims(space, &rows, nullptr));
  set_text(file, rows - 1, "before", "file/name");
}

/// A file made by `write` into a new folder.
std::string made(const std::function<void(const fs::path&)>& write) {
  const Folder once;
  write(once / "made.h5");
  return bytes(once / "made.h5");
}

/// A game file, or another, and beside it one that nothing in the first may make the library open.
struct Forged {
  Folder folder;
  fs::path path = folder / "game.h5", outside = folder / "outside.h5";
  int watch = ::inotify_init1(IN_NONBLOCK);
  Forged() {
    static const std::string good = made([](const fs::path& to) { write_game(sample::game(false), "", to); });
    put(path, good);
    put(outside, good);
  }
  explicit Forged(const std::string& content) { put(path, content); }
  ~Forged() { ::close(watch); }

  void alter(const std::function<void(hid_t)>& change) const {
    const shortedge::file::Session quiet;
    const hid_t access = ok(H5Pcreate(H5P_FILE_ACCESS));
    ok(H5Pset_libver_bounds(access, H5F_LIBVER_V110, H5F_LIBVER_V110));
    ok(H5Pset_fclose_degree(access, H5F_CLOSE_STRONG));
    const hid_t file = ok(H5Fopen(path.c_str(), H5F_ACC_RDWR, access));
    change(file);
    ok(H5Fclose(file));
    H5Pclose(access);
  }

  /// What read_game says of the file; empty when it takes it.
  String said() {
    REQUIRE(::inotify_add_watch(watch, outside.c_str(), IN_OPEN) >= 0);
    String text;
    try {
      read_game(path);
    } catch (const FileError& error) {
      text = error.what();
    }
    char event[4096];
    CHECK_MESSAGE(::read(watch, event, sizeof event) < 0, "the other file was opened");
    return text;
  }
};

/// The good file with one change, and what is said of it.
String said_of(const std::function<void(hid_t)>& change) {
  Forged forged;
  CHECK(forged.said() == "");
  forged.alter(change);
  const String text = forged.said();
  CHECK(text == Contains("game.h5"));
  return text.size() ? text : "taken";
}

}  // namespace

TEST_CASE("the watch sees a file being opened") {
  Forged forged;
  REQUIRE(::inotify_add_watch(forged.watch, forged.outside.c_str(), IN_OPEN) >= 0);
  read_game(forged.outside);
  char event[4096];
  CHECK(::read(forged.watch, event, sizeof event) > 0);
}

TEST_CASE("links other than hard ones are refused, and not followed") {
  const auto relinked = [](auto&& link) {
    return [=](hid_t file) {
      ok(H5Ldelete(file, "tracks/x", H5P_DEFAULT));
      ok(link(file));
    };
  };
  CHECK(said_of(relinked([](hid_t file) {
          return H5Lcreate_external("outside.h5", "tracks/x", file, "tracks/x", H5P_DEFAULT, H5P_DEFAULT);
        })) == Contains("table tracks, column x: an external link; only hard links are followed"));
  CHECK(said_of(relinked([](hid_t file) {
          return H5Lcreate_soft("/tracks/y", file, "tracks/x", H5P_DEFAULT, H5P_DEFAULT);
        })) == Contains("column x: a soft link"));
  CHECK(said_of(relinked([](hid_t file) { return H5Lcreate_soft("x", file, "tracks/x", H5P_DEFAULT, H5P_DEFAULT); })) ==
        Contains("column x: a soft link"));
  CHECK(
      said_of(relinked([](hid_t file) {
        const H5L_class_t own{H5L_LINK_CLASS_T_VERS,
                              static_cast<H5L_type_t>(200),
                              "own",
                              nullptr,
                              nullptr,
                              nullptr,
                              [](const char*, hid_t, const void*, std::size_t, hid_t, hid_t) -> hid_t { std::abort(); },
                              nullptr,
                              nullptr};
        ok(H5Lregister(&own));
        return H5Lcreate_ud(file, "tracks/x", static_cast<H5L_type_t>(200), "outside.h5", 11, H5P_DEFAULT, H5P_DEFAULT);
      })) == Contains("column x: a link of a user's own class"));
  CHECK(said_of([](hid_t file) {
          ok(H5Ldelete(file, "tracks", H5P_DEFAULT));
          ok(H5Lcreate_external("outside.h5", "tracks", file, "tracks", H5P_DEFAULT, H5P_DEFAULT));
        }) == Contains("table tracks: an external link"));
}

TEST_CASE("cycles come to an end") {
  CHECK(said_of([](hid_t file) { ok(H5Lcreate_hard(file, "/", file, "tracks/again", H5P_DEFAULT, H5P_DEFAULT)); }) ==
        Contains("table tracks: 6 columns; this library reads 5"));
  CHECK(said_of([](hid_t file) {
          ok(H5Ldelete(file, "tracks/x", H5P_DEFAULT));
          ok(H5Lcreate_hard(file, "/", file, "tracks/x", H5P_DEFAULT, H5P_DEFAULT));
        }) == Contains("table tracks, column x: not a dataset"));
  CHECK(said_of([](hid_t file) {
          ok(H5Ldelete(file, "tracks", H5P_DEFAULT));
          ok(H5Lcreate_hard(file, "/", file, "tracks", H5P_DEFAULT, H5P_DEFAULT));
        }) == Contains("table tracks, column play is missing"));
}

TEST_CASE("values that stand elsewhere are refused, and not fetched") {
  CHECK(said_of([](hid_t file) {
          replace(file, "tracks/x", {.chunk = 0, .filtered = false, .property = [](hid_t creation) {
                                       ok(H5Pset_external(creation, "outside.h5", 0, 80));
                                     }});
        }) == Contains("table tracks, column x: external storage"));
  for (const bool growing : {false, true}) {
    CHECK(said_of([=](hid_t file) {
            const hsize_t rows = 10, most = growing ? H5S_UNLIMITED : rows, zero = 0;
            const hid_t source = ok(H5Screate_simple(1, &rows, &most)), mapped = ok(H5Screate_simple(1, &rows, &most));
            ok(H5Sselect_hyperslab(source, H5S_SELECT_SET, &zero, nullptr, &most, nullptr));
            ok(H5Sselect_hyperslab(mapped, H5S_SELECT_SET, &zero, nullptr, &most, nullptr));
            replace(file, "tracks/x", {.most = {most}, .chunk = 0, .filtered = false, .property = [=](hid_t creation) {
                                         ok(H5Pset_virtual(creation, mapped, "outside.h5", "/tracks/x", source));
                                       }});
          }) == Contains("table tracks, column x: a virtual dataset"));
  }
}

TEST_CASE("columns of another type, rank, length or storage are refused") {
  const auto column_x = [](const Make& how) { return said_of([&](hid_t file) { replace(file, "tracks/x", how); }); };
  CHECK(column_x({.type = H5T_IEEE_F32LE}) ==
        Contains("column x: floating-point numbers of 4 bytes; this library reads floating-point numbers of 8 bytes"));
  CHECK(column_x({.type = H5T_STD_I64LE}) == Contains("column x: integers of 8 bytes; this library reads"));
  CHECK(column_x({.type = H5T_IEEE_F64BE}) == Contains("column x: floating-point numbers"));
  CHECK(column_x({.type = text_type(8)}) == Contains("column x: text of 8 bytes; this library reads"));
  const hid_t lists = ok(H5Tvlen_create(H5T_IEEE_F64LE)), text = text_type(H5T_VARIABLE);
  CHECK(column_x({.type = lists, .filtered = false}) == Contains("column x: values of variable length"));
  CHECK(column_x({.type = text, .filtered = false}) == Contains("column x: text of variable length"));
  CHECK(column_x({.shape = {10, 1}, .chunk = 1}) == Contains("column x: not one-dimensional"));
  CHECK(column_x({.shape = {}, .chunk = 0, .filtered = false}) == Contains("column x: not stored in chunks"));
  CHECK(column_x({.chunk = 0, .filtered = false}) == Contains("column x: not stored in chunks"));
  CHECK(column_x({}) == Contains("column x: 10 rows, where the table has 600"));
  CHECK(column_x({.most = {H5S_UNLIMITED}}) == Contains("column x: a dataset that can grow"));
  CHECK(column_x({.shape = {600}, .chunk = 600}) == Contains("column x: a chunk is missing"));
  const auto filter = Contains("column x: its filters are not shuffle, deflate and fletcher32");
  CHECK(column_x({.filtered = false}) == filter);
  CHECK(column_x({.filtered = false, .property = [](hid_t creation) { ok(H5Pset_deflate(creation, 1)); }}) == filter);
  CHECK(column_x({.property = [](hid_t creation) {
          ok(H5Pset_chunk_opts(creation, H5D_CHUNK_DONT_FILTER_PARTIAL_CHUNKS));
        }}) == filter);
  const H5Z_class2_t own{
      H5Z_CLASS_T_VERS,
      400,
      1,
      1,
      "own",
      nullptr,
      nullptr,
      [](unsigned, std::size_t, const unsigned*, std::size_t bytes, std::size_t*, void**) { return bytes; }};
  ok(H5Zregister(&own));
  CHECK(column_x({.property = [](hid_t creation) { ok(H5Pset_filter(creation, 400, 0, 0, nullptr)); }}) == filter);
  H5Zunregister(400);

  CHECK(said_of([](hid_t file) {
          const hid_t type = ok(H5Tcopy(H5T_IEEE_F64LE));
          ok(H5Tcommit2(file, "people/kind", type, H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT));
          replace(file, "tracks/x", {.type = type});
        }) == Contains("column x: a committed type"));
  CHECK(said_of([](hid_t file) {
          ok(H5Ldelete(file, "tracks/x", H5P_DEFAULT));
          ok(H5Tcommit2(file, "tracks/x", ok(H5Tcopy(H5T_IEEE_F64LE)), H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT));
        }) == Contains("column x: not a dataset"));

  const auto names = [](const Make& how) { return said_of([&](hid_t file) { replace(file, "players/name", how); }); };
  CHECK(names({.type = text, .filtered = false}) == Contains("table players, column name: text of variable length"));
  CHECK(names({.type = H5T_STD_I32LE}) == Contains("column name: not text"));
  CHECK(names({.type = text_type(9, H5T_STR_NULLTERM)}) == Contains("column name: text, but not null-padded UTF-8"));
  CHECK(names({.type = text_type(9, H5T_STR_NULLPAD, H5T_CSET_ASCII)}) ==
        Contains("column name: text, but not null-padded UTF-8"));
  CHECK(names({.type = text_type(1025)}) == Contains("column name: text of 1025 bytes; accepted: at most 1024"));
}

TEST_CASE("sizes that cannot be are refused before memory is asked for") {
  const auto rows = [](hsize_t count, hsize_t chunk, const char* name = "tracks/x", hid_t type = H5T_IEEE_F64LE) {
    return said_of([=](hid_t file) { replace(file, name, {.type = type, .shape = {count}, .chunk = chunk}); });
  };
  CHECK(rows(hsize_t{1} << 62, 1000) == Contains("rows declared; a file's columns take at most 4294967296 bytes"));
  CHECK(rows((hsize_t{1} << 29) + 1, 1000) == Contains("rows declared; a file's columns take at most"));
  CHECK(rows(100'000'000, 1000) == Contains("100000000 rows declared; a file of"));
  CHECK(rows(140'000'000, 1000, "plays/name", text_type(1)) ==
        Contains("rows declared; a file's columns take at most"));
  CHECK(rows(1'000'000, 131'073) == Contains("a chunk holds at most 1048576 bytes"));
}

TEST_CASE("tables and columns that are missing or do not belong are named") {
  CHECK(said_of([](hid_t file) { ok(H5Ldelete(file, "people", H5P_DEFAULT)); }) == Contains("table people is missing"));
  CHECK(said_of([](hid_t file) { ok(H5Ldelete(file, "snaps/ball_x", H5P_DEFAULT)); }) ==
        Contains("table snaps, column ball_x is missing"));
  CHECK(said_of([](hid_t file) { ok(H5Ldelete(file, "kept_snaps/3", H5P_DEFAULT)); }) ==
        Contains("table kept_snaps, column 3 is missing"));
  CHECK(said_of([](hid_t file) { ok(H5Dclose(make(file, "snaps/b\xFF\n", {}))); }) ==
        Contains("table snaps: 9 columns; this library reads 8"));
  CHECK(said_of([](hid_t file) { ok(H5Dclose(make(file, "extra", {}))); }) ==
        Contains("game.h5: 12 tables; this library reads 11"));
  CHECK(said_of([](hid_t file) { ok(H5Dclose(make(file, "tracks/vx", {.shape = {600}, .chunk = 600}))); }) ==
        Contains("column vx: a chunk is missing"));
  CHECK(said_of([](hid_t file) { replace(file, "dropped", {}); }) == Contains("table dropped: not a group"));
  CHECK(said_of([](hid_t file) {
          const hid_t group = ok(H5Gopen2(file, "snaps", H5P_DEFAULT));
          for (int i = 0; i < 1000; ++i)
            ok(H5Lcreate_hard(group, "play", group, std::to_string(i).c_str(), H5P_DEFAULT, H5P_DEFAULT));
        }) == Contains("table snaps: its links stand in a heap, as of a group of more than 1000"));
}

TEST_CASE("values no writer writes are refused") {
  CHECK(said_of([](hid_t file) { set_row(file, "tracks/play", H5T_NATIVE_INT32, 7, 3); }) ==
        Contains("table tracks, column play: row 7: code 3; accepted: at least 0, below 3"));
  CHECK(said_of([](hid_t file) { set_row(file, "tracks/player", H5T_NATIVE_INT32, 0, -1); }) ==
        Contains("column player: row 0: code -1"));
  CHECK(said_of([](hid_t file) { set_row(file, "snaps/play", H5T_NATIVE_INT32, 1, 1 << 30); }) ==
        Contains("table snaps, column play: row 1"));
  CHECK(said_of([](hid_t file) { set_row(file, "people/play", H5T_NATIVE_INT32, 1, -2); }) ==
        Contains("table people, column play: row 1: code -2"));
  CHECK(said_of([](hid_t file) { set_row(file, "people/unit", H5T_NATIVE_INT8, 1, std::int8_t{2}); }) ==
        Contains("column unit: row 1: code 2"));
  CHECK(said_of([](hid_t file) { set_row(file, "people/role", H5T_NATIVE_INT8, 1, std::int8_t{-128}); }) ==
        Contains("column role: row 1: code -128"));
  CHECK(said_of([](hid_t file) { set_row(file, "snaps/direction", H5T_NATIVE_INT8, 0, std::int8_t{0}); }) ==
        Contains("column direction: 0; accepted: 1, -1"));
  CHECK(said_of([](hid_t file) { set_row(file, "dropped/missing", H5T_NATIVE_INT64, 0, std::int64_t{-1}); }) ==
        Contains("column missing: one count is wanted"));
  for (const double time : {missing, infinite, -infinite}) {
    CHECK(said_of([=](hid_t file) { set_row(file, "tracks/time", H5T_NATIVE_DOUBLE, 5, time); }) ==
          Contains("table tracks, column time: row 5"));
  }
  const auto name = [](const char (&text)[5]) {
    return said_of([&](hid_t file) {
      const hid_t type = text_type(4), dataset = (ok(H5Ldelete(file, "plays/name", H5P_DEFAULT)),
                                                  make(file, "plays/name", {.type = type, .shape = {1}, .chunk = 1}));
      ok(H5Dwrite(dataset, type, H5S_ALL, H5S_ALL, H5P_DEFAULT, text));
    });
  };
  CHECK(name("a\xFF"
             "bc") == Contains("table plays, column name: a text that is not UTF-8"));
  CHECK(name("a\0bc") == Contains("table plays, column name: a text with a NUL character"));
}

TEST_CASE("chunks that do not hold what they should are refused") {
  // A chunk of 10 numbers, rightly filtered, stands where one of 600 should: HDF5 1.10 would read beyond its end.
  const auto with_chunk = [](std::uint32_t skipped, std::size_t cut) {
    return said_of([=](hid_t file) {
      const double values[10] = {1, 2, 3};
      const hid_t small = make(file, "tracks/small", {});
      ok(H5Dwrite(small, H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, values));
      ok(H5Dflush(small));
      hsize_t zero = 0, size = 0;
      std::uint32_t mask = 0;
      ok(H5Dget_chunk_storage_size(small, &zero, &size));
      std::vector<char> stored(size);
      ok(H5Dread_chunk(small, H5P_DEFAULT, &zero, &mask, stored.data()));
      ok(H5Ldelete(file, "tracks/x", H5P_DEFAULT));
      const hid_t dataset = make(file, "tracks/x", {.shape = {600}, .chunk = 600});
      ok(H5Dwrite_chunk(dataset, H5P_DEFAULT, skipped, &zero, cut ? cut : size, stored.data()));
    });
  };
  CHECK(with_chunk(0, 0) == Contains("column x: damaged: a chunk does not inflate to its 4800 bytes"));
  CHECK(with_chunk(7, 0) == Contains("column x: a chunk that skips a filter"));
  CHECK(with_chunk(0, 9) == Contains("column x: damaged: the checksum does not fit"));
  CHECK(with_chunk(0, 2) == Contains("column x: a chunk is missing"));
}

TEST_CASE("HDF5's arrays of chunks are read, with one page and with several") {
  for (const hsize_t rows : {hsize_t{1}, hsize_t{2}, hsize_t{3}, hsize_t{2047}, hsize_t{2048}, hsize_t{2049},
                             hsize_t{5001}, hsize_t{20'000}}) {  // a page holds 1024 chunks
    CAPTURE(rows);
    Forged forged;
    std::vector<double> values(rows);
    for (std::size_t row = 0; row < rows; ++row) values[row] = std::sin(static_cast<double>(row));
    forged.alter([&](hid_t file) {
      ok(H5Gclose(ok(H5Gcreate2(file, "added", H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT))));
      const hid_t dataset = make(file, "added/x", {.shape = {rows}, .chunk = std::min<hsize_t>(rows, 2)});
      ok(H5Dwrite(dataset, H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()));
      // The same with its last chunk missing.
      const hid_t partly = make(file, "added/partly", {.shape = {rows}, .chunk = std::min<hsize_t>(rows, 2)}),
                  some = ok(H5Dget_space(partly));
      const hsize_t first = 0, written = (rows - 1) / 2 * 2;
      if (written == 0) return;
      ok(H5Sselect_hyperslab(some, H5S_SELECT_SET, &first, nullptr, &written, nullptr));
      ok(H5Dwrite(partly, H5T_NATIVE_DOUBLE, some, some, H5P_DEFAULT, values.data()));
    });
    shortedge::file::TableReader reader(forged.path);
    auto table = reader.table("added");
    CHECK(same_bits(table.take<double>("x"), values));
    CHECK_THROWS_WITH_AS(table.take<double>("partly"), Contains("column partly: a chunk is missing"), FileError);
  }
}

TEST_CASE("schema and version are told apart") {
  const auto text = [](hsize_t row, const std::string& value) {
    return said_of([&](hid_t file) { set_text(file, row, value); });
  };
  CHECK(text(0, "a shopping list") ==
        Contains("game.h5: its schema is \"a shopping list\"; wanted: \"shortedge game\""));
  CHECK(text(1, "1\n") == Contains("game.h5: schema version 1?; this library reads 1"));
  for (const char* version : {"0", "-1", "01", "+1", " 1", "1.0", "2x", "", "10000", "99999999999", "one"}) {
    CAPTURE(version);
    CHECK(text(1, version) == Contains((std::string("schema version ") + version + "; this library reads 1").c_str()));
  }
  CHECK(text(0, "\xFF\xFE") == Contains("table file, column text: a text that is not UTF-8"));
  CHECK(said_of([](hid_t file) { ok(H5Ldelete(file, "file", H5P_DEFAULT)); }) ==
        Contains("game.h5: table file is missing"));
}

TEST_CASE("newer results and reps are read; what they have beyond this library is skipped, and that is said") {
  const auto with_more = [](hid_t file, const std::string& table) {
    const hid_t group = ok(H5Gopen2(file, table.c_str(), H5P_DEFAULT));
    H5G_info_t info;
    ok(H5Gget_info(group, &info));
    char name[64];
    ok(H5Lget_name_by_idx(group, ".", H5_INDEX_NAME, H5_ITER_INC, 0, name, sizeof name, H5P_DEFAULT));
    const hid_t column = ok(H5Dopen2(group, name, H5P_DEFAULT)), space = ok(H5Dget_space(column));
    hsize_t rows = 0;
    ok(H5Sget_simple_extent_dims(space, &rows, nullptr));
    ok(H5Dclose(make(file, (table + "/what nobody knows yet").c_str(), {.shape = {rows}, .chunk = rows})));
  };
  const auto more_tables = [](hid_t file) {
    ok(H5Gclose(ok(H5Gcreate2(file, "weather", H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT))));
    ok(H5Gclose(ok(H5Gcreate2(file, "grass", H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT))));
  };
  struct Kind {
    std::string content;
    std::vector<std::string> tables;
    int version;
    std::function<std::vector<std::string>(const fs::path&)> read;  // and compare; what is said of it
  };
  const Results results = sample::results_with_bands();
  const RepResults reps = sample::reps_with_bands();
  const Kind kinds[]{{made([&](const fs::path& to) { write_results(results, to); }),
                      {"plays", "players", "rules", "frames", "edges", "rushers", "noise", "frames_bands",
                       "edges_bands", "rushers_bands"},
                      3,
                      [&](const fs::path& from) {
                        const Results read = read_results(from);
                        CHECK(same(read, results));
                        return read.notes;
                      }},
                     {made([&](const fs::path& to) { write_reps(reps, to); }),
                      {"plays", "players", "labels", "rules", "reps", "dropbacks", "exchanges", "searches", "looks",
                       "corrections", "brought", "brought_names", "noise", "reps_bands"},
                      4,
                      [&](const fs::path& from) {
                        const RepResults read = read_reps(from);
                        CHECK(same(read, reps));
                        return read.notes;
                      }}};
  for (const Kind& kind : kinds) {
    const std::string next = std::to_string(kind.version + 1);
    CAPTURE(kind.tables.size());
    // With nothing more in it there is nothing to say.
    Forged newer(kind.content);
    newer.alter([&](hid_t file) { set_text(file, 1, next); });
    CHECK(kind.read(newer.path).empty());
    for (const std::string& table : kind.tables) {
      CAPTURE(table);
      Forged one(kind.content);
      one.alter([&](hid_t file) { with_more(file, table); });
      CHECK_THROWS_WITH_AS(kind.read(one.path), Contains(("table " + table + ": ").c_str()),
                           FileError);  // not of this version
      one.alter([&](hid_t file) { set_text(file, 1, next); });
      const std::vector<std::string> said = kind.read(one.path);
      REQUIRE(said.size() == 1);
      CHECK(String(said[0].c_str()) ==
            Contains(
                ("table " + table + ": a newer file; 1 columns that this library does not know are left out").c_str()));
    }
    Forged more(kind.content);
    more.alter(more_tables);
    CHECK_THROWS_WITH_AS(kind.read(more.path), Contains("tables; this library reads"), FileError);
    more.alter([&](hid_t file) { set_text(file, 1, "9999"); });
    CHECK(kind.read(more.path) ==
          std::vector<std::string>{"a newer file; 2 tables that this library does not know are left out"});
    // What it lacks is not forgiven, and the same file is refused by a name for another kind of change.
    Forged lacks(kind.content);
    lacks.alter([&](hid_t file) {
      set_text(file, 1, next);
      ok(H5Ldelete(file, "players", H5P_DEFAULT));
    });
    CHECK_THROWS_WITH_AS(kind.read(lacks.path), Contains("table players is missing"), FileError);
  }
}

TEST_CASE("a file whose columns or texts were changed, with all checksums valid, is refused") {
  Forged forged(made([](const fs::path& to) { write_game(sample::game(true), "d", to); }));
  CHECK(read_game(forged.path).checked);
  forged.alter([](hid_t file) { set_text(file, 4, "e"); });  // the digest
  CHECK_THROWS_WITH_AS(read_game(forged.path), Contains("was changed after it was written"), FileError);
  CHECK_THROWS_WITH_AS(check_game(forged.path), Contains("was changed after it was written"), FileError);
  forged.alter([](hid_t file) { untell_content(file); });
  CHECK(read_game(forged.path).digest == "e");  // as of a file that tells no sum, whose digest is for others to check
  CHECK_FALSE(read_game(forged.path).checked);

  Forged swapped(made([](const fs::path& to) { write_game(sample::game(true), "d", to); }));
  swapped.alter([](hid_t file) {
    ok(H5Lmove(file, "tracks/x", file, "tracks/z", H5P_DEFAULT, H5P_DEFAULT));
    ok(H5Lmove(file, "tracks/y", file, "tracks/x", H5P_DEFAULT, H5P_DEFAULT));
    ok(H5Lmove(file, "tracks/z", file, "tracks/y", H5P_DEFAULT, H5P_DEFAULT));
  });
  CHECK_THROWS_WITH_AS(read_game(swapped.path), Contains("was changed after it was written"), FileError);
}

TEST_CASE("a newer game is refused: everything else rests on it") {
  Forged newer(made([](const fs::path& to) { write_game(sample::game(true), "d", to); }));
  CHECK_NOTHROW(read_game(newer.path));
  newer.alter([](hid_t file) { set_text(file, 1, "3"); });
  CHECK_THROWS_WITH_AS(read_game(newer.path), Contains("schema version 3; this library reads 1 to 2"), FileError);
}

TEST_CASE("the definition a file was made by is told, and must be a number") {
  const std::string content = made([](const fs::path& to) { write_results(sample::results(), to); });
  const auto with = [&](const std::string& definition) {
    Forged forged(content);
    forged.alter([&](hid_t file) {
      set_text(file, 6, definition);
      untell_content(file);
    });
    return read_results(forged.path);
  };
  CHECK(with("3").notes.empty());
  const Results older = with("1"), newer = with("12");
  CHECK(older.definition == 1);
  REQUIRE(older.notes.size() == 1);
  CHECK(String(older.notes[0].c_str()) == Contains("made by an older definition"));
  CHECK(newer.definition == 12);
  CHECK(newer.notes == std::vector<std::string>{"made by a newer definition (12; this library has 3)"});
  for (const char* text : {"0", "-3", "3x", "", "three", " 3", "99999999999"}) {
    CAPTURE(text);
    CHECK_THROWS_WITH_AS(
        with(text), Contains((std::string("its definition is \"") + text + "\"; accepted: a number from 1").c_str()),
        FileError);
  }
}

TEST_CASE(
    "a file says by its version whether bands belong to it: in 2 always, before never, since then when there is "
    "noise") {
  const auto read_as = [](bool bands, const std::string& version) {
    Forged forged(
        made([&](const fs::path& to) { write_results(bands ? sample::results_with_bands() : sample::results(), to); }));
    forged.alter([&](hid_t file) {
      set_text(file, 1, version);
      untell_content(file);
    });
    try {
      return String(read_results(forged.path).noise ? "bands" : "none");
    } catch (const FileError& error) {
      return String(error.what());
    }
  };
  CHECK(read_as(true, "3") == "bands");
  CHECK(read_as(false, "3") == "none");
  CHECK(read_as(true, "2") == "bands");
  CHECK(read_as(false, "2") == Contains("table noise is missing"));
  CHECK(read_as(false, "1") == "none");
  CHECK(read_as(true, "1") == Contains("tables; this library reads"));
  CHECK(read_as(true, "4") == "bands");
  CHECK(read_as(false, "4") == "none");
}

TEST_CASE("what is no file of ours is refused") {
  Forged forged;
  const std::string good = bytes(forged.path);
  const auto says = [&](const std::string& content) {
    put(forged.path, content);
    return forged.said();
  };
  CHECK(says("") == Contains("not an HDF5 file"));
  CHECK(says("play,player,time,x,y\n") == Contains("not an HDF5 file"));
  CHECK(says(std::string(512, '\0') + good) == Contains("not an HDF5 file"));
  fs::remove(forged.path);
  CHECK(forged.said() == Contains("game.h5: "));
  CHECK_THROWS_AS(read_game(forged.folder.path), FileError);
  CHECK_THROWS_AS(read_game("/dev/zero"), FileError);
  const hid_t file =
      ok(H5Fcreate(forged.path.c_str(), H5F_ACC_TRUNC, H5P_DEFAULT, H5P_DEFAULT));  // of the oldest format
  ok(H5Fclose(file));
  CHECK(forged.said() == Contains("not an HDF5 file of the 1.10 format"));
}

TEST_CASE("a file cut short anywhere is refused") {
  Forged forged;
  const std::string whole = bytes(forged.path);
  for (std::size_t length = 0; length < whole.size(); length += length < 200 ? 1 : 97) {
    CAPTURE(length);
    put(forged.path, whole.substr(0, length));
    CHECK(forged.said() == Contains("game.h5: "));
  }
}

TEST_CASE("a flipped byte is noticed or changes nothing") {
  Forged forged;
  const std::string whole = bytes(forged.path);
  const Game game = sample::game(false);
  std::size_t refused = 0, tried = 0;
  for (std::size_t at = 0; at < whole.size(); at += at < 1000 ? 1 : 13) {
    CAPTURE(at);
    std::string damaged = whole;
    damaged[at] = static_cast<char>(damaged[at] ^ (1 << at % 8));
    put(forged.path, damaged);
    const String text = forged.said();
    ++tried;
    refused += text.size() > 0;
    if (text.size() == 0) CHECK(same(opened(forged.path), game));
  }
  CHECK(refused > tried / 2);
  put(forged.path, whole);
  CHECK(same(opened(forged.path), game));
}

TEST_CASE("HDF5's own reader sees the same columns") {
  const Folder folder;
  const Game game = sample::game(true);
  write_game(game, "", folder / "game.h5");
  const hid_t file = ok(H5Fopen((folder / "game.h5").c_str(), H5F_ACC_RDONLY, H5P_DEFAULT));
  const hid_t x = ok(H5Dopen2(file, "tracks/x", H5P_DEFAULT)), names = ok(H5Dopen2(file, "players/name", H5P_DEFAULT));
  std::vector<double> values(game.tracks.x.size());
  ok(H5Dread(x, H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()));
  CHECK(same_bits(values, game.tracks.x));
  const hid_t type = ok(H5Dget_type(names));
  std::string packed(game.players.size() * H5Tget_size(type), '?');
  ok(H5Dread(names, type, H5S_ALL, H5S_ALL, H5P_DEFAULT, packed.data()));
  for (std::size_t i = 0; i < game.players.size(); ++i) {
    const std::string stored = packed.substr(i * H5Tget_size(type), H5Tget_size(type));
    CHECK(stored == game.players[i] + std::string(stored.size() - game.players[i].size(), '\0'));
  }
  for (const hid_t dataset : {x, names}) ok(H5Dclose(dataset));
  ok(H5Tclose(type));
  ok(H5Fclose(file));
}

TEST_CASE("nobody who has the file open or locked keeps a reader out") {
  Forged forged;
  const int other = ::open(forged.path.c_str(), O_RDWR);
  REQUIRE(::flock(other, LOCK_EX) == 0);
  CHECK(forged.said() == "");
  const shortedge::file::TableReader one(forged.path, shortedge::file::game_schema);
  CHECK(forged.said() == "");
  ::close(other);
}
