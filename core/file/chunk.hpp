#pragma once
/// A column's values are stored in chunks: shuffled, deflated, and checksummed (HDF5's filters 2, 1 and 3).

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace shortedge::file {

inline constexpr std::size_t chunk_bytes = std::size_t{1} << 19;  ///< as we write them, before deflation

/// A chunk of `size` bytes as HDF5's three filters store it: `values`, zeros after them. HDF5 is not asked to, since it
/// works on one thread. Items of one byte are not shuffled. `level` is libdeflate's, 0 to 12; HDF5 knows those to 9.
std::vector<std::uint8_t> encode_chunk(std::span<const std::uint8_t> values, std::size_t item, std::size_t size,
                                       int level);

/// Undoes the three filters, so that the chunk's values fill `values` exactly; `item` is the size of one, in bytes.
/// HDF5 is not asked to: 1.10 lets a deflated stream grow without limit and reads beyond the end of a short one.
/// Throws FileError, its text beginning with `where`, when the checksum fails or the stream holds more or less. Bytes
/// between the stream's end and the checksum are not looked at, nor by HDF5.
void decode_chunk(std::span<const std::uint8_t> stored, std::size_t item, std::span<std::uint8_t> values,
                  const std::string& where);

}  // namespace shortedge::file
