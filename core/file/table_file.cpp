#include "file/table_file.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <fstream>
#include <type_traits>

#include "base/error.hpp"
#include "file/chunk.hpp"
#include "file/replace.hpp"
#include "file/text.hpp"

namespace shortedge::file {

namespace fs = std::filesystem;

static_assert(std::endian::native == std::endian::little, "columns are stored, and read, with the low byte first");

namespace {

constexpr std::uint64_t most_packing = 1100;               // declared bytes a byte of the file
constexpr std::size_t largest_chunk = std::size_t{1} << 20;  // bytes, before deflation
constexpr unsigned deflate_level = 4;

const std::array<H5Z_filter_t, 3> filters{H5Z_FILTER_SHUFFLE, H5Z_FILTER_DEFLATE, H5Z_FILTER_FLETCHER32};

/// The type in the file; text has none of its own, as it has a length.
template <class T>
hid_t stored_type() {
  if constexpr (std::is_same_v<T, double>) return H5T_IEEE_F64LE;
  if constexpr (std::is_same_v<T, std::int64_t>) return H5T_STD_I64LE;
  if constexpr (std::is_same_v<T, std::int32_t>) return H5T_STD_I32LE;
  if constexpr (std::is_same_v<T, std::int8_t>) return H5T_STD_I8LE;
  if constexpr (std::is_same_v<T, std::uint8_t>) return H5T_STD_U8LE;
  return H5I_INVALID_HID;
}

Handle text_type(std::size_t bytes, const std::string& where) {
  Handle type(H5Tcopy(H5T_C_S1), H5Tclose, where);
  checked(H5Tset_size(type, std::max<std::size_t>(bytes, 1)), where);
  checked(H5Tset_strpad(type, H5T_STR_NULLPAD), where);
  checked(H5Tset_cset(type, H5T_CSET_UTF8), where);
  return type;
}

void check_text(std::string_view text, const std::string& where) {
  if (const std::string fault = text_fault(text); !fault.empty()) throw InputError(where + ": " + fault);
}

void write_note(hid_t object, std::string_view name, std::string_view text, const std::string& where) {
  check_text(text, where + ", " + std::string(name));
  const Handle type = text_type(text.size(), where), space(H5Screate(H5S_SCALAR), H5Sclose, where);
  std::string padded(text);
  padded.resize(std::max<std::size_t>(text.size(), 1));
  Handle attribute(H5Acreate2(object, std::string(name).c_str(), type, space, H5P_DEFAULT, H5P_DEFAULT), H5Aclose, where);
  checked(H5Awrite(attribute, type, padded.data()), where);
  attribute.close(where);
}

/// Groups remember the order in which columns were written, for whoever lists them, and keep their links in their own
/// checksummed header.
template <class Property>
Handle group_property(Property kind, const std::string& where) {
  Handle property(H5Pcreate(kind), H5Pclose, where);
  checked(H5Pset_obj_track_times(property, false), where);
  checked(H5Pset_link_creation_order(property, H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED), where);
  checked(H5Pset_link_phase_change(property, most_columns, 0), where);
  return property;
}

/// Why this is no text as we store it, or what it is instead; empty when it is.
std::string text_type_fault(hid_t type) {
  if (H5Tget_class(type) != H5T_STRING) return "not text";
  if (H5Tis_variable_str(type) != 0) return "text of variable length";
  if (H5Tget_cset(type) != H5T_CSET_UTF8 || H5Tget_strpad(type) != H5T_STR_NULLPAD) return "text, but not null-padded UTF-8";
  if (H5Tget_size(type) == 0 || H5Tget_size(type) > longest_text) return "text of " + std::to_string(H5Tget_size(type)) + " bytes; accepted: at most " + std::to_string(longest_text);
  return {};
}

std::string described(hid_t type) {
  const std::string bytes = std::to_string(H5Tget_size(type)) + " bytes";
  switch (H5Tget_class(type)) {
    case H5T_INTEGER: return (H5Tget_sign(type) == H5T_SGN_NONE ? "unsigned integers of " : "integers of ") + bytes;
    case H5T_FLOAT: return "floating-point numbers of " + bytes;
    case H5T_STRING: return H5Tis_variable_str(type) != 0 ? "text of variable length" : "text of " + bytes;
    case H5T_VLEN: return "values of variable length";
    default: return "values of another class";
  }
}

/// A stored text without its padding.
std::string taken_text(const char* stored, std::size_t bytes, const std::string& where) {
  std::string_view text(stored, bytes);
  text = text.substr(0, text.find_last_not_of('\0') + 1);
  if (const std::string fault = text_fault(text); !fault.empty()) throw FileError(where + ": " + fault);
  return std::string(text);
}

/// Opens a group's member, if a hard link leads to it. Asked first: opening would follow any other kind.
Handle open_member(hid_t group, const std::string& name, H5I_type_t kind, const std::string& where) {
  if (checked(H5Lexists(group, name.c_str(), H5P_DEFAULT), where) == 0) throw FileError(where + " is missing");
  H5L_info_t link;
  checked(H5Lget_info(group, name.c_str(), &link, H5P_DEFAULT), where);
  if (link.type != H5L_TYPE_HARD) {
    throw FileError(where + ": " +
                    (link.type == H5L_TYPE_SOFT       ? "a soft link"
                     : link.type == H5L_TYPE_EXTERNAL ? "an external link"
                                                      : "a link of a user's own class") +
                    "; only hard links are followed");
  }
  Handle member(H5Oopen(group, name.c_str(), H5P_DEFAULT), H5Oclose, where);
  if (H5Iget_type(member) != kind) throw FileError(where + (kind == H5I_GROUP ? ": not a group" : ": not a dataset"));
  return member;
}

/// FileError when a group has more members than were asked for.
void check_members(hid_t group, std::size_t asked, const std::string& where, const char* what) {
  H5G_info_t info;
  checked(H5Gget_info(group, &info), where);
  if (info.nlinks != asked) {
    throw FileError(where + ": " + std::to_string(info.nlinks) + " " + what + "; this library reads " + std::to_string(asked));
  }
}

}  // namespace

Notes notes(std::string_view kind, std::string_view unit, std::string_view missing, std::string_view says,
            std::span<const std::string_view> words) {
  Notes notes{{"kind", std::string(kind)}, {"unit", std::string(unit)}, {"missing", std::string(missing)}, {"says", std::string(says)}};
  std::string list;
  for (const std::string_view word : words) list.append(list.empty() ? "" : ",").append(word);
  if (!list.empty()) notes.emplace_back("words", list);
  return notes;
}

// ---- writing

TableWriter::TableWriter(const fs::path& path, Schema schema, const Notes& texts)
    : path_(path), where_(printable(path.string())), image_(where_, group_property(H5P_FILE_CREATE, where_)) {
  Notes all{{"schema", std::string(schema.name)}, {"schema_version", std::to_string(schema.version)}, {"about", std::string(about)}};
  all.insert(all.end(), texts.begin(), texts.end());
  std::vector<std::string> names, values;
  for (const auto& [name, text] : all) {
    names.emplace_back(name);
    values.push_back(text);
  }
  table("file");
  column<std::string>("name", notes("text", "", "never", "of a text about the whole file"), names);
  column<std::string>("text", notes("text", "", "empty", "that text"), values);
}

void TableWriter::table(const std::string& name) {
  table_.close(where_);
  table_ = Handle(H5Gcreate2(image_.file(), name.c_str(), H5P_DEFAULT, group_property(H5P_GROUP_CREATE, where_), H5P_DEFAULT), H5Gclose, where_);
  table_name_ = name;
  columns_ = 0;
}

template <class T>
void TableWriter::column(const std::string& name, const Notes& notes, std::span<const T> values) {
  if constexpr (std::is_same_v<T, std::string>) {
    std::size_t bytes = 1;
    for (const std::string& text : values) {
      check_text(text, where_ + ": table " + table_name_ + ", column " + name);
      bytes = std::max(bytes, text.size());
    }
    std::string packed(bytes * values.size(), '\0');
    for (std::size_t row = 0; row < values.size(); ++row) values[row].copy(packed.data() + row * bytes, bytes);
    memory_ += values.size() * sizeof(std::string);
    write(name, notes, text_type(bytes, where_), values.size(), packed.data());
  } else {
    write(name, notes, stored_type<T>(), values.size(), values.data());
  }
}

void TableWriter::write(const std::string& name, const Notes& notes, hid_t type, std::size_t rows, const void* values) {
  const std::string where = where_ + ": table " + table_name_ + ", column " + name;
  const std::size_t item = H5Tget_size(type);
  memory_ += rows * item;
  if (memory_ > most_memory) throw InputError(where + ": the file's columns take more than " + std::to_string(most_memory) + " bytes");
  if (columns_ == most_columns) throw InputError(where + ": a table holds at most " + std::to_string(most_columns) + " columns");
  if (columns_++ == 0) rows_ = rows;
  if (rows != rows_) throw InputError(where + ": " + std::to_string(rows) + " rows, where the table has " + std::to_string(rows_));

  const hsize_t length = rows, chunk = std::clamp<std::size_t>(chunk_bytes / item, 1, std::max<std::size_t>(rows, 1));
  const Handle creation(H5Pcreate(H5P_DATASET_CREATE), H5Pclose, where), space(H5Screate_simple(1, &length, nullptr), H5Sclose, where);
  checked(H5Pset_obj_track_times(creation, false), where);
  checked(H5Pset_chunk(creation, 1, &chunk), where);
  checked(H5Pset_shuffle(creation), where);
  checked(H5Pset_deflate(creation, deflate_level), where);
  checked(H5Pset_fletcher32(creation), where);
  Handle dataset(H5Dcreate2(table_, name.c_str(), type, space, H5P_DEFAULT, creation, H5P_DEFAULT), H5Dclose, where);
  for (const auto& [note, text] : notes) write_note(dataset, note, text, where);
  if (rows > 0) checked(H5Dwrite(dataset, type, H5S_ALL, H5S_ALL, H5P_DEFAULT, values), where);
  dataset.close(where);
}

void TableWriter::commit() {
  table_.close(where_);
  replace_file(path_, image_.close(where_));
}

// ---- reading

StoredTable::StoredTable(hid_t file, const std::string& path, const std::string& name, Declared& declared)
    : where_(path + ": table " + name), group_(open_member(file, name, H5I_GROUP, where_)), declared_(&declared) {}

std::string StoredTable::where(const std::string& column) const { return where_ + ", column " + column; }

void StoredTable::refuse(const std::string& column, const std::string& why) const { throw FileError(where(column) + ": " + why); }

bool StoredTable::has(const std::string& column) const {
  return checked(H5Lexists(group_, column.c_str(), H5P_DEFAULT), where(column)) > 0;
}

StoredTable::Opened StoredTable::inspect(const std::string& column, hid_t type) {
  const std::string here = where(column);
  Opened opened{open_member(group_, column, H5I_DATASET, here)};

  // The layout first: asking a virtual dataset for its extent opens other files.
  const Handle creation(H5Dget_create_plist(opened.dataset), H5Pclose, here);
  if (const H5D_layout_t layout = H5Pget_layout(creation); layout != H5D_CHUNKED) {
    refuse(column, layout == H5D_VIRTUAL                           ? "a virtual dataset"
                   : H5Pget_external_count(creation) != 0 ? "external storage"
                                                          : "not stored in chunks");
  }

  const Handle found(H5Dget_type(opened.dataset), H5Tclose, here);
  if (H5Tcommitted(found) != 0) refuse(column, "a committed type");
  if (type < 0) {
    if (const std::string fault = text_type_fault(found); !fault.empty()) refuse(column, fault);
  } else if (H5Tequal(found, type) <= 0) {
    refuse(column, described(found) + "; this library reads " + described(type));
  }
  opened.item = H5Tget_size(found);

  bool as_ours = H5Pget_nfilters(creation) == static_cast<int>(filters.size());
  for (unsigned i = 0; as_ours && i < filters.size(); ++i) {
    unsigned flags = 0;
    std::size_t values = 0;
    as_ours = H5Pget_filter2(creation, i, &flags, &values, nullptr, 0, nullptr, nullptr) == filters[i];
  }
  unsigned options = 0;
  checked(H5Pget_chunk_opts(creation, &options), here);
  if (!as_ours || options != 0) refuse(column, "its filters are not shuffle, deflate and fletcher32");

  const Handle space(H5Dget_space(opened.dataset), H5Sclose, here);
  hsize_t rows = 0, most_rows = 0, chunk = 0;
  if (H5Sget_simple_extent_type(space) != H5S_SIMPLE || H5Sget_simple_extent_ndims(space) != 1) refuse(column, "not one-dimensional");
  checked(H5Sget_simple_extent_dims(space, &rows, &most_rows), here);
  if (rows != most_rows) refuse(column, "a dataset that can grow");
  if (checked(H5Pget_chunk(creation, 1, &chunk), here) != 1 || chunk == 0) refuse(column, "chunks that do not fit its rank");
  if (chunk > largest_chunk / opened.item) refuse(column, "chunks of " + std::to_string(chunk) + " rows; a chunk holds at most " + std::to_string(largest_chunk) + " bytes");

  const std::uint64_t in_memory = opened.item + (type < 0 ? sizeof(std::string) : 0);
  if (rows > most_memory / in_memory || (declared_->memory += rows * in_memory) > most_memory) {
    refuse(column, std::to_string(rows) + " rows declared; a file's columns take at most " + std::to_string(most_memory) + " bytes");
  }
  if ((declared_->column_bytes += rows * opened.item) > most_packing * declared_->file_bytes) {
    refuse(column, std::to_string(rows) + " rows declared; a file of " + std::to_string(declared_->file_bytes) + " bytes cannot hold them");
  }
  if (taken_++ > 0 && rows != rows_) refuse(column, std::to_string(rows) + " rows, where the table has " + std::to_string(rows_));
  rows_ = opened.rows = rows;
  opened.chunk_rows = chunk;
  return opened;
}

void StoredTable::read(const Opened& opened, std::span<std::uint8_t> values, const std::string& column) const {
  const std::string here = where(column);
  std::vector<std::uint8_t> stored, chunk(opened.chunk_rows * opened.item);
  for (hsize_t row = 0; row < opened.rows; row += opened.chunk_rows) {
    hsize_t bytes = 0;
    checked(H5Dget_chunk_storage_size(opened.dataset, &row, &bytes), here);
    if (bytes > chunk.size() + chunk.size() / 100 + 100) refuse(column, "a chunk of " + std::to_string(bytes) + " bytes, larger than what it holds");
    stored.resize(bytes);
    std::uint32_t skipped_filters = 0;
    if (bytes > 0) checked(H5Dread_chunk(opened.dataset, H5P_DEFAULT, &row, &skipped_filters, stored.data()), here);
    if (skipped_filters != 0) refuse(column, "a chunk that skips a filter");
    decode_chunk(stored, opened.item, chunk, here);
    const std::span<std::uint8_t> rest = values.subspan(row * opened.item);
    std::copy_n(chunk.begin(), std::min(chunk.size(), rest.size()), rest.begin());
  }
}

template <class T>
std::vector<T> StoredTable::take(const std::string& column) {
  const Opened opened = inspect(column, stored_type<T>());
  std::vector<T> values(opened.rows);
  if constexpr (std::is_same_v<T, std::string>) {
    std::vector<std::uint8_t> packed(opened.rows * opened.item);
    read(opened, packed, column);
    for (std::size_t row = 0; row < opened.rows; ++row) {
      values[row] = taken_text(reinterpret_cast<const char*>(packed.data()) + row * opened.item, opened.item, where(column));
    }
  } else {
    read(opened, {reinterpret_cast<std::uint8_t*>(values.data()), opened.rows * opened.item}, column);
  }
  return values;
}

template <class T>
std::vector<T> StoredTable::take_codes(const std::string& column, int least, std::size_t end) {
  std::vector<T> codes = take<T>(column);
  for (std::size_t row = 0; row < codes.size(); ++row) {
    if (codes[row] < least || (codes[row] >= 0 && static_cast<std::size_t>(codes[row]) >= end)) {
      refuse(column, "row " + std::to_string(row) + ": code " + std::to_string(codes[row]) + "; accepted: at least " +
                         std::to_string(least) + ", below " + std::to_string(end));
    }
  }
  return codes;
}

std::vector<double> StoredTable::take_times(const std::string& column) {
  std::vector<double> times = take<double>(column);
  const auto odd = std::find_if_not(times.begin(), times.end(), [](double time) { return std::isfinite(time); });
  if (odd != times.end()) refuse(column, "row " + std::to_string(odd - times.begin()) + ": " + shown(*odd) + "; every row needs a time");
  return times;
}

void StoredTable::finish() const { check_members(group_, taken_, where_, "columns"); }

TableReader::TableReader(const fs::path& path) : path_(printable(path.string())) {
  std::error_code error;
  if (!fs::is_regular_file(path, error)) refuse(error ? error.message() : "no such file");
  constexpr std::string_view signature("\x89HDF\r\n\x1a\n\x03", 9);  // and its superblock's version, of the 1.10 format
  std::string start(signature.size(), '\0');
  std::ifstream(path, std::ios::binary).read(start.data(), static_cast<std::streamsize>(start.size()));
  if (start.compare(0, 8, signature, 0, 8) != 0) refuse("not an HDF5 file");
  if (start != signature) refuse("not an HDF5 file of the 1.10 format");
  declared_.file_bytes = fs::file_size(path, error);

  const Handle access(H5Pcreate(H5P_FILE_ACCESS), H5Pclose, path_);
  checked(H5Pset_file_locking(access, false, true), path_);  // nobody writes into a file that has its name
  checked(H5Pset_metadata_read_attempts(access, 1), path_);  // else a wrong checksum is waited for, doubly longer each time
  // As of a file being written, since HDF5 then keeps no cache before its metadata: 1.10 copies from a forged address there.
  file_ = Handle(H5Fopen(path.c_str(), H5F_ACC_RDONLY | H5F_ACC_SWMR_READ, access), H5Fclose, path_);
  StoredTable about_file = table("file");
  names_ = about_file.take<std::string>("name");
  texts_ = about_file.take<std::string>("text");
  about_file.finish();
}

TableReader::TableReader(const fs::path& path, Schema schema) : TableReader(path) {
  if (const std::string name = text("schema"); name != schema.name) {
    refuse("its schema is \"" + printable(name) + "\"; wanted: \"" + std::string(schema.name) + "\"");
  }
  const std::string version = text("schema_version");
  for (version_ = schema.oldest; version != std::to_string(version_); ++version_) {
    if (version_ < schema.version) continue;
    const std::string oldest = schema.oldest < schema.version ? std::to_string(schema.oldest) + " to " : "";
    refuse("schema version " + printable(version) + "; this library reads " + oldest + std::to_string(schema.version));
  }
}

std::string TableReader::text(std::string_view name) const {
  const auto at = std::find(names_.begin(), names_.end(), name);
  if (at == names_.end()) refuse("table file, column name: " + std::string(name) + " is missing");
  return texts_[static_cast<std::size_t>(at - names_.begin())];
}

StoredTable TableReader::table(const std::string& name) {
  ++tables_;
  return StoredTable(file_, path_, name, declared_);
}

void TableReader::finish() const { check_members(file_, tables_, path_, "tables"); }

void TableReader::refuse(const std::string& why) const { throw FileError(path_ + ": " + why); }

void write_names(TableWriter& writer, const std::string& table, std::span<const std::string> names) {
  writer.table(table);
  writer.column("name", notes("text", "", "never", "by order of code"), names);
}

std::vector<std::string> read_names(TableReader& reader, const std::string& name) {
  StoredTable table = reader.table(name);
  std::vector<std::string> names = table.take<std::string>("name");
  table.finish();
  return names;
}

#define SHORTEDGE_COLUMN_TYPE(T)                                                                   \
  template void TableWriter::column<T>(const std::string&, const Notes&, std::span<const T>); \
  template std::vector<T> StoredTable::take<T>(const std::string&);
SHORTEDGE_COLUMN_TYPE(double)
SHORTEDGE_COLUMN_TYPE(std::int64_t)
SHORTEDGE_COLUMN_TYPE(std::int32_t)
SHORTEDGE_COLUMN_TYPE(std::int8_t)
SHORTEDGE_COLUMN_TYPE(std::uint8_t)
SHORTEDGE_COLUMN_TYPE(std::string)
#undef SHORTEDGE_COLUMN_TYPE
template std::vector<std::int32_t> StoredTable::take_codes(const std::string&, int, std::size_t);
template std::vector<std::int8_t> StoredTable::take_codes(const std::string&, int, std::size_t);
template std::vector<std::uint8_t> StoredTable::take_codes(const std::string&, int, std::size_t);

}  // namespace shortedge::file
