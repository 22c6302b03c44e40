#include "file/checksum.hpp"

#include <doctest/doctest.h>

#include <string_view>

using namespace shortedge::file;

namespace {

std::span<const std::uint8_t> bytes_of(std::string_view text) {
  return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}

}  // namespace

TEST_CASE("metadata's checksum is lookup3") {
  // Bob Jenkins, lookup3.c (2006), driver5 prints these.
  CHECK(lookup3(bytes_of("Four score and seven years ago")) == 0x17770551);
  CHECK(lookup3({}) == 0xDEADBEEF);
}

TEST_CASE("a chunk's checksum is Fletcher's") {
  // By hand: words 0x0102, 0x0304, 0x0500; sums 0x0102, 0x0406, 0x0906; sums of sums 0x0102, 0x0508, 0x0E0E.
  CHECK(fletcher32(bytes_of("\x01\x02\x03\x04\x05")) == 0x0E0E0906);
  // 0xFFFF is 0 of these sums, however many of them.
  CHECK(fletcher32(bytes_of("\xFF\xFF\xFF\xFF\x01\x02")) == 0x01020102);
}
