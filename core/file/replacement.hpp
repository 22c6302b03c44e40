#pragma once
/// A file that takes another's place all at once or not at all.

#include <filesystem>

namespace shortedge::file {

/// A new file is written under a temporary name in the same folder; `commit` brings it to the disk and gives it the
/// final name. Until then, and when the process dies, whatever stood under that name is untouched; a reader that has
/// it open keeps it. Errors of the system are FileErrors that name the file.
class Replacement {
 public:
  /// Follows a symbolic link, so that the link stays. FileError when the name belongs to a folder or its folder is
  /// missing. Creates nothing.
  explicit Replacement(const std::filesystem::path& name);
  /// Removes the temporary file unless it was committed.
  ~Replacement();
  Replacement(const Replacement&) = delete;
  Replacement& operator=(const Replacement&) = delete;

  const std::filesystem::path& temporary() const noexcept { return temporary_; }
  void commit();

 private:
  std::filesystem::path name_, temporary_;
};

}  // namespace shortedge::file
