#include "file/replace.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cerrno>
#include <cstdio>
#include <string>
#include <string_view>
#include <system_error>

#include "base/error.hpp"
#include "file/text.hpp"

namespace shortedge::file {

namespace fs = std::filesystem;

namespace {

constexpr std::size_t longest_name = 200;  // bytes of a file's name in that of its temporary; a name may have 255

void check(bool done) {
  if (!done) throw std::system_error(errno, std::generic_category());
}

/// A hidden name beside a file: what it begins with. "-PID-NUMBER.part" and the file's ending follow.
std::string hidden(const fs::path& name) {
  std::string begins(".");
  begins.append(name.filename().string(), 0, longest_name);
  return begins += '-';
}

/// Whether the rest of a name is that of a temporary: digits, eight hexadecimal ones, ".part" and perhaps an ending.
bool is_temporary(std::string_view rest) {
  const auto skip = [&](std::string_view of, std::size_t least, std::size_t most) {
    const std::size_t count = std::min(rest.find_first_not_of(of), rest.size());
    if (count < least || count > most) return false;
    rest.remove_prefix(count);
    return true;
  };
  if (!skip("0123456789", 1, 20) || !skip("-", 1, 1) || !skip("0123456789abcdef", 8, 8)) return false;
  return rest.substr(0, 5) == ".part" && (rest.size() == 5 || rest[5] == '.');
}

/// Whether a name still leads to an open file.
bool leads_to(const fs::path& name, int descriptor) {
  struct stat named{}, open{};
  return ::lstat(name.c_str(), &named) == 0 && ::fstat(descriptor, &open) == 0 && named.st_dev == open.st_dev &&
         named.st_ino == open.st_ino;
}

/// Removes the temporary files of this name that nobody holds: what killed writers left.
void sweep(const fs::path& target) {
  const std::string begins = hidden(target);
  std::error_code gone;
  for (const fs::directory_entry& entry : fs::directory_iterator(target.parent_path(), gone)) {
    const std::string name = entry.path().filename().string();
    if (name.compare(0, begins.size(), begins) != 0 || !is_temporary(std::string_view(name).substr(begins.size())))
      continue;
    const int descriptor = ::open(entry.path().c_str(), O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
    if (descriptor < 0) continue;
    if (::flock(descriptor, LOCK_EX | LOCK_NB) == 0 && leads_to(entry.path(), descriptor)) {
      ::unlink(entry.path().c_str());  // a folder stays: those are swept by who makes them
    }
    ::close(descriptor);
  }
}

/// Where a name's links lead to, whether anything stands there or not.
fs::path followed(fs::path name) {
  std::error_code none;
  for (int links = 0; links < 40 && fs::is_symlink(fs::symlink_status(name, none)); ++links) {
    const fs::path to = fs::read_symlink(name);
    name = to.is_absolute() ? to : name.parent_path() / to;
  }
  return fs::weakly_canonical(name.parent_path()) / name.filename();
}

/// A file of this process alone, open for writing and held, so that nobody sweeps it; closed and removed in the end, if
/// it still has its first name.
class Temporary {
 public:
  explicit Temporary(const fs::path& target) {
    static std::atomic<unsigned> count = 0;
    for (;;) {
      char number[9];
      std::snprintf(number, sizeof number, "%08x", ++count);
      name_ = target.parent_path() /
              (hidden(target) + std::to_string(::getpid()) + "-" + number + ".part" + target.extension().string());
      descriptor_ = ::open(name_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
      if (descriptor_ < 0 && errno == EEXIST) continue;
      check(descriptor_ >= 0);
      ::flock(descriptor_, LOCK_EX);  // a file system without locks: nobody sweeps there
      if (leads_to(name_, descriptor_)) return;
      ::close(descriptor_);
    }
  }
  ~Temporary() {
    if (descriptor_ < 0) return;
    if (!name_.empty()) ::unlink(name_.c_str());
    ::close(descriptor_);
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
    const fs::path target = followed(fs::absolute(name));
    struct stat there{};
    if (::stat(target.c_str(), &there) == 0 && !S_ISREG(there.st_mode) && !S_ISDIR(there.st_mode)) {
      throw FileError(printable(name.string()) + ": stands there and is no file; it is left as it is");
    }
    sweep(target);
    Temporary temporary(target);
    temporary.write(content);
    temporary.rename(target);
    sync_folder(target.parent_path());
  } catch (const std::system_error& error) {
    throw FileError(printable(name.string()) + ": cannot be written: " + error.code().message());
  }
}

}  // namespace shortedge::file
