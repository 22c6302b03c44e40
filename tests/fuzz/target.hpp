#pragma once
/// What the fuzz targets share. Each is a LLVMFuzzerTestOneInput: linked with libFuzzer by the preset `fuzz`, and with
/// replay.cpp everywhere else.

#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <span>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace shortedge::fuzz {

/// Ends the process when something that must hold does not.
inline void must(bool holds, const char* what) {
  if (holds) return;
  std::fprintf(stderr, "does not hold: %s\n", what);
  std::abort();
}

/// Takes values from the input's start on; zeros when it is used up.
class Source {
 public:
  Source(const std::uint8_t* data, std::size_t size) : rest_(data, size) {}

  bool empty() const noexcept { return rest_.empty(); }
  std::uint32_t byte() {
    if (rest_.empty()) return 0;
    const std::uint8_t value = rest_[0];
    rest_ = rest_.subspan(1);
    return value;
  }
  std::uint32_t word() {
    const std::uint32_t low = byte();
    return low | byte() << 8;
  }
  int whole(int low, int high) { return low + static_cast<int>(byte()) % (high - low + 1); }
  /// Half of the time on a coarse grid, where points coincide, touch and stand in line.
  double number(double low, double high) {
    const std::uint32_t value = word();
    const double share = (value & 1) != 0 ? (value >> 1) / 32767.0 : (value >> 8) % 33 / 32.0;
    return low + (high - low) * share;
  }

 private:
  std::span<const std::uint8_t> rest_;
};

}  // namespace shortedge::fuzz
