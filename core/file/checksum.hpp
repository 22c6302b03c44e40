#pragma once
/// The two checksums of HDF5 files.

#include <cstdint>
#include <span>

namespace shortedge::file {

/// Of metadata: Jenkins's lookup3 (hashlittle with initial value 0). Source: Bob Jenkins, lookup3.c, 2006, public domain;
/// named in the HDF5 File Format Specification 3.0, "Disk Format: Level 2A".
std::uint32_t lookup3(std::span<const std::uint8_t> bytes);

/// Of a chunk: Fletcher's over big-endian 16-bit words, an odd last byte being a high one.
std::uint32_t fletcher32(std::span<const std::uint8_t> bytes);

}  // namespace shortedge::file
