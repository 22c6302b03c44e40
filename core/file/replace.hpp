#pragma once
/// A file that takes another's place all at once or not at all.

#include <cstddef>
#include <filesystem>
#include <span>

namespace shortedge::file {

/// Writes the content under a hidden name in the same folder (.NAME-PID-NUMBER.part), brings it to the disk and gives
/// it the file's name. Whatever goes wrong before that, and when the process dies, the old file is intact; a reader
/// that has it open keeps it. A symbolic link stays, and what it names is replaced, or made. Hidden files that killed
/// writers of this name left, and nobody holds (flock), are removed first. Throws FileError, naming the file, when the
/// system refuses, or for a device or a pipe; the hidden file is removed then.
void replace_file(const std::filesystem::path& name, std::span<const std::byte> content);

}  // namespace shortedge::file
