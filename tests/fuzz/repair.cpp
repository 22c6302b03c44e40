#include "repair.hpp"

#include <algorithm>
#include <span>
#include <string_view>

#include "file/checksum.hpp"

namespace shortedge::fuzz {

namespace {

class Forger {
 public:
  explicit Forger(std::vector<std::uint8_t>& file) : file_(file) {}

  void superblock() {
    if (!holds(0, 48)) return;
    put(28, 8, file_.size());
    sign(0, 44);
  }
  void object(std::uint64_t at) {
    if (!holds(at, 16)) return;
    const std::uint8_t flags = file_[at + 5];
    const std::uint64_t prefix = 6u + ((flags & 0x20) != 0 ? 16 : 0) + ((flags & 0x10) != 0 ? 4 : 0),
                        width = 1u << (flags & 3);
    if (!holds(at, prefix + width)) return;
    const std::uint64_t size = number(at + prefix, width), begin = at + prefix + width;
    if (!holds(begin, size) || !holds(begin + size, 4)) return;
    messages(begin, begin + size, (flags & 4) != 0 ? 6 : 4, 0);
    sign(at, begin + size - at);
  }

 private:
  bool holds(std::uint64_t at, std::uint64_t bytes) const { return at <= file_.size() && bytes <= file_.size() - at; }
  std::uint64_t number(std::uint64_t at, std::uint64_t bytes) const {
    std::uint64_t value = 0;
    for (std::uint64_t i = bytes; i-- > 0;) value = value << 8 | file_[at + i];
    return value;
  }
  void put(std::uint64_t at, std::uint64_t bytes, std::uint64_t value) {
    for (std::uint64_t i = 0; i < bytes; ++i) file_[at + i] = static_cast<std::uint8_t>(value >> 8 * i);
  }
  /// Puts the right checksum behind a record.
  void sign(std::uint64_t at, std::uint64_t bytes) {
    if (holds(at, bytes) && holds(at + bytes, 4))
      put(at + bytes, 4, file::lookup3(std::span(file_).subspan(at, bytes)));
  }
  void messages(std::uint64_t at, std::uint64_t end, std::uint64_t prefix, int depth) {
    for (; at + prefix <= end;) {
      const std::uint64_t size = number(at + 1, 2), body = at + prefix;
      if (body + size > end) return;
      if (file_[at] == 0x10 && size >= 16 && depth < 50) {
        const std::uint64_t block = number(body, 8), bytes = number(body + 8, 8);
        if (bytes >= 8 && holds(block, bytes)) {
          messages(block + 4, block + bytes - 4, prefix, depth + 1);
          sign(block, bytes - 4);
        }
      }
      if (file_[at] == 0x08) layout(body, size);
      at = body + size;
    }
  }
  void layout(std::uint64_t at, std::uint64_t size) {
    if (size < 5 || file_[at] != 4 || file_[at + 1] != 2) return;
    const std::uint64_t index = at + 5 + std::uint64_t{file_[at + 3]} * file_[at + 4];
    if (index + 22 > at + size && index + 10 > at + size) return;
    if (file_[index] == 1 && index + 21 <= at + size) chunk(number(index + 13, 8), number(index + 1, 8));
    if (file_[index] == 3 && index + 10 <= at + size) array(number(index + 2, 8));
  }
  void array(std::uint64_t at) {
    if (!holds(at, 28)) return;
    sign(at, 24);
    const std::uint64_t entry = file_[at + 6], count = number(at + 8, 8), block = number(at + 16, 8);
    if (entry <= 12 || count > file_.size() / entry || file_[at + 7] >= 32) return;
    const std::uint64_t page = std::uint64_t{1} << file_[at + 7];
    if (count <= page) {
      entries(block + 14, count, entry);
      sign(block, 14 + count * entry);
      return;
    }
    const std::uint64_t pages = (count + page - 1) / page, prefix = 14 + (pages + 7) / 8;
    sign(block, prefix);
    std::uint64_t begin = block + prefix + 4;
    for (std::uint64_t i = 0; i < pages; ++i) {
      const std::uint64_t here = std::min(page, count - i * page);
      entries(begin, here, entry);
      sign(begin, here * entry);
      begin += here * entry + 4;
    }
  }
  void entries(std::uint64_t at, std::uint64_t count, std::uint64_t entry) {
    if (!holds(at, count * entry)) return;
    for (std::uint64_t i = 0; i < count; ++i, at += entry)
      chunk(number(at, 8), number(at + 8, std::min<std::uint64_t>(entry - 12, 8)));
  }
  void chunk(std::uint64_t at, std::uint64_t bytes) {
    if (bytes < 4 || bytes > (1u << 21) || !holds(at, bytes)) return;
    put(at + bytes - 4, 4, file::fletcher32(std::span(file_).subspan(at, bytes - 4)));
  }

  std::vector<std::uint8_t>& file_;
};

}  // namespace

void repair(std::vector<std::uint8_t>& file) {
  Forger forger(file);
  constexpr std::string_view object = "OHDR";
  for (auto at = file.begin(); (at = std::search(at, file.end(), object.begin(), object.end())) != file.end(); ++at) {
    forger.object(static_cast<std::uint64_t>(at - file.begin()));
  }
  forger.superblock();
}

}  // namespace shortedge::fuzz
