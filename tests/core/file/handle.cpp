#include "file/handle.hpp"

#include <doctest/doctest.h>

#include "base/error.hpp"

using namespace shortedge;

TEST_CASE("what HDF5 could not do is told with its cause, once, and its printing is the caller's again afterwards") {
  H5E_auto2_t print = nullptr, print_after = nullptr;
  void *to = nullptr, *to_after = nullptr;
  H5Eget_auto2(H5E_DEFAULT, &print, &to);
  {
    const file::Session session;
    CHECK(H5Fopen("/none/it.h5", H5F_ACC_RDONLY, H5P_DEFAULT) < 0);
    std::string says;
    try {
      file::fail("it.h5: cannot be written");
    } catch (const FileError& error) {
      says = error.what();
    }
    CHECK(says.find("it.h5: cannot be written: ") == 0);
    CHECK(says.find("No such file or directory") != says.npos);
    CHECK(says.find('\n') == says.npos);
    CHECK_THROWS_WITH_AS(file::fail("next"), "next: ", FileError);  // nothing of it is left
    const file::Session inner;                                      // one in another, as a writer that reads has
  }
  H5Eget_auto2(H5E_DEFAULT, &print_after, &to_after);
  CHECK((print_after == print));
  CHECK((to_after == to));
}
