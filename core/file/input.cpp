#include "file/input.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <span>
#include <system_error>

#include "base/error.hpp"

namespace shortedge::file {

Input::Input(const std::filesystem::path& path, const std::string& name)
    : descriptor_(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK)) {  // a pipe would be waited for
  if (descriptor_ < 0) {
    throw FileError(name + ": " + (errno == ENOENT ? "no such file" : std::generic_category().message(errno)));
  }
  struct stat found{};
  if (::fstat(descriptor_, &found) != 0 || !S_ISREG(found.st_mode)) {
    ::close(descriptor_);
    throw FileError(name + ": no such file");
  }
  size_ = static_cast<std::uint64_t>(found.st_size);
}

Input::~Input() { ::close(descriptor_); }

std::vector<std::uint8_t> Input::read(std::uint64_t at, std::uint64_t bytes, const std::string& where) const {
  if (at > size_ || bytes > size_ - at) {
    throw FileError(where + ": truncated or damaged: " + std::to_string(bytes) + " bytes are wanted at " +
                    std::to_string(at) + ", where the file has " + std::to_string(size_));
  }
  std::vector<std::uint8_t> content(bytes);
  std::span<std::uint8_t> rest(content);
  while (!rest.empty()) {
    const ssize_t got = ::pread(descriptor_, rest.data(), rest.size(), static_cast<off_t>(at));
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0)
      throw FileError(
          where + ": cannot be read: " + (got < 0 ? std::generic_category().message(errno) : "cut short meanwhile"));
    rest = rest.subspan(static_cast<std::size_t>(got));
    at += static_cast<std::uint64_t>(got);
  }
  return content;
}

}  // namespace shortedge::file
