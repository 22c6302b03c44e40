#include "file/replace.hpp"

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

/// A file of this process alone, open for writing; closed and removed in the end, if it still has its first name.
class Temporary {
 public:
  explicit Temporary(const fs::path& folder) {
    static std::atomic<unsigned> count = 0;
    do {
      name_ = folder / (".shortedge-" + std::to_string(::getpid()) + "-" + std::to_string(++count) + ".part");
      descriptor_ = ::open(name_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    } while (descriptor_ < 0 && errno == EEXIST);
    check(descriptor_ >= 0);
  }
  ~Temporary() {
    if (descriptor_ < 0) return;
    ::close(descriptor_);
    if (!name_.empty()) ::unlink(name_.c_str());
  }
  Temporary(const Temporary&) = delete;
  Temporary& operator=(const Temporary&) = delete;

  void write(std::span<const std::byte> content) {
    while (!content.empty()) {
      const ssize_t written = ::write(descriptor_, content.data(), content.size());
      if (written < 0 && errno == EINTR) continue;
      check(written >= 0);
      content = content.subspan(static_cast<std::size_t>(written));
    }
    check(::fsync(descriptor_) == 0);
  }
  void rename(const fs::path& name) {
    check(::rename(name_.c_str(), name.c_str()) == 0);
    name_.clear();
  }

 private:
  static void check(bool done) {
    if (!done) throw std::system_error(errno, std::generic_category());
  }

  fs::path name_;
  int descriptor_ = -1;
};

/// Brings a folder's list of names to the disk. Should that fail, either the old file or the new one is there, whole.
void sync_folder(const fs::path& folder) {
  const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) return;
  ::fsync(descriptor);
  ::close(descriptor);
}

}  // namespace

void replace_file(const fs::path& name, std::span<const std::byte> content) {
  try {
    const fs::path target = fs::weakly_canonical(fs::absolute(name));
    Temporary temporary(target.parent_path());
    temporary.write(content);
    temporary.rename(target);
    sync_folder(target.parent_path());
  } catch (const std::system_error& error) {
    throw FileError(printable(name.string()) + ": cannot be written: " + error.code().message());
  }
}

}  // namespace shortedge::file
