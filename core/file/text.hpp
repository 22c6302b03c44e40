#pragma once
/// Text as files hold it: UTF-8 of limited length.

#include <cstddef>
#include <string>
#include <string_view>

namespace shortedge::file {

inline constexpr std::size_t longest_text = 1024;  ///< bytes

/// Why a file cannot hold the text (too long, a NUL, not UTF-8); empty when it can.
std::string text_fault(std::string_view text);

/// The text fit to stand in a message: control characters and what is not UTF-8 become '?', length at most
/// longest_text.
std::string printable(std::string_view text);

}  // namespace shortedge::file
