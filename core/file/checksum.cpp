#include "file/checksum.hpp"

#include <algorithm>
#include <array>
#include <bit>

namespace shortedge::file {

std::uint32_t lookup3(std::span<const std::uint8_t> bytes) {
  std::uint32_t a = 0xDEADBEEFu + static_cast<std::uint32_t>(bytes.size()), b = a, c = a;
  if (bytes.empty()) return c;
  const auto mix = [](std::uint32_t& x, std::uint32_t& z, std::uint32_t y, int turn) {
    x -= z;
    x ^= std::rotl(z, turn);
    z += y;
  };
  const auto finish = [](std::uint32_t& x, std::uint32_t y, int turn) {
    x ^= y;
    x -= std::rotl(y, turn);
  };
  for (;;) {
    std::array<std::uint8_t, 12> block{};
    const std::size_t taken = std::min(bytes.size(), block.size());
    std::copy_n(bytes.begin(), taken, block.begin());
    const auto word = [&](std::size_t at) {
      return block[at] | std::uint32_t{block[at + 1]} << 8 | std::uint32_t{block[at + 2]} << 16 | std::uint32_t{block[at + 3]} << 24;
    };
    a += word(0);
    b += word(4);
    c += word(8);
    bytes = bytes.subspan(taken);
    if (bytes.empty()) break;
    mix(a, c, b, 4);
    mix(b, a, c, 6);
    mix(c, b, a, 8);
    mix(a, c, b, 16);
    mix(b, a, c, 19);
    mix(c, b, a, 4);
  }
  finish(c, b, 14);
  finish(a, c, 11);
  finish(b, a, 25);
  finish(c, b, 16);
  finish(a, c, 4);
  finish(b, a, 14);
  finish(c, b, 24);
  return c;
}

std::uint32_t fletcher32(std::span<const std::uint8_t> bytes) {
  std::uint32_t sum = 0, sum_of_sums = 0;
  const auto folded = [](std::uint32_t value) { return (value & 0xFFFF) + (value >> 16); };
  for (std::size_t i = 0; i < bytes.size(); i += 2) {
    const std::uint32_t low = i + 1 < bytes.size() ? bytes[i + 1] : 0u;
    sum = folded(sum + (std::uint32_t{bytes[i]} << 8 | low));
    sum_of_sums = folded(sum_of_sums + sum);
  }
  return folded(sum_of_sums) << 16 | folded(sum);
}

}  // namespace shortedge::file
