#include "file/format.hpp"

#include <algorithm>
#include <array>
#include <limits>

#include "base/error.hpp"
#include "file/checksum.hpp"

namespace shortedge::file {

namespace {

using Bytes = std::span<const std::uint8_t>;

constexpr std::uint64_t nowhere = std::numeric_limits<std::uint64_t>::max();  // HDF5's undefined address
constexpr std::uint64_t most_header = std::uint64_t{1} << 20;                 // bytes of an object's header, all blocks
constexpr std::size_t checksum_bytes = 4, address_bytes = 8;

[[noreturn]] void refuse(const std::string& where, const std::string& why) { throw FileError(where + ": " + why); }
[[noreturn]] void damaged(const std::string& where, const std::string& what) { refuse(where, "damaged: " + what); }

/// Takes numbers, low byte first, from a block's start on.
class Cursor {
 public:
  Cursor(Bytes bytes, const std::string& where) : rest_(bytes), where_(where) {}

  Bytes take(std::uint64_t bytes) {
    if (bytes > rest_.size()) damaged(where_, "a record ends early");
    const Bytes taken = rest_.first(bytes);
    rest_ = rest_.subspan(bytes);
    return taken;
  }
  std::uint64_t number(std::size_t bytes) {
    std::uint64_t value = 0;
    unsigned shift = 0;
    for (const std::uint8_t byte : take(bytes)) {
      value |= std::uint64_t{byte} << shift;
      shift += 8;
    }
    return value;
  }
  std::uint8_t byte() { return take(1)[0]; }
  std::uint64_t address() { return number(address_bytes); }
  std::size_t left() const noexcept { return rest_.size(); }
  /// A byte that has but one right value.
  void expect(std::uint8_t wanted, const char* what) {
    if (const std::uint8_t found = byte(); found != wanted) {
      refuse(where_,
             std::string(what) + " " + std::to_string(found) + "; this library reads " + std::to_string(wanted));
    }
  }
  void expect(std::string_view wanted) {
    const Bytes found = take(wanted.size());
    if (!std::equal(found.begin(), found.end(), wanted.begin(), wanted.end(),
                    [](std::uint8_t a, char b) { return a == static_cast<std::uint8_t>(b); })) {
      damaged(where_, "no " + std::string(wanted) + " where one should be");
    }
  }

