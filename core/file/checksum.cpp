#include "file/checksum.hpp"

#include <libdeflate.h>

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
      return block[at] | std::uint32_t{block[at + 1]} << 8 | std::uint32_t{block[at + 2]} << 16 |
             std::uint32_t{block[at + 3]} << 24;
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

namespace {

std::uint32_t crc_of(std::uint32_t crc, std::string_view text) {
  return libdeflate_crc32(crc, text.data(), text.size());
}

std::uint32_t crc_of_name(std::string_view table, std::string_view column) {
  return crc_of(crc_of(crc_of(crc_of(0, table), "/"), column), std::string_view("\0", 1));
}

std::uint64_t spread(std::uint64_t crc, std::uint64_t size) {
  std::uint64_t z = (crc << 32 ^ size) + 0x9E3779B97F4A7C15u;
  z = (z ^ z >> 30) * 0xBF58476D1CE4E5B9u;
  z = (z ^ z >> 27) * 0x94D049BB133111EBu;
  return z ^ z >> 31;
}

}  // namespace

std::uint64_t column_sum(std::string_view table, std::string_view column, std::span<const std::uint8_t> values) {
  return spread(libdeflate_crc32(crc_of_name(table, column), values.data(), values.size()), values.size());
}

std::uint64_t column_sum(std::string_view table, std::string_view column, std::span<const std::string> values) {
  std::uint32_t crc = crc_of_name(table, column);
  for (const std::string& text : values) crc = libdeflate_crc32(crc, text.c_str(), text.size() + 1);
  return spread(crc, values.size());
}

}  // namespace shortedge::file
