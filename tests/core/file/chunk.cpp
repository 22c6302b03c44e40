// Chunks as we pack them against HDF5's own filters.

#include "file/chunk.hpp"

#include <doctest/doctest.h>
#include <hdf5.h>

#include <cstring>

#include "base/error.hpp"
#include "sample.hpp"

using namespace shortedge;
using namespace shortedge::file;

namespace {

/// What HDF5 stores for the values that begin in row `first` of a column of chunks of `rows`.
std::vector<std::uint8_t> stored_by_hdf5(hid_t type, const void* values, hsize_t length, hsize_t rows, hsize_t first) {
  const sample::Folder folder;
  const hid_t file = H5Fcreate((folder / "chunk.h5").c_str(), H5F_ACC_TRUNC, H5P_DEFAULT, H5P_DEFAULT);
  const hid_t space = H5Screate_simple(1, &length, nullptr), creation = H5Pcreate(H5P_DATASET_CREATE);
  H5Pset_chunk(creation, 1, &rows);
  H5Pset_shuffle(creation);
  H5Pset_deflate(creation, 4);
  H5Pset_fletcher32(creation);
  const hid_t dataset = H5Dcreate2(file, "x", type, space, H5P_DEFAULT, creation, H5P_DEFAULT);
  REQUIRE(H5Dwrite(dataset, type, H5S_ALL, H5S_ALL, H5P_DEFAULT, values) >= 0);
  REQUIRE(H5Fflush(file, H5F_SCOPE_GLOBAL) >= 0);
  hsize_t bytes = 0;
  REQUIRE(H5Dget_chunk_storage_size(dataset, &first, &bytes) >= 0);
  std::vector<std::uint8_t> stored(bytes);
  std::uint32_t skipped = 0;
  REQUIRE(H5Dread_chunk(dataset, H5P_DEFAULT, &first, &skipped, stored.data()) >= 0);
  H5Dclose(dataset);
  H5Pclose(creation);
  H5Sclose(space);
  H5Fclose(file);
  return stored;
}

template <class T>
void compare(hid_t type, std::size_t length, std::size_t rows) {
  std::vector<T> values(length);
  for (std::size_t row = 0; row < length; ++row) values[row] = static_cast<T>(100 * std::sin(static_cast<double>(row)));
  for (std::size_t first = 0; first < length; first += rows) {
    CAPTURE(sizeof(T));
    CAPTURE(first);
    std::vector<std::uint8_t> bytes(std::min(rows, length - first) * sizeof(T));
    std::memcpy(bytes.data(), values.data() + first, bytes.size());
    const std::vector<std::uint8_t> ours = encode_chunk(bytes, sizeof(T), rows * sizeof(T), 4);
    CHECK(ours == stored_by_hdf5(type, values.data(), length, rows, first));
    std::vector<std::uint8_t> back(rows * sizeof(T));
    decode_chunk(ours, sizeof(T), back, "here");
    bytes.resize(back.size());
    CHECK(back == bytes);  // zeros after the last value
  }
}

}  // namespace

TEST_CASE("a chunk is packed as HDF5's own filters pack it, byte for byte") {
  compare<double>(H5T_IEEE_F64LE, 2500, 1000);
  compare<std::int32_t>(H5T_STD_I32LE, 999, 1000 - 1);
  compare<std::int8_t>(H5T_STD_I8LE, 2001, 667);
  compare<double>(H5T_IEEE_F64LE, 1, 1);
}
