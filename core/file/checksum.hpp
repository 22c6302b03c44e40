#pragma once
/// The two checksums of HDF5 files, and our own of what their columns hold.

#include <cstdint>
#include <span>
#include <string>
#include <string_view>

namespace shortedge::file {

/// Of metadata: Jenkins's lookup3 (hashlittle with initial value 0). Source: Bob Jenkins, lookup3.c, 2006, public
/// domain; named in the HDF5 File Format Specification 3.0, "Disk Format: Level 2A".
std::uint32_t lookup3(std::span<const std::uint8_t> bytes);

/// Of a chunk: Fletcher's over big-endian 16-bit words, an odd last byte being a high one.
std::uint32_t fletcher32(std::span<const std::uint8_t> bytes);

/// Of a column by its table, name and values, however they are stored; texts as if each ended with a NUL. Those of a
/// file's columns are added up, in any order: CRC-32 (ISO 3309) of the bytes, spread over 64 bits (Steele et al., Fast
/// splittable pseudorandom number generators, 2014, figure 16), so that columns that take each other's place do not
/// cancel out.
std::uint64_t column_sum(std::string_view table, std::string_view column, std::span<const std::uint8_t> values);
std::uint64_t column_sum(std::string_view table, std::string_view column, std::span<const std::string> values);

}  // namespace shortedge::file
