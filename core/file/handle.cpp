#include "file/handle.hpp"

#include "base/error.hpp"
#include "file/text.hpp"

namespace shortedge::file {

namespace {

std::recursive_mutex& library() {
  static std::recursive_mutex mutex;
  return mutex;
}

/// First what the outermost call says, then the innermost one, which knows the cause.
std::string error_text() {
  std::string texts[2];
  const auto keep = [](unsigned, const H5E_error2_t* error, void* text) -> herr_t {
    if (error->desc) *static_cast<std::string*>(text) = error->desc;
    return 1;  // the first is enough
  };
  H5Ewalk2(H5E_DEFAULT, H5E_WALK_DOWNWARD, keep, &texts[0]);
  H5Ewalk2(H5E_DEFAULT, H5E_WALK_UPWARD, keep, &texts[1]);
  H5Eclear2(H5E_DEFAULT);
  return printable(texts[0] == texts[1] ? texts[0] : texts[0] + " (" + texts[1] + ")");
}

}  // namespace

Session::Session() : lock_(library()) {
  H5Eget_auto2(H5E_DEFAULT, &print_, &print_to_);
  H5Eset_auto2(H5E_DEFAULT, nullptr, nullptr);
  H5PLset_loading_state(0);
}

Session::~Session() { H5Eset_auto2(H5E_DEFAULT, print_, print_to_); }

void fail(const std::string& where) { throw FileError(where + ": " + error_text()); }

}  // namespace shortedge::file
