#pragma once
/// A file that is read by places, each checked against its size.

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace shortedge::file {

class Input {
 public:
  /// Opens a regular file, which other readers may have open and a writer may replace meanwhile. Throws FileError, its
  /// text beginning with `name`.
  Input(const std::filesystem::path& path, const std::string& name);
  ~Input();
  Input(const Input&) = delete;
  Input& operator=(const Input&) = delete;

  std::uint64_t size() const noexcept { return size_; }
  /// Exactly so many bytes. Throws FileError, its text beginning with `where`, when the file holds no such place; no
  /// memory is asked for then.
  std::vector<std::uint8_t> read(std::uint64_t at, std::uint64_t bytes, const std::string& where) const;

 private:
  int descriptor_ = -1;
  std::uint64_t size_ = 0;
};

}  // namespace shortedge::file
