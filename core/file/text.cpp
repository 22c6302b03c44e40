#include "file/text.hpp"

#include <cstdint>

namespace shortedge::file {

namespace {

/// Bytes of the UTF-8 character at the text's start, after RFC 3629; 0 when there is none.
std::size_t character_bytes(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<std::uint8_t>(text[i]); };
  const std::uint8_t lead = byte(0);
  if (lead < 0x80) return 1;
  const std::size_t bytes = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
  if (lead < 0xC2 || lead > 0xF4 || text.size() < bytes) return 0;
  // The second byte's range keeps out overlong forms, surrogates and what lies beyond U+10FFFF.
  const std::uint8_t least = lead == 0xE0 ? 0xA0 : lead == 0xF0 ? 0x90 : 0x80;
  const std::uint8_t most = lead == 0xED ? 0x9F : lead == 0xF4 ? 0x8F : 0xBF;
  if (byte(1) < least || byte(1) > most) return 0;
  for (std::size_t i = 2; i < bytes; ++i) {
    if ((byte(i) & 0xC0) != 0x80) return 0;
  }
  return bytes;
}

}  // namespace

std::string text_fault(std::string_view text) {
  if (text.size() > longest_text) {
    return "a text of " + std::to_string(text.size()) + " bytes; accepted: at most " + std::to_string(longest_text);
  }
  if (text.find('\0') != std::string_view::npos) return "a text with a NUL character";
  while (!text.empty()) {
    const std::size_t bytes = character_bytes(text);
    if (bytes == 0) return "a text that is not UTF-8";
    text.remove_prefix(bytes);
  }
  return {};
}

std::string printable(std::string_view text) {
  std::string shown;
  while (!text.empty() && shown.size() + 4 <= longest_text) {
    const std::size_t bytes = character_bytes(text);
    const bool control = static_cast<std::uint8_t>(text[0]) < 0x20 || text[0] == 0x7F;
    if (bytes == 0 || control) {
      shown += '?';
    } else {
      shown += text.substr(0, bytes);
    }
    text.remove_prefix(bytes == 0 ? 1 : bytes);
  }
  return shown;
}

}  // namespace shortedge::file
