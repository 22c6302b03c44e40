#pragma once
/// Work on every play of a game, on threads; the rows come out in the order of the snaps however many there are.

#include <algorithm>
#include <atomic>
#include <chrono>
#include <condition_variable>
#include <exception>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

#include "play/play.hpp"

namespace shortedge {

/// Called on the calling thread now and then with (plays done, plays in all); false stops the work.
using Progress = std::function<bool(std::size_t, std::size_t)>;

/// Adds `from`'s rows to `to`'s.
template <class Table>
void append(Table& to, const Table& from) {
  std::vector<const void*> columns;
  Table::for_each(from, [&](const auto&, const auto& values) { columns.push_back(&values); });
  auto column = columns.begin();
  Table::for_each(to, [&](const auto&, auto& values) {
    const auto& more = *static_cast<const std::remove_reference_t<decltype(values)>*>(*column++);
    values.insert(values.end(), more.begin(), more.end());
  });
}

/// Prepares every play that has no problem and calls work(ready, row of snaps, tables) for it. `Tables` is a set of
/// tables with for_each(tables, visit). threads: 0 for as many as the machine has. Stopped by `progress`, the result is
/// empty; an exception of the work is thrown on.
template <class Tables, class Work>
Tables over_plays(const Game& game, unsigned threads, const Progress& progress, Work&& work) {
  const std::vector<std::size_t> plays = game.measured();
  const Roster roster(game.people, game.players.size());
  constexpr std::size_t batch = 8;  // plays a thread takes at a time
  std::vector<Tables> parts((plays.size() + batch - 1) / batch);
  std::atomic<std::size_t> next{0}, done{0};
  std::atomic<bool> stopped{false};
  std::exception_ptr failure;
  std::mutex lock;
  std::condition_variable ended;

  const auto take_parts = [&] {
    try {
      for (std::size_t part; !stopped && (part = next++) < parts.size();) {
        for (std::size_t i = part * batch; i < std::min(plays.size(), (part + 1) * batch) && !stopped; ++i) {
          work(prepare(game, roster, game.snaps[plays[i]]), plays[i], parts[part]);
          ++done;
        }
      }
    } catch (...) {
      const std::lock_guard held(lock);
      if (!failure) failure = std::current_exception();
      stopped = true;
    }
    const std::lock_guard held(lock);
    ended.notify_one();
  };
  {
    const unsigned wanted = threads ? threads : std::max(1u, std::thread::hardware_concurrency());
    std::vector<std::jthread> workers;
    for (std::size_t i = 0; i < std::min<std::size_t>(wanted, parts.size()); ++i) workers.emplace_back(take_parts);
    std::unique_lock held(lock);
    const auto over = [&] { return stopped || done == plays.size(); };
    while (progress && !ended.wait_for(held, std::chrono::milliseconds(50), over)) {
      held.unlock();
      if (!progress(done, plays.size())) stopped = true;
      held.lock();
    }
  }
  if (failure) std::rethrow_exception(failure);
  Tables tables;
  if (stopped) return tables;
  for (const Tables& part : parts) {
    std::vector<const void*> from;
    Tables::for_each(part, [&](const auto& table) { from.push_back(&table); });
    auto table_from = from.begin();
    Tables::for_each(tables, [&](auto& table) {
      append(table, *static_cast<const std::remove_reference_t<decltype(table)>*>(*table_from++));
    });
  }
  return tables;
}

}  // namespace shortedge
