// Every kind of file, cut, flipped and forged: each is read or refused with a text that names it, in little memory.

#include <doctest/doctest.h>
#include <sys/resource.h>

#include <algorithm>
#include <functional>

#include "base/error.hpp"
#include "repair.hpp"
#include "sample.hpp"
#include "scenes.hpp"

using namespace sample;
using shortedge::scenes::cases, shortedge::scenes::Random;

namespace {

using Bytes = std::vector<std::uint8_t>;

struct KindOfFile {
  const char* name;
  std::function<void(const fs::path&)> write, read;
  std::function<void(const fs::path& from, const fs::path& to)> copy;  ///< writes what it reads
};

void copy_game(const fs::path& from, const fs::path& to) {
  const StoredGame stored = read_game(from);
  Game game = make_game(stored.input(), Orientation::trust);
  stored.complete(game);
  write_game(game, stored.digest, to);
}
void copy_results(const fs::path& from, const fs::path& to) { write_results(read_results(from), to); }
void copy_reps(const fs::path& from, const fs::path& to) { write_reps(read_reps(from), to); }

const std::vector<KindOfFile>& kinds() {
  static const std::vector<KindOfFile> all{
      {"game", [](const fs::path& path) { write_game(sample::game(true), "d", path); },
       [](const fs::path& path) {
         const StoredGame stored = read_game(path);
         make_game(stored.input(), Orientation::trust);
       },
       copy_game},
      {"results", [](const fs::path& path) { write_results(sample::results(), path); },
       [](const fs::path& path) { read_results(path); }, copy_results},
      {"results with bands", [](const fs::path& path) { write_results(sample::results_with_bands(), path); },
       [](const fs::path& path) { read_results(path); }, copy_results},
      {"reps", [](const fs::path& path) { write_reps(sample::reps(), path); },
       [](const fs::path& path) { read_reps(path); }, copy_reps},
      {"reps with bands", [](const fs::path& path) { write_reps(sample::reps_with_bands(), path); },
       [](const fs::path& path) { read_reps(path); }, copy_reps}};
  return all;
}

struct FileScene {
  Folder folder;
  const KindOfFile& kind;
  fs::path path = folder / "it.h5";
  Bytes whole;
  explicit FileScene(const KindOfFile& of) : kind(of) {
    kind.write(path);
    const std::string content = bytes(path);
    whole.assign(content.begin(), content.end());
  }

  /// Whether the file is taken; otherwise the refusal has named it.
  bool taken(const Bytes& content) {
    put(path, std::string(content.begin(), content.end()));
    try {
      kind.read(path);
      return true;
    } catch (const FileError& error) {
      CHECK(std::string(error.what()).find("it.h5: ") != std::string::npos);
    } catch (const InputError&) {  // a game that cannot be measured
    }
    return false;
  }
};

constexpr std::size_t superblock = 48;

/// A few changes of the kinds that hurt parsers.
Bytes mutated(const Bytes& whole, Random& random) {
  Bytes file = whole;
  const auto place = [&] { return static_cast<std::size_t>(random.engine() % file.size()); };
  for (int k = random.whole(1, 4); k > 0; --k) {
    switch (random.whole(0, 5)) {
      case 0: file[place()] ^= static_cast<std::uint8_t>(1 << random.whole(0, 7)); break;
      case 1: {
        constexpr std::uint8_t edge[]{0x00, 0x01, 0x7F, 0x80, 0xFE, 0xFF};
        file[place()] = edge[random.whole(0, 5)];
        break;
      }
      case 2: {  // a number of 8 bytes: 0, all ones, some place in the file
        const std::size_t at = place();
        const std::uint64_t value = random.whole(0, 2) == 0 ? 0 : random.whole(0, 1) ? ~std::uint64_t{0} : place();
        for (std::size_t i = 0; i < 8 && at + i < file.size(); ++i)
          file[at + i] = static_cast<std::uint8_t>(value >> 8 * i);
        break;
      }
      case 3: {  // a piece stands again elsewhere
        const std::size_t from = place(), to = place(),
                          most = std::min<std::size_t>(file.size() - std::max(from, to), 64);
        const Bytes piece(file.begin() + static_cast<std::ptrdiff_t>(from),
                          file.begin() + static_cast<std::ptrdiff_t>(from + most));
        std::copy(piece.begin(), piece.end(), file.begin() + static_cast<std::ptrdiff_t>(to));
        break;
      }
      case 4: file[place()] = static_cast<std::uint8_t>(file[place()] + 1); break;
      default:
        if (random.whole(0, 9) == 0) file.resize(std::max<std::size_t>(place(), superblock));
    }
  }
  return file;
}

}  // namespace

