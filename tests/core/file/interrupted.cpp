// A writer that is killed, a disk that is full, readers beside a writer: the old file or the new one, always whole.

#include <doctest/doctest.h>
#include <sys/mount.h>
#include <sys/wait.h>
#include <unistd.h>

#include <atomic>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <functional>
#include <thread>

#include "base/error.hpp"
#include "sample.hpp"
#include "scenes.hpp"

using namespace sample;
using shortedge::scenes::cases, shortedge::scenes::Random;

namespace {

/// Writes one of two contents of a kind of file.
using Write = std::function<void(bool other, const fs::path&)>;

std::vector<Write> writers() {
  const Game game = sample::game(true);
  Results one = sample::results(), other = one;
  other.digest = "other";
  RepResults reps = sample::reps(), other_reps = reps;
  other_reps.digest = "other";
  return {[=](bool is_other, const fs::path& path) { write_game(game, is_other ? "other" : "one", path); },
          [=](bool is_other, const fs::path& path) { write_results(is_other ? other : one, path); },
          [=](bool is_other, const fs::path& path) { write_reps(is_other ? other_reps : reps, path); }};
}

/// The two contents.
std::set<std::string> contents(const Write& write, const Folder& folder) {
  std::set<std::string> both;
  for (const bool other : {false, true}) {
    write(other, folder / "made.h5");
    both.insert(bytes(folder / "made.h5"));
  }
  fs::remove(folder / "made.h5");
  return both;
}

}  // namespace

TEST_CASE("killed while writing, the old file or the new one is there, whole") {
  Random random(82);
  int cut_short = 0;
  for (const Write& write : writers()) {
    const Folder folder;
    const std::set<std::string> both = contents(write, folder);
    REQUIRE(both.size() == 2);
    write(false, folder / "it.h5");
    for (int i = 0, n = cases(7, 67); i < n; ++i) {
      const pid_t child = ::fork();
      REQUIRE(child >= 0);
      if (child == 0) {
        for (bool other = true;; other = !other) write(other, folder / "it.h5");
      }
      std::this_thread::sleep_for(std::chrono::microseconds(random.whole(0, 255) * 200));
      REQUIRE(::kill(child, SIGKILL) == 0);
      REQUIRE(::waitpid(child, nullptr, 0) == child);
      CHECK(both.count(bytes(folder / "it.h5")) == 1);
      for (const std::string& name : folder.names()) {
        if (name == "it.h5") continue;
        ++cut_short;  // a half-written file, under a name of its own
        CHECK(name.find(".it.h5-") == 0);
      }
    }
    write(true, folder / "it.h5");
    CHECK(folder.names() == std::set<std::string>{"it.h5"});  // the next writer of that name has swept
  }
  MESSAGE("files left half-written under a temporary name: ", cut_short);
}

TEST_CASE("on a full disk the old file is intact") {
  const Folder folder;
  const fs::path disk = folder / "disk";
  fs::create_directory(disk);
  if (::mount("tmpfs", disk.c_str(), "tmpfs", 0, "size=128k") != 0) {
    MESSAGE("not tried: no small disk can be mounted here (", std::strerror(errno),
            "); replace.cpp limits the file's size instead");
    return;
  }
  for (const Write& write : writers()) {
    write(false, disk / "it.h5");
    const std::string old = bytes(disk / "it.h5");
    REQUIRE(old.size() < 100'000);
    {
      std::ofstream filler(disk / "filler", std::ios::binary);  // leaves less than the file needs
      filler << std::string(128 * 1024 - old.size() - 8192, '\xA5') << std::flush;
      while (filler.write(std::string(4096, '\xA5').data(), 4096) && fs::space(disk).available > 8192) filler.flush();
    }
    CHECK_THROWS_WITH_AS(write(true, disk / "it.h5"),
                         doctest::Contains("it.h5: cannot be written: No space left on device"), FileError);
    CHECK(bytes(disk / "it.h5") == old);
    fs::remove(disk / "filler");
    CHECK(std::distance(fs::directory_iterator(disk), {}) == 1);
    write(true, disk / "it.h5");
    CHECK(bytes(disk / "it.h5") != old);
    fs::remove(disk / "it.h5");
  }
  ::umount(disk.c_str());
}

TEST_CASE("two readers and a writer at once: each reader sees one content or the other") {
  const Folder folder;
  const fs::path path = folder / "it.h5";
  const Game game = sample::game(true);
  const Results results = sample::results();
  const RepResults reps = sample::reps();
  const auto beside = [&](auto&& write, auto&& read) {
    const std::string digests[]{"a", "b"};
    fs::remove(path);  // no results replace a game
    write(digests[0]);
    std::atomic<bool> stop = false;
    std::atomic<int> seen = 0, wrong = 0;
    std::vector<std::thread> readers;
    for (int reader = 0; reader < 2; ++reader) {
      readers.emplace_back([&] {
        while (!stop) {
          const std::string digest = read();
          ++seen;
          if (digest != digests[0] && digest != digests[1]) ++wrong;
        }
      });
    }
    for (int i = 0; i < 20 || seen < 20; ++i) write(digests[i % 2]);
    stop = true;
    for (std::thread& reader : readers) reader.join();
    CHECK(wrong == 0);
  };
  const auto said = [](auto&& read) {
    return [read] {
      try {
        return read();
      } catch (const FileError& error) {
        return std::string(error.what());
      }
    };
  };
  beside([&](const std::string& digest) { write_game(game, digest, path); },
         said([&] { return read_game(path).digest; }));
  beside(
      [&](const std::string& digest) {
        Results changed = results;
        changed.digest = digest;
        write_results(changed, path);
      },
      said([&] { return read_results(path).digest; }));
  beside(
      [&](const std::string& digest) {
        RepResults changed = reps;
        changed.digest = digest;
        write_reps(changed, path);
      },
      said([&] { return read_reps(path).digest; }));
}
