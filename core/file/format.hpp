#pragma once
/// The part of HDF5's 1.10 format that this library's files use, read without HDF5: 1.10.8 crashed in H5Dopen on files
/// forged with repaired checksums, so no byte of unknown origin reaches it.
///
/// Source: HDF5 File Format Specification Version 3.0: superblock version 3 (II.A), fixed array index (VII.C), object
/// header version 2 (IV.A.1.b) and its messages (IV.A.2). A list of what is allowed: group headers with links in the
/// header itself; datasets of one dimension in chunks, indexed as one chunk or by a fixed array; every block with its
/// checksum. Anything else is refused. Of attributes, fill values and group hints only the size is looked at.
///
/// Every read is bounds-checked; an object's header takes at most 1 MiB, so headers that lead to themselves come to an
/// end. Functions throw FileError, its text beginning with `where`.

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "file/input.hpp"

namespace shortedge::file {

/// The bytes every file of this format begins with.
inline constexpr std::string_view signature("\x89HDF\r\n\x1a\n\x03", 9);  // the last one is the superblock's version

/// The address of the root group. Refused: a file whose size is not the one it states.
std::uint64_t root_address(const Input& input, const std::string& where);

/// What stands at an address: the messages of its header, all blocks' checksums having been right.
class Object {
 public:
  Object(const Input& input, std::uint64_t address, const std::string& where);

  enum class Message : std::uint8_t {
    nil = 0x00,
    dataspace = 0x01,
    link_info = 0x02,
    datatype = 0x03,
    fill_value = 0x05,
    link = 0x06,
    external_files = 0x07,
    layout = 0x08,
    group_info = 0x0A,
    filters = 0x0B,
    attribute = 0x0C,
    continuation = 0x10,
    attribute_info = 0x15,
    references = 0x16
  };
  struct Found {
    Message kind;
    bool shared;  ///< stands elsewhere in the file; the body says where
    std::span<const std::uint8_t> body;
  };
  const std::vector<Found>& messages() const noexcept { return messages_; }
  /// The message of a kind; null when there is none. Refused: two.
  const Found* only(Message kind, const std::string& where) const;

 private:
  void read_messages(std::span<const std::uint8_t> bytes, bool ordered, const std::string& where);

  std::vector<std::vector<std::uint8_t>> blocks_;  // what the bodies are views of
  std::vector<Found> messages_;
  std::vector<std::pair<std::uint64_t, std::uint64_t>> continued_;  // address, bytes
};

struct Link {
  enum class Kind : std::uint8_t { hard = 0, soft = 1, external = 64, own };
  std::string name;
  Kind kind = Kind::hard;
  std::uint64_t address = 0;  ///< of a hard link's object
};

/// The links of a group, in no order. Refused: what is no group; links kept in a heap, as HDF5 does with more than
/// 1000.
std::vector<Link> links_of(const Object& group, const std::string& where);

/// What the values of a dataset are.
struct Type {
  enum class Class : std::uint8_t { integer = 0, floating = 1, text = 3, variable = 9, other };
  Class kind = Class::other;
  bool sign = false;
  bool plain = false;  ///< an integer, IEEE float or null-padded UTF-8 text as this library writes them
  bool variable_text = false;
  std::uint32_t bytes = 0;  ///< of one value
};

struct Dataset {
  Type type;
  std::uint64_t rows = 0, chunk_rows = 0;
  struct Chunk {
    std::uint64_t address = 0, bytes = 0;  ///< no bytes: it is missing
    std::uint32_t skipped_filters = 0;     ///< a bit each
  };
  std::uint8_t index = 0;  ///< how the chunks are found
  Chunk single;            ///< the only chunk, or where the array of chunks stands
};

/// The type of a dataset in chunks. Refused: what is no dataset, virtual, external and other storage, committed types.
Type type_of(const Object& dataset, const std::string& where);
/// The rest of it. Refused: other filters than shuffle, deflate and fletcher32, other ranks than one, growing datasets,
/// other kinds of index.
Dataset dataset_of(const Object& dataset, const std::string& where);
/// The chunks in order of rows; none when the dataset has no rows.
std::vector<Dataset::Chunk> chunks_of(const Input& input, const Dataset& dataset, const std::string& where);

}  // namespace shortedge::file
