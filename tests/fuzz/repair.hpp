#pragma once
/// Makes a mutated file's checksums right again, so that what was mutated is read: a forger's work. Written apart from
/// the reader, over the whole file: every record it finds by its signature, and what those records lead to.

#include <cstdint>
#include <vector>

namespace shortedge::fuzz {

void repair(std::vector<std::uint8_t>& file);

}  // namespace shortedge::fuzz
