// Our chunks against HDF5's own filters.

#include "file/chunk.hpp"

#include <doctest/doctest.h>
#include <hdf5.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <random>

#include "base/error.hpp"
#include "file/checksum.hpp"
#include "sample.hpp"

using namespace shortedge;
using namespace shortedge::file;

namespace {

using Bytes = std::vector<std::uint8_t>;

/// A column that HDF5 keeps in a file: chunks of `rows`, filtered as ours are.
struct Column {
  const sample::Folder folder;
  const hid_t type;
  const hid_t file = H5Fcreate((folder / "chunk.h5").c_str(), H5F_ACC_TRUNC, H5P_DEFAULT, H5P_DEFAULT);
  hid_t dataset;

  Column(hid_t of, hsize_t length, hsize_t rows) : type(of) {
    const hid_t space = H5Screate_simple(1, &length, nullptr), creation = H5Pcreate(H5P_DATASET_CREATE);
    H5Pset_chunk(creation, 1, &rows);
    H5Pset_shuffle(creation);
    H5Pset_deflate(creation, 4);
    H5Pset_fletcher32(creation);
    dataset = H5Dcreate2(file, "x", type, space, H5P_DEFAULT, creation, H5P_DEFAULT);
    H5Pclose(creation);
    H5Sclose(space);
  }
  ~Column() {
    H5Dclose(dataset);
    H5Fclose(file);
  }
  Column(const Column&) = delete;
  Column& operator=(const Column&) = delete;

  void write(const void* values) { REQUIRE(H5Dwrite(dataset, type, H5S_ALL, H5S_ALL, H5P_DEFAULT, values) >= 0); }
  void read(void* values) { REQUIRE(H5Dread(dataset, type, H5S_ALL, H5S_ALL, H5P_DEFAULT, values) >= 0); }

  /// The chunk that begins in row `first`, as it is stored.
  Bytes chunk(hsize_t first) {
    REQUIRE(H5Fflush(file, H5F_SCOPE_GLOBAL) >= 0);
    hsize_t size = 0;
    REQUIRE(H5Dget_chunk_storage_size(dataset, &first, &size) >= 0);
    Bytes stored(size);
    std::uint32_t skipped = 0;
    REQUIRE(H5Dread_chunk(dataset, H5P_DEFAULT, &first, &skipped, stored.data()) >= 0);
    return stored;
  }
  void put_chunk(hsize_t first, const Bytes& stored) {
    REQUIRE(H5Dwrite_chunk(dataset, H5P_DEFAULT, 0, &first, stored.size(), stored.data()) >= 0);
  }
};

template <class T>
void exchange(hid_t type, const std::vector<T>& values, std::size_t rows, int level) {
  CAPTURE(sizeof(T));
  CAPTURE(level);
  const std::size_t length = values.size();
  Column theirs(type, length, rows), ours(type, length, rows);
  theirs.write(values.data());
  for (std::size_t first = 0; first < length; first += rows) {
    CAPTURE(first);
    Bytes bytes(std::min(rows, length - first) * sizeof(T));
    std::memcpy(bytes.data(), values.data() + first, bytes.size());
    const Bytes packed = encode_chunk(bytes, sizeof(T), rows * sizeof(T), level);
    ours.put_chunk(first, packed);
    bytes.resize(rows * sizeof(T));  // zeros after the last value
    for (const Bytes& stored : {packed, theirs.chunk(first)}) {
      Bytes back(bytes.size(), 1);
      decode_chunk(stored, sizeof(T), back, "here");
      CHECK(back == bytes);
    }
  }
  std::vector<T> read(length);
  ours.read(read.data());
  CHECK(std::memcmp(read.data(), values.data(), length * sizeof(T)) == 0);
}

template <class T>
std::vector<T> waves(std::size_t length) {
  std::vector<T> values(length);
  for (std::size_t row = 0; row < length; ++row) values[row] = static_cast<T>(100 * std::sin(static_cast<double>(row)));
  return values;
}

/// A stream with its checksum behind it.
Bytes summed(Bytes stream) {
  const std::uint32_t sum = fletcher32(stream);
  for (unsigned byte = 0; byte < 4; ++byte) stream.push_back(static_cast<std::uint8_t>(sum >> (8 * byte)));
  return stream;
}

/// What is said of a chunk of so many bytes; nothing when it is taken.
std::string said_of(const Bytes& stored, std::size_t size) {
  Bytes values(size);
  try {
    decode_chunk(stored, 8, values, "here");
  } catch (const FileError& error) {
    return error.what();
  }
  return {};
}

}  // namespace

