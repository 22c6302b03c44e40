#pragma once
/// HDF5 identifiers that close themselves, and HDF5's errors as FileError. For the sources of this folder: needs HDF5's
/// own headers.

#include <hdf5.h>

#include <mutex>
#include <string>
#include <utility>

namespace shortedge::file {

/// While one lives, only its thread is inside HDF5, which prints no errors and loads no plugins.
class Session {
 public:
  Session();
  ~Session();
  Session(const Session&) = delete;
  Session& operator=(const Session&) = delete;

 private:
  std::unique_lock<std::recursive_mutex> lock_;
  H5E_auto2_t print_ = nullptr;
  void* print_to_ = nullptr;
};

/// Throws FileError: where, and what HDF5 says of the call that has just failed.
[[noreturn]] void fail(const std::string& where);

/// The result of an HDF5 call, which is negative when it failed: then throws as `fail` does.
template <class Result>
Result checked(Result result, const std::string& where) {
  if (result < 0) fail(where);
  return result;
}

class Handle {
 public:
  using Close = herr_t (*)(hid_t);

  Handle() = default;
  /// Takes what an opening call returned; throws as `fail` does when that is no identifier.
  Handle(hid_t id, Close how, const std::string& where) : id_(checked(id, where)), close_(how) {}
  Handle(Handle&& other) noexcept : id_(std::exchange(other.id_, H5I_INVALID_HID)), close_(other.close_) {}
  Handle& operator=(Handle&& other) noexcept {
    std::swap(id_, other.id_);
    std::swap(close_, other.close_);
    return *this;
  }
  ~Handle() {
    if (id_ >= 0) close_(id_);
  }

  /// Closes now and throws when that fails. To be used on all that was written: HDF5 writes what it held back here.
  void close(const std::string& where) {
    if (id_ >= 0) checked(close_(std::exchange(id_, H5I_INVALID_HID)), where);
  }

  operator hid_t() const noexcept { return id_; }

 private:
  hid_t id_ = H5I_INVALID_HID;
  Close close_ = nullptr;
};

}  // namespace shortedge::file
