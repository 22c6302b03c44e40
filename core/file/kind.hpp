#pragma once
/// What a file of the library's holds.

#include <filesystem>

namespace shortedge {

enum class FileKind { game, results, reps };

/// By the schema the file states. Throws FileError for what is no such file, and for another schema.
FileKind kind_of_file(const std::filesystem::path& path);

}  // namespace shortedge
