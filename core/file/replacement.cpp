#include "file/replacement.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <atomic>
#include <cerrno>
#include <string>
#include <system_error>

#include "base/error.hpp"
#include "file/text.hpp"

namespace shortedge::file {

namespace fs = std::filesystem;

namespace {

[[noreturn]] void refuse(const fs::path& name, const std::string& why) {
  throw FileError(printable(name.string()) + ": cannot be written: " + why);
}

/// 0, or the error's number.
int bring_to_disk(const fs::path& name) {
  const int descriptor = ::open(name.c_str(), O_RDONLY | O_CLOEXEC);
  if (descriptor < 0) return errno;
  const int error = ::fsync(descriptor) == 0 ? 0 : errno;
  ::close(descriptor);
  return error;
}

}  // namespace

Replacement::Replacement(const fs::path& name) {
  std::error_code error;
  name_ = fs::weakly_canonical(fs::absolute(name, error), error);
  if (error) refuse(name, error.message());
  if (fs::is_directory(name_, error)) refuse(name, "it is a folder");
  if (!fs::is_directory(name_.parent_path(), error)) refuse(name, "there is no such folder");
  static std::atomic<unsigned> count = 0;
  do {
    temporary_ = name_.parent_path() / (".shortedge-" + std::to_string(::getpid()) + "-" + std::to_string(++count) + ".part");
  } while (fs::exists(fs::symlink_status(temporary_, error)));
}

Replacement::~Replacement() {
  std::error_code ignored;
  if (!temporary_.empty()) fs::remove(temporary_, ignored);
}

void Replacement::commit() {
  if (const int error = bring_to_disk(temporary_)) refuse(name_, std::generic_category().message(error));
  std::error_code error;
  fs::rename(temporary_, name_, error);
  if (error) refuse(name_, error.message());
  temporary_.clear();
  bring_to_disk(name_.parent_path());  // the new name; should this fail, either file is whole
}

}  // namespace shortedge::file
