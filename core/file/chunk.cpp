#include "file/chunk.hpp"

#include <zlib.h>

#include <vector>

#include "base/error.hpp"
#include "file/checksum.hpp"

namespace shortedge::file {

void decode_chunk(std::span<const std::uint8_t> stored, std::size_t item, std::span<std::uint8_t> values, const std::string& where) {
  constexpr std::size_t tail = 4;
  if (stored.size() < tail) throw FileError(where + ": a chunk is missing");
  const std::span<const std::uint8_t> stream = stored.first(stored.size() - tail), sum = stored.last(tail);
  if (fletcher32(stream) != (sum[0] | std::uint32_t{sum[1]} << 8 | std::uint32_t{sum[2]} << 16 | std::uint32_t{sum[3]} << 24)) {
    throw FileError(where + ": damaged: the checksum does not fit");
  }
  std::vector<std::uint8_t> shuffled(values.size());
  uLongf size = shuffled.size();
  if (uncompress(shuffled.data(), &size, stream.data(), stream.size()) != Z_OK || size != shuffled.size()) {
    throw FileError(where + ": damaged: a chunk does not inflate to its " + std::to_string(values.size()) + " bytes");
  }
  const std::size_t items = values.size() / item;
  for (std::size_t byte = 0; byte < item; ++byte) {
    for (std::size_t i = 0; i < items; ++i) values[i * item + byte] = shuffled[byte * items + i];
  }
}

}  // namespace shortedge::file
