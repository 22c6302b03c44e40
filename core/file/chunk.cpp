#include "file/chunk.hpp"

#include <libdeflate.h>

#include <memory>
#include <new>
#include <vector>

#include "base/error.hpp"
#include "file/checksum.hpp"

namespace shortedge::file {

namespace {

struct Free {
  void operator()(libdeflate_compressor* one) const { libdeflate_free_compressor(one); }
  void operator()(libdeflate_decompressor* one) const { libdeflate_free_decompressor(one); }
};

}  // namespace

std::vector<std::uint8_t> encode_chunk(std::span<const std::uint8_t> values, std::size_t item, std::size_t size,
                                       int level) {
  const std::size_t items = size / item, held = values.size() / item;
  std::vector<std::uint8_t> shuffled(size);
  for (std::size_t byte = 0; byte < item; ++byte) {
    for (std::size_t i = 0; i < held; ++i) shuffled[byte * items + i] = values[i * item + byte];
  }
  const std::unique_ptr<libdeflate_compressor, Free> compressor(libdeflate_alloc_compressor(level));
  if (!compressor) throw std::bad_alloc();
  const std::size_t most = libdeflate_zlib_compress_bound(compressor.get(), size);
  std::vector<std::uint8_t> stored(most + 4);
  const std::size_t packed = libdeflate_zlib_compress(compressor.get(), shuffled.data(), size, stored.data(), most);
  const std::uint32_t sum = fletcher32(std::span(stored).first(packed));
  for (unsigned byte = 0; byte < 4; ++byte) stored[packed + byte] = static_cast<std::uint8_t>(sum >> (8 * byte));
  stored.resize(packed + 4);
  return stored;
}

void decode_chunk(std::span<const std::uint8_t> stored, std::size_t item, std::span<std::uint8_t> values,
                  const std::string& where) {
  constexpr std::size_t tail = 4;
  if (stored.size() < tail) throw FileError(where + ": a chunk is missing");
  const std::span<const std::uint8_t> stream = stored.first(stored.size() - tail), sum = stored.last(tail);
  if (fletcher32(stream) !=
      (sum[0] | std::uint32_t{sum[1]} << 8 | std::uint32_t{sum[2]} << 16 | std::uint32_t{sum[3]} << 24)) {
    throw FileError(where + ": damaged: the checksum does not fit");
  }
  std::vector<std::uint8_t> shuffled(values.size());
  const std::unique_ptr<libdeflate_decompressor, Free> decompressor(libdeflate_alloc_decompressor());
  if (!decompressor) throw std::bad_alloc();
  // Without a place for the size that came out, it has to be the one asked for.
  if (libdeflate_zlib_decompress(decompressor.get(), stream.data(), stream.size(), shuffled.data(), shuffled.size(),
                                 nullptr) != LIBDEFLATE_SUCCESS) {
    throw FileError(where + ": damaged: a chunk does not inflate to its " + std::to_string(values.size()) + " bytes");
  }
  const std::size_t items = values.size() / item;
  for (std::size_t byte = 0; byte < item; ++byte) {
    for (std::size_t i = 0; i < items; ++i) values[i * item + byte] = shuffled[byte * items + i];
  }
}

}  // namespace shortedge::file