 private:
  Bytes rest_;
  const std::string& where_;
};

/// The block without its checksum, which has been found right.
Bytes checked_block(Bytes block, const std::string& where) {
  if (block.size() < checksum_bytes) damaged(where, "a record ends early");
  const Bytes content = block.first(block.size() - checksum_bytes);
  if (Cursor(block.last(checksum_bytes), where).number(checksum_bytes) != lookup3(content))
    damaged(where, "a record's checksum does not fit");
  return content;
}

}  // namespace

std::uint64_t root_address(const Input& input, const std::string& where) {
  constexpr std::size_t superblock = 48;
  const std::vector<std::uint8_t> start = input.read(0, std::min<std::uint64_t>(input.size(), superblock), where);
  const auto begins_as = [&](std::size_t bytes) {
    return start.size() >= bytes &&
           std::equal(signature.begin(), signature.begin() + static_cast<std::ptrdiff_t>(bytes), start.begin(),
                      [](char a, std::uint8_t b) { return static_cast<std::uint8_t>(a) == b; });
  };
  if (!begins_as(signature.size() - 1)) refuse(where, "not an HDF5 file");
  if (!begins_as(signature.size())) refuse(where, "not an HDF5 file of the 1.10 format");
  if (start.size() < superblock) refuse(where, "truncated: no whole superblock");
  Cursor cursor(checked_block(start, where), where);
  cursor.take(signature.size());
  cursor.expect(address_bytes, "bytes of an address:");
  cursor.expect(address_bytes, "bytes of a length:");
  cursor.expect(0, "a file that is being written, or whose writer died: state");
  if (cursor.address() != 0) refuse(where, "an HDF5 file that begins inside another");
  if (cursor.address() != nowhere) refuse(where, "a superblock with an extension");
  if (const std::uint64_t end = cursor.address(); end != input.size()) {
    refuse(where, std::string(end > input.size() ? "truncated" : "damaged") + ": the file has " +
                      std::to_string(input.size()) + " bytes and states " + std::to_string(end));
  }
  return cursor.address();
}

// ---- objects

Object::Object(const Input& input, std::uint64_t address, const std::string& where) {
  constexpr std::size_t longest_prefix = 4 + 2 + 16 + 4 + 8;
  if (address >= input.size()) damaged(where, "it stands beyond the file's end");
  const std::vector<std::uint8_t> start =
      input.read(address, std::min<std::uint64_t>(longest_prefix, input.size() - address), where);
  Cursor prefix(start, where);
  prefix.expect("OHDR");
  prefix.expect(2, "an object header of version");
  const std::uint8_t flags = prefix.byte();
  if ((flags & 0xC0) != 0) damaged(where, "an object header with flags that mean nothing");
  const bool ordered = (flags & 0x04) != 0;
  if ((flags & 0x20) != 0) prefix.take(16);  // times
  if ((flags & 0x10) != 0) prefix.take(4);   // when attributes move to a heap
  const std::uint64_t size = prefix.number(std::size_t{1} << (flags & 0x03));
  const std::uint64_t before = start.size() - prefix.left();
  if (size > most_header)
    refuse(where,
           "an object header of " + std::to_string(size) + " bytes; accepted: at most " + std::to_string(most_header));
  blocks_.push_back(input.read(address, before + size + checksum_bytes, where));
  read_messages(checked_block(blocks_.back(), where).subspan(before), ordered, where);

  std::uint64_t total = size;
  for (std::size_t i = 0; i < continued_.size(); ++i) {  // a continuation may name another
    const auto [at, bytes] = continued_[i];
    if (bytes < 8 || bytes > most_header || (total += bytes) > most_header) {
      refuse(where, "an object header continued for " + std::to_string(bytes) +
                        " bytes; accepted: at least 8, in all at most " + std::to_string(most_header));
    }
    blocks_.push_back(input.read(at, bytes, where));
    Cursor block(checked_block(blocks_.back(), where), where);
    block.expect("OCHK");
    read_messages(block.take(block.left()), ordered, where);
  }
}

void Object::read_messages(Bytes bytes, bool ordered, const std::string& where) {
  const std::size_t prefix = ordered ? 6 : 4;
  Cursor cursor(bytes, where);
  while (cursor.left() >= prefix) {  // less is a gap
    const std::uint8_t kind = cursor.byte();
    const std::uint64_t size = cursor.number(2);
    const bool shared = (cursor.byte() & 0x02) != 0;
    cursor.take(prefix - 4);
    const Found found{static_cast<Message>(kind), shared, cursor.take(size)};
    switch (found.kind) {
      case Message::nil: break;
      case Message::continuation: {
        Cursor body(found.body, where);
        const std::uint64_t at = body.address();
        continued_.emplace_back(at, body.number(address_bytes));
        break;
      }
      case Message::dataspace:
      case Message::link_info:
      case Message::datatype:
      case Message::fill_value:
      case Message::link:
      case Message::external_files:
      case Message::layout:
      case Message::group_info:
      case Message::filters:
      case Message::attribute:
      case Message::attribute_info:
      case Message::references: messages_.push_back(found); break;
      default:
        refuse(where, "an object header with a message of kind " + std::to_string(kind) +
                          ", which no file of this library has");
    }
  }
}

const Object::Found* Object::only(Message kind, const std::string& where) const {
  const auto is_it = [=](const Found& found) { return found.kind == kind; };
  const auto found = std::find_if(messages_.begin(), messages_.end(), is_it);
  if (found == messages_.end()) return nullptr;
  if (std::find_if(found + 1, messages_.end(), is_it) != messages_.end())
    damaged(where, "an object header that says one thing twice");
  return &*found;
}

// ---- groups

std::vector<Link> links_of(const Object& group, const std::string& where) {
  const Object::Found* info = group.only(Object::Message::link_info, where);
  if (!info) refuse(where, "not a group");
  Cursor about(info->body, where);
  about.expect(0, "link information of version");
  const std::uint8_t about_flags = about.byte();
  if ((about_flags & 0x01) != 0) about.take(8);  // the next link's place in their order
  if (about.address() != nowhere) refuse(where, "its links stand in a heap, as of a group of more than 1000");

  std::vector<Link> links;
  for (const Object::Found& found : group.messages()) {
    if (found.kind != Object::Message::link) continue;
    Cursor cursor(found.body, where);
    cursor.expect(1, "a link of version");
    const std::uint8_t flags = cursor.byte();
    const std::uint8_t kind = (flags & 0x08) != 0 ? cursor.byte() : std::uint8_t{0};
    if ((flags & 0x04) != 0) cursor.take(8);  // its place in their order
    if ((flags & 0x10) != 0) cursor.take(1);  // the name's character set
    const Bytes name = cursor.take(cursor.number(std::size_t{1} << (flags & 0x03)));
    Link link{std::string(name.begin(), name.end())};
    switch (kind) {
      case 0: link.address = cursor.address(); break;
      case 1: link.kind = Link::Kind::soft; break;
      case 64: link.kind = Link::Kind::external; break;
      default: link.kind = Link::Kind::own;
    }
    links.push_back(std::move(link));
  }
  return links;
}

// ---- datasets

namespace {

/// The bodies of the types this library writes, their class and version apart.
constexpr std::uint8_t float64[]{0x20, 0x3F, 0x00, 8, 0, 0, 0, 0, 0, 64, 0, 52, 11, 0, 52, 0xFF, 0x03, 0, 0};
constexpr std::uint8_t utf8_null_padded = 0x11;

bool plain_integer(Bytes body) {
  const std::uint8_t bytes = body[4];
  const std::uint8_t rest[]{body[1], 0, 0, bytes, 0, 0, 0, 0, 0, static_cast<std::uint8_t>(8 * bytes), 0};
  return (body[1] == 0 || body[1] == 0x08) && bytes <= 8 && std::ranges::equal(body.subspan(1), rest);
}

Type parsed_type(Bytes body, const std::string& where) {
  if (body.size() < 8) damaged(where, "a record ends early");
  Cursor cursor(body, where);
  const std::uint8_t kind = cursor.byte() & 0x0F;
  const std::uint64_t bits = cursor.number(3);
  Type type;
  type.bytes = static_cast<std::uint32_t>(cursor.number(4));
  switch (kind) {
    case 0:
      type.kind = Type::Class::integer;
      type.sign = (bits & 0x08) != 0;
      type.plain = plain_integer(body);
      break;
    case 1:
      type.kind = Type::Class::floating;
      type.plain = std::ranges::equal(body.subspan(1), float64);
      break;
    case 3:
      type.kind = Type::Class::text;
      type.plain = bits == utf8_null_padded && body.size() == 8;
      break;
    case 9:
      type.kind = Type::Class::variable;
      type.variable_text = (bits & 0x0F) == 1;
      break;
    default: break;
  }
  return type;
}

enum Layout : std::uint8_t { chunked = 2, virtual_dataset = 3 };

const Object::Found& needed(const Object& dataset, Object::Message kind, const std::string& where) {
  const Object::Found* found = dataset.only(kind, where);
  if (!found) refuse(where, "not a dataset");
  if (found->shared)
    refuse(where, kind == Object::Message::datatype ? "a committed type" : "a description that stands elsewhere");
  return *found;
}

/// Whether they are shuffle, deflate and fletcher32.
bool as_ours(const Object& dataset, const std::string& where) {
  const Object::Found* found = dataset.only(Object::Message::filters, where);
  if (!found || found->shared) return false;
  Cursor cursor(found->body, where);
  if (cursor.byte() != 2 || cursor.byte() != 3) return false;  // the version; how many
  for (const unsigned filter : {2u, 1u, 3u}) {
    if (cursor.number(2) != filter) return false;
    cursor.number(2);  // whether it may be left out: no chunk may, here
    cursor.take(4 * cursor.number(2));
  }
  return true;
}

}  // namespace

Type type_of(const Object& dataset, const std::string& where) {
  using enum Object::Message;
  needed(dataset, dataspace, where);
  const Bytes body = needed(dataset, layout, where).body;
  Cursor cursor(body, where);
  const std::uint8_t version = cursor.byte(), kind = cursor.byte();
  if (version == 4 && kind == virtual_dataset) refuse(where, "a virtual dataset");
  if (dataset.only(external_files, where)) refuse(where, "external storage");
  if (version != 4 || kind != chunked) refuse(where, "not stored in chunks");
  return parsed_type(needed(dataset, datatype, where).body, where);
}

Dataset dataset_of(const Object& object, const std::string& where) {
  using enum Object::Message;
  Dataset dataset;
  dataset.type = type_of(object, where);
  constexpr std::uint8_t unfiltered_edges = 0x01, single_filtered = 0x02;
  Cursor stored(needed(object, layout, where).body, where);
  stored.take(2);
  const std::uint8_t flags = stored.byte();
  if (!as_ours(object, where) || (flags & unfiltered_edges) != 0)
    refuse(where, "its filters are not shuffle, deflate and fletcher32");

  Cursor space(needed(object, dataspace, where).body, where);
  space.expect(2, "a dataspace of version");
  const std::uint8_t rank = space.byte(), limited = space.byte(), kind = space.byte();
  if (kind != 1 || rank != 1) refuse(where, "not one-dimensional");
  dataset.rows = space.number(8);
  if ((limited & 0x01) != 0 && space.number(8) != dataset.rows) refuse(where, "a dataset that can grow");

  if (stored.byte() != 2) refuse(where, "chunks that do not fit its rank");  // the type's size counts as one
  const std::size_t bytes = stored.byte();
  if (bytes == 0 || bytes > 8) damaged(where, "a chunk's size of " + std::to_string(bytes) + " bytes");
  dataset.chunk_rows = stored.number(bytes);
  if (dataset.chunk_rows == 0 || stored.number(bytes) != dataset.type.bytes)
    refuse(where, "chunks that do not fit its rank");

  dataset.index = stored.byte();
  if (dataset.index == 1 && (flags & single_filtered) != 0) {
    dataset.single.bytes = stored.number(8);
    dataset.single.skipped_filters = static_cast<std::uint32_t>(stored.number(4));
  } else if (dataset.index == 3) {
    stored.take(1);  // of a page, which the array states too
  } else {
    refuse(where,
           "an index of chunks of kind " + std::to_string(dataset.index) + ", which no file of this library has");
  }
  dataset.single.address = stored.address();
  return dataset;
}

std::vector<Dataset::Chunk> chunks_of(const Input& input, const Dataset& dataset, const std::string& where) {
  if (dataset.rows == 0) return {};
  const std::uint64_t count = (dataset.rows - 1) / dataset.chunk_rows + 1;
  if (dataset.index == 1) {
    if (count != 1) damaged(where, "one chunk for more rows than it has");
    return {dataset.single.address == nowhere ? Dataset::Chunk{} : dataset.single};
  }
  if (dataset.single.address == nowhere) refuse(where, "a chunk is missing");

  constexpr std::size_t header_bytes = 4 + 4 + 8 + 8 + checksum_bytes;
  const std::vector<std::uint8_t> header_block = input.read(dataset.single.address, header_bytes, where);
  Cursor header(checked_block(header_block, where), where);
  header.expect("FAHD");
  header.expect(0, "a fixed array of version");
  header.expect(1, "a fixed array for");
  const std::uint8_t entry_bytes = header.byte(), page_bits = header.byte();
  constexpr std::uint8_t mask_bytes = 4;
  if (entry_bytes <= address_bytes + mask_bytes || entry_bytes > address_bytes + mask_bytes + 8)
    damaged(where, "a fixed array of entries of " + std::to_string(entry_bytes) + " bytes");
  if (header.number(8) != count) damaged(where, "a fixed array of another size than the dataset");
  const std::uint64_t array = header.address();
  if (array == nowhere) refuse(where, "a chunk is missing");

  std::vector<Dataset::Chunk> chunks;
  const auto take_entries = [&](Cursor& cursor, std::uint64_t entries) {
    for (std::uint64_t i = 0; i < entries; ++i) {
      Dataset::Chunk& chunk = chunks.emplace_back();
      chunk.address = cursor.address();
      chunk.bytes = cursor.number(entry_bytes - address_bytes - mask_bytes);
      chunk.skipped_filters = static_cast<std::uint32_t>(cursor.number(mask_bytes));
      if (chunk.address == nowhere) chunk.bytes = 0;
    }
  };
  const auto open_array = [&](Cursor& cursor) {
    cursor.expect("FADB");
    cursor.expect(0, "a fixed array of version");
    cursor.expect(1, "a fixed array for");
    if (cursor.address() != dataset.single.address) damaged(where, "a fixed array that belongs to another");
  };
  constexpr std::uint64_t prefix_bytes = 4 + 2 + address_bytes;
  if (count > input.size() / entry_bytes) damaged(where, "a fixed array larger than the file");
  const std::uint64_t page = page_bits < 32 ? std::uint64_t{1} << page_bits : count;
  if (count <= page) {
    const std::vector<std::uint8_t> block =
        input.read(array, prefix_bytes + count * entry_bytes + checksum_bytes, where);
    Cursor cursor(checked_block(block, where), where);
    open_array(cursor);
    take_entries(cursor, count);
    return chunks;
  }
  // Pages follow the block, which tells with a bit each, from the highest, which of them were ever written.
  const std::uint64_t pages = (count - 1) / page + 1, bits = (pages + 7) / 8;
  const std::vector<std::uint8_t> block = input.read(array, prefix_bytes + bits + checksum_bytes, where);
  Cursor cursor(checked_block(block, where), where);
  open_array(cursor);
  const Bytes written = cursor.take(bits);
  std::uint64_t at = array + block.size();
  for (std::uint64_t i = 0; i < pages; ++i) {
    if ((written[i / 8] & (0x80 >> i % 8)) == 0) refuse(where, "a chunk is missing");
    const std::uint64_t entries = std::min(page, count - i * page);
    const std::vector<std::uint8_t> stored = input.read(at, entries * entry_bytes + checksum_bytes, where);
    Cursor entry(checked_block(stored, where), where);
    take_entries(entry, entries);
    at += stored.size();
  }
  return chunks;
}

}  // namespace shortedge::file
