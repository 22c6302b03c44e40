#pragma once
/// Stands for core/base/parallel.hpp where there are no threads: the parts one after another, with the same answers.

#include <algorithm>
#include <cstddef>
#include <functional>
#include <vector>

namespace shortedge {

using Progress = std::function<bool(std::size_t, std::size_t)>;

inline unsigned threads_wanted(unsigned) { return 1; }

/// As its namesake's.
template <class Work>
bool in_parts(std::size_t parts, unsigned, std::size_t all, const Progress& progress, Work&& work) {
  std::size_t done = 0;
  bool stopped = false;
  const auto tick = [&] {
    ++done;
    return !stopped;
  };
  for (std::size_t part = 0; part < parts && !stopped; ++part) {
    stopped = progress && !progress(done, all);
    if (!stopped) work(std::size_t{0}, part, tick);
  }
  if (progress && !stopped) progress(done, all);
  return !stopped;
}

}  // namespace shortedge
