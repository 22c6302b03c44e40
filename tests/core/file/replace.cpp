#include "file/replace.hpp"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/file.h>
#include <sys/resource.h>
#include <unistd.h>

#include <csignal>

#include "base/error.hpp"
#include "sample.hpp"

using namespace sample;

namespace {

/// No file of this process may grow beyond so many bytes: the system refuses writes as a full disk does.
struct FullDisk {
  rlimit before{};
  void (*handler)(int);
  explicit FullDisk(rlim_t most) : handler(std::signal(SIGXFSZ, SIG_IGN)) {
    getrlimit(RLIMIT_FSIZE, &before);
    const rlimit tight{most, before.rlim_max};
    setrlimit(RLIMIT_FSIZE, &tight);
  }
  ~FullDisk() {
    setrlimit(RLIMIT_FSIZE, &before);
    std::signal(SIGXFSZ, handler);
  }
};

}  // namespace

TEST_CASE("whatever goes wrong while writing, the old file is intact and nothing is left behind") {
  const Folder folder;
  const Game game = sample::game(true);
  write_game(game, "old", folder / "game.h5");
  const std::string old = bytes(folder / "game.h5");
  const auto untouched = [&] {
    return bytes(folder / "game.h5") == old && folder.names() == std::set<std::string>{"game.h5"};
  };

  SUBCASE("text too long") {
    Game longer = game;
    longer.kept_people[0].texts[0] = std::string(1025, 'n');  // almost the last thing written
    CHECK_THROWS_AS(write_game(longer, "new", folder / "game.h5"), InputError);
  }
  SUBCASE("disk full, at every size") {
    for (std::size_t most = 0; most < old.size(); most += 500) {
      CAPTURE(most);
      const FullDisk full(most);
      CHECK_THROWS_WITH_AS(write_game(game, "new", folder / "game.h5"),
                           doctest::Contains("game.h5: cannot be written: File too large"), FileError);
      CHECK(untouched());
    }
  }
  CHECK(untouched());
  write_game(game, "new", folder / "game.h5");
  CHECK(read_game(folder / "game.h5").digest == "new");
  CHECK(folder.names() == std::set<std::string>{"game.h5"});
}

TEST_CASE("a name that cannot be written is refused") {
  const Folder folder;
  const Game game = sample::game(false);
  fs::create_directory(folder / "sub");
  put(folder / "file", "");
  CHECK_THROWS_WITH_AS(write_game(game, "", folder / "sub"),
                       doctest::Contains("sub: cannot be written: Is a directory"), FileError);
  CHECK_THROWS_WITH_AS(write_game(game, "", folder / "none/game.h5"),
                       doctest::Contains("game.h5: cannot be written: No such file or directory"), FileError);
  CHECK_THROWS_AS(write_game(game, "", folder / "file/game.h5"), FileError);
  CHECK_THROWS_WITH_AS(write_game(game, "", "/proc/game.h5"), doctest::Contains("/proc/game.h5: cannot be written"),
                       FileError);
  CHECK(folder.names() == std::set<std::string>{"file", "sub"});
}

TEST_CASE("a reader keeps the file it opened while a writer replaces it") {
  const Folder folder;
  put(folder / "game.h5", "old");
  const int reader = ::open((folder / "game.h5").c_str(), O_RDONLY);
  const Game game = sample::game(false);
  write_game(game, "", folder / "game.h5");
  char text[4] = {};
  CHECK(::read(reader, text, 4) == 3);
  CHECK(std::string(text) == "old");
  ::close(reader);
  CHECK(same(opened(folder / "game.h5"), game));
}

TEST_CASE("a symbolic link stays, and what it names is replaced") {
  const Folder folder;
  put(folder / "target.h5", "old");
  fs::create_symlink("target.h5", folder / "link.h5");
  const Game game = sample::game(false);
  write_game(game, "", folder / "link.h5");
  CHECK(fs::is_symlink(folder / "link.h5"));
  CHECK(same(opened(folder / "target.h5"), game));
}

TEST_CASE("a link that leads nowhere stays, and what it names is made") {
  const Folder folder;
  fs::create_symlink("target.h5", folder / "link.h5");
  const Game game = sample::game(false);
  write_game(game, "", folder / "link.h5");
  CHECK(fs::is_symlink(folder / "link.h5"));
  CHECK(same(opened(folder / "target.h5"), game));
}

TEST_CASE("what killed writers of a name left is swept, unless somebody holds it, and nothing else is") {
  const Folder folder;
  for (const char* name : {".game.h5-12-0000000a.part.h5", ".game.h5-13-0000000b.part", ".game.h5-14-0000000c.part.h5"})
    put(folder / name, "left");
  std::set<std::string> kept{".game.h5-12-0000000a.part.h5"};
  for (const char* name : {".game.h5-notes.part", ".game.h5-1-0000000a.parts", ".game.h5-1-0000000A.part",
                           ".other.h5-12-0000000a.part.h5", "game.h5-12-0000000a.part.h5"}) {
    put(folder / name, "mine");
    kept.insert(name);
  }
  const int held = ::open((folder / ".game.h5-12-0000000a.part.h5").c_str(), O_RDONLY);
  REQUIRE(::flock(held, LOCK_EX) == 0);
  write_game(sample::game(false), "", folder / "game.h5");
  kept.insert("game.h5");
  CHECK(folder.names() == kept);
  ::close(held);
}

TEST_CASE("no device is replaced") {
  const Folder folder;
  CHECK_THROWS_WITH_AS(write_game(sample::game(false), "", "/dev/full"),
                       doctest::Contains("/dev/full: stands there and is no file"), FileError);
  CHECK(fs::is_character_file("/dev/full"));
}

TEST_CASE("results never replace a recorded game") {
  const Folder folder;
  write_game(sample::game(false), "one", folder / "game.h5");
  fs::create_symlink("game.h5", folder / "link.h5");
  const std::string before = bytes(folder / "game.h5");
  for (const char* name : {"game.h5", "link.h5"}) {
    CHECK_THROWS_WITH_AS(write_results(sample::results(), folder / name), doctest::Contains("holds a recorded game"),
                         FileError);
    CHECK_THROWS_WITH_AS(write_reps(sample::reps(), folder / name), doctest::Contains("holds a recorded game"),
                         FileError);
  }
  CHECK(bytes(folder / "game.h5") == before);
  write_results(sample::results(), folder / "other.h5");
  write_reps(sample::reps(), folder / "other.h5");
  write_game(sample::game(false), "two", folder / "other.h5");
}