TEST_CASE("repairing changes nothing in a good file") {
  for (const KindOfFile& kind : kinds()) {
    CAPTURE(kind.name);
    FileScene scene(kind);
    Bytes again = scene.whole;
    shortedge::fuzz::repair(again);
    CHECK(again == scene.whole);
    // And a record that was changed is taken again once its checksum is right: a table gets another name.
    const std::string_view table = "players";
    const auto name = std::search(again.begin(), again.end(), table.begin(), table.end());
    REQUIRE(name != again.end());
    *name = 'q';
    CHECK(!scene.taken(again));
    CHECK_THROWS_WITH_AS(kind.read(scene.path), doctest::Contains("a record's checksum does not fit"), FileError);
    shortedge::fuzz::repair(again);
    CHECK(!scene.taken(again));
    CHECK_THROWS_WITH_AS(kind.read(scene.path), doctest::Contains("table players is missing"), FileError);
  }
}

TEST_CASE("every kind of file, cut short at every 4 KB, is refused") {
  for (const KindOfFile& kind : kinds()) {
    FileScene scene(kind);
    CHECK(scene.taken(scene.whole));
    for (std::size_t length = 0; length < scene.whole.size(); length += 4096) {
      CAPTURE(length);
      Bytes cut(scene.whole.begin(), scene.whole.begin() + static_cast<std::ptrdiff_t>(length));
      CHECK(!scene.taken(cut));
      shortedge::fuzz::repair(cut);  // it states its new size
      CHECK(!scene.taken(cut));
    }
    Bytes longer = scene.whole;
    longer.push_back(0);
    CHECK(!scene.taken(longer));
  }
}

TEST_CASE("every byte of the superblock and of the root group's header, flipped, is noticed") {
  for (const KindOfFile& kind : kinds()) {
    CAPTURE(kind.name);
    FileScene scene(kind);
    for (std::size_t at = 0; at < 256; ++at) {
      CAPTURE(at);
      Bytes flipped = scene.whole;
      flipped[at] = static_cast<std::uint8_t>(~flipped[at]);
      const bool covered = at < superblock + 4 + 2 + 1 + 172 + 4;  // header prefix, its messages, its checksum
      if (covered) CHECK(!scene.taken(flipped));
      shortedge::fuzz::repair(flipped);
      scene.taken(flipped);
    }
  }
}

TEST_CASE("a flipped byte anywhere in a file of any kind is noticed, or changes nothing that is read") {
  for (const KindOfFile& kind : kinds()) {
    CAPTURE(kind.name);
    FileScene scene(kind);
    kind.copy(scene.path, scene.folder / "copy.h5");
    const std::string good = bytes(scene.folder / "copy.h5");
    std::size_t tried = 0, refused = 0;
    const auto stride = static_cast<std::size_t>(cases(173, 3));
    for (std::size_t at = 0; at < scene.whole.size(); at += stride, ++tried) {
      CAPTURE(at);
      Bytes flipped = scene.whole;
      flipped[at] = static_cast<std::uint8_t>(~flipped[at]);
      if (!scene.taken(flipped)) {
        ++refused;
        continue;
      }
      kind.copy(scene.path, scene.folder / "copy.h5");
      CHECK(bytes(scene.folder / "copy.h5") == good);
    }
    CHECK(refused > tried / 2);  // between the blocks there is room that nobody reads
  }
}

TEST_CASE("mutated files are read or refused, in little memory") {
  int taken = 0, refused = 0;
  const int files = cases(100, 3334);
  for (const KindOfFile& kind : kinds()) {
    CAPTURE(kind.name);
    FileScene scene(kind);
    Random random(81);
    for (int i = 0; i < files; ++i) {
      CAPTURE(i);
      Bytes file = mutated(scene.whole, random);
      if (i % 4 != 0) shortedge::fuzz::repair(file);
      ++(scene.taken(file) ? taken : refused);
    }
  }
  // Some land in values and notes, and are taken.
  CHECK(taken > files / 10);
  CHECK(refused > files);
#ifndef __SANITIZE_ADDRESS__  // which takes memory of its own
  rusage used{};
  getrusage(RUSAGE_SELF, &used);
  CHECK(used.ru_maxrss < 500 * 1024);  // KB, of the whole run
#endif
}
