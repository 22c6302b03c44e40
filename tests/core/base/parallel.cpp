#include "base/parallel.hpp"

#include <doctest/doctest.h>

#include <set>
#include <stdexcept>
#include <string>

using shortedge::in_parts, shortedge::Progress;

TEST_CASE("every part is worked on once, by a worker there is") {
  for (const unsigned threads : {1u, 2u, 7u}) {
    for (const std::size_t parts : {std::size_t{0}, std::size_t{1}, std::size_t{5}, std::size_t{1000}}) {
      CAPTURE(threads);
      CAPTURE(parts);
      std::vector<std::atomic<int>> times(parts);
      std::atomic<bool> strange{false};
      const bool finished =
          in_parts(parts, threads, parts, {}, [&](std::size_t worker, std::size_t part, const auto& tick) {
            if (worker >= threads || part >= parts) strange = true;
            else ++times[part];
            if (!tick()) strange = true;
          });
      CHECK(finished);
      CHECK(!strange);
      for (const auto& of : times) CHECK(of == 1);
    }
  }
}

TEST_CASE("progress is told on the calling thread, growing and never more than all") {
  const std::thread::id caller = std::this_thread::get_id();
  std::vector<std::size_t> told;
  bool elsewhere = false;
  const Progress progress = [&](std::size_t done, std::size_t all) {
    elsewhere = elsewhere || std::this_thread::get_id() != caller || all != 30;
    told.push_back(done);
    return true;
  };
  CHECK(in_parts(10, 2, 30, progress, [](std::size_t, std::size_t, const auto& tick) {
    for (int unit = 0; unit < 3; ++unit) {
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
      tick();
    }
  }));
  CHECK(!elsewhere);
  REQUIRE(told.size() >= 2);
  CHECK(std::is_sorted(told.begin(), told.end()));
  CHECK(told.back() <= 30);
}

TEST_CASE("work that is stopped stops soon, and says that it is not finished") {
  std::atomic<int> worked{0};
  const auto work = [&](std::size_t, std::size_t, const auto& tick) {
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
    ++worked;
    tick();
  };
  CHECK(!in_parts(100'000, 2, 100'000, [](std::size_t, std::size_t) { return false; }, work));
  CHECK(worked < 50'000);  // a minute's work: how soon is the machine's affair
  // One part of many units asks after each whether it goes on.
  std::atomic<int> units{0};
  CHECK(!in_parts(
      1, 1, 100'000, [&](std::size_t done, std::size_t) { return done == 0; },
      [&](std::size_t, std::size_t, const auto& tick) {
        for (int unit = 0; unit < 100'000; ++unit) {
          ++units;
          if (!tick()) return;
          std::this_thread::sleep_for(std::chrono::milliseconds(1));
        }
      }));
  CHECK(units < 50'000);
}

TEST_CASE("what goes wrong in a thread or in progress reaches the caller, and nothing runs on") {
  for (const unsigned threads : {1u, 3u}) {
    std::atomic<int> worked{0};
    const auto fails = [&](std::size_t, std::size_t part, const auto&) {
      if (part == 5) throw std::runtime_error("part 5");
      std::this_thread::sleep_for(std::chrono::milliseconds(1));
      ++worked;
    };
    CHECK_THROWS_WITH_AS(in_parts(10'000, threads, 10'000, {}, fails), "part 5", std::runtime_error);
    CHECK(worked < 5000);
    const Progress fed_up = [](std::size_t, std::size_t) -> bool { throw std::runtime_error("no more"); };
    const int before = worked;
    CHECK_THROWS_WITH_AS(in_parts(10'000, threads, 10'000, fed_up,
                                  [&](std::size_t, std::size_t, const auto&) {
                                    std::this_thread::sleep_for(std::chrono::milliseconds(1));
                                    ++worked;
                                  }),
                         "no more", std::runtime_error);
    const int after = worked;
    CHECK(after - before < 5000);
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
    CHECK(worked == after);  // the workers were waited for
  }
}