TEST_CASE("HDF5's own filters read what we packed, and we what they did") {
  for (const int level : {0, 1, 4, 9}) {
    exchange(H5T_IEEE_F64LE, waves<double>(2500), 1000, level);
    exchange(H5T_STD_I32LE, waves<std::int32_t>(999), 1000 - 1, level);
    exchange(H5T_STD_I8LE, waves<std::int8_t>(2001), 667, level);
    exchange(H5T_IEEE_F64LE, waves<double>(1), 1, level);
    exchange(H5T_IEEE_F64LE, std::vector<double>(chunk_bytes / 8 + 1, sample::missing), chunk_bytes / 8, level);
  }
}

TEST_CASE("a chunk that cannot be packed grows by little") {
  std::mt19937 draw(1);
  for (const std::size_t length : {std::size_t{1}, std::size_t{7}, std::size_t{40'000}, chunk_bytes}) {
    CAPTURE(length);
    std::vector<std::uint8_t> noise(length);
    std::generate(noise.begin(), noise.end(), [&] { return static_cast<std::uint8_t>(draw()); });
    exchange(H5T_STD_U8LE, noise, length, 1);
    CHECK(encode_chunk(noise, 1, length, 1).size() <= length + length / 100 + 100);  // the reader takes no larger ones
  }
}

TEST_CASE("a stream that gives more or less than the chunk is refused") {
  const std::vector<double> values = waves<double>(600);
  Column column(H5T_IEEE_F64LE, 600, 600);
  column.write(values.data());
  const Bytes whole = column.chunk(0), stream(whole.begin(), whole.end() - 4);
  CHECK(summed(stream) == whole);
  CHECK(said_of(whole, 4800) == "");
  CHECK(said_of(whole, 4792) == "here: damaged: a chunk does not inflate to its 4792 bytes");
  CHECK(said_of(whole, 4808) == "here: damaged: a chunk does not inflate to its 4808 bytes");
  for (std::size_t kept = 0; kept < stream.size(); ++kept) {
    CAPTURE(kept);
    const Bytes cut(stream.begin(), stream.begin() + static_cast<std::ptrdiff_t>(kept));
    CHECK(said_of(summed(cut), 4800) == "here: damaged: a chunk does not inflate to its 4800 bytes");
  }
  Bytes other = stream;
  other.at(other.size() - 1) ^= 1;  // of the stream's own sum
  CHECK(said_of(summed(other), 4800) == "here: damaged: a chunk does not inflate to its 4800 bytes");
  CHECK(said_of({1, 2, 3}, 4800) == "here: a chunk is missing");
}

TEST_CASE("what stands behind a stream is not looked at, nor by HDF5") {
  const std::vector<double> values = waves<double>(600);
  Column column(H5T_IEEE_F64LE, 600, 600), other(H5T_IEEE_F64LE, 600, 600);
  column.write(values.data());
  Bytes longer = column.chunk(0);
  longer.resize(longer.size() - 4);
  longer.insert(longer.end(), {1, 2, 3, 4, 5});
  longer = summed(longer);
  other.put_chunk(0, longer);
  std::vector<double> read(600);
  other.read(read.data());
  CHECK(read == values);
  CHECK(said_of(longer, 4800) == "");
}
