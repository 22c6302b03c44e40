#include "file/image.hpp"

namespace shortedge::file {

Image::Image(const std::string& where, hid_t creation) {
  const Handle access(H5Pcreate(H5P_FILE_ACCESS), H5Pclose, where);
  checked(H5Pset_libver_bounds(access, H5F_LIBVER_V110, H5F_LIBVER_V110), where);
  constexpr std::size_t step = std::size_t{1} << 20;
  checked(H5Pset_fapl_core(access, step, false), where);

  H5FD_file_image_callbacks_t calls{};
  calls.image_realloc = [](void* memory, std::size_t size, H5FD_file_image_op_t, void*) {
    return std::realloc(memory, size);
  };
  calls.image_free = [](void* memory, H5FD_file_image_op_t, void* keeper) -> herr_t {
    static_cast<decltype(memory_)*>(keeper)->reset(memory);
    return 0;
  };
  calls.udata = &memory_;
  calls.udata_copy = [](void* keeper) { return keeper; };
  calls.udata_free = [](void*) -> herr_t { return 0; };
  checked(H5Pset_file_image_callbacks(access, &calls), where);

  file_ = Handle(H5Fcreate("in memory", H5F_ACC_TRUNC, creation, access), H5Fclose, where);
}

std::span<const std::byte> Image::close(const std::string& where) {
  checked(H5Fflush(file_, H5F_SCOPE_GLOBAL), where);
  const auto size = static_cast<std::size_t>(checked(H5Fget_file_image(file_, nullptr, 0), where));
  file_.close(where);
  return {static_cast<const std::byte*>(memory_.get()), size};
}

}  // namespace shortedge::file
