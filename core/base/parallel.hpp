#pragma once
/// Work in parts on threads.

#include <algorithm>
#include <atomic>
#include <chrono>
#include <condition_variable>
#include <cstddef>
#include <exception>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

namespace shortedge {

/// Called on the calling thread at the start and now and then with (done, all); false stops the work.
using Progress = std::function<bool(std::size_t, std::size_t)>;

inline unsigned threads_wanted(unsigned threads) {
  return threads ? threads : std::max(1u, std::thread::hardware_concurrency());
}

/// Calls work(worker, part, tick) once for each part, on as many threads (0: as the machine has); `worker` tells the
/// threads apart, from 0. The work calls tick() after each of its units, `all` in all, and gives up when it says false.
/// Returns false when `progress` stopped it; an exception of the work is thrown on.
template <class Work>
bool in_parts(std::size_t parts, unsigned threads, std::size_t all, const Progress& progress, Work&& work) {
  std::atomic<std::size_t> next{0}, done{0};
  std::atomic<bool> stopped{false};
  std::exception_ptr failure;
  std::size_t working = std::min<std::size_t>(threads_wanted(threads), parts);
  std::mutex lock;
  std::condition_variable ended;
  const auto tick = [&] {
    ++done;
    return !stopped;
  };
  const auto take_parts = [&](std::size_t worker) {
    try {
      for (std::size_t part; !stopped && (part = next++) < parts;) work(worker, part, tick);
    } catch (...) {
      const std::lock_guard held(lock);
      if (!failure) failure = std::current_exception();
      stopped = true;
    }
    const std::lock_guard held(lock);
    --working;
    ended.notify_one();
  };
  {
    std::vector<std::jthread> workers;
    for (std::size_t worker = 0, count = working; worker < count; ++worker) workers.emplace_back(take_parts, worker);
    for (bool over = !progress; !over;) {
      bool goes_on = false;
      try {
        goes_on = progress(done, all);
      } catch (...) {
        stopped = true;  // before the workers are waited for
        throw;
      }
      if (!goes_on) stopped = true;
      std::unique_lock held(lock);
      over = ended.wait_for(held, std::chrono::milliseconds(50), [&] { return working == 0; });
    }
  }
  if (failure) std::rethrow_exception(failure);
  return !stopped;
}

}  // namespace shortedge
