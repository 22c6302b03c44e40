#pragma once
/// An HDF5 file that is written in memory. For the sources of this folder: needs HDF5's own headers.

#include <cstddef>
#include <cstdlib>
#include <memory>
#include <span>
#include <string>

#include "file/handle.hpp"

namespace shortedge::file {

/// HDF5 writes to memory and the bytes go to the disk afterwards, since HDF5 does not survive a disk that refuses: it
/// keeps a broken file open and may crash later. (H5Fget_file_image is no way to the bytes: in 1.10 it changes the
/// superblock without its checksum.)
class Image {
 public:
  /// `where` begins the text of every FileError.
  explicit Image(const std::string& where, hid_t creation);

  hid_t file() const noexcept { return file_; }
  /// Closes the file, all of whose objects must be closed. The bytes are this object's.
  std::span<const std::byte> close(const std::string& where);

 private:
  struct Free {
    void operator()(void* memory) const { std::free(memory); }
  };
  std::unique_ptr<void, Free> memory_;  // filled when HDF5 lets it go; so it must outlive file_
  Handle file_;
};

}  // namespace shortedge::file
