#include "file/table_file.hpp"

#include <algorithm>
#include <bit>
#include <charconv>
#include <cmath>
#include <type_traits>

#include "base/error.hpp"
#include "base/parallel.hpp"
#include "file/checksum.hpp"
#include "file/chunk.hpp"
#include "file/replace.hpp"
#include "file/text.hpp"

namespace shortedge::file {

namespace fs = std::filesystem;

static_assert(std::endian::native == std::endian::little, "columns are stored, and read, with the low byte first");

namespace {

constexpr std::uint64_t most_packing = 1100;                 // declared bytes a byte of the file
constexpr std::size_t largest_chunk = std::size_t{1} << 20;  // bytes, before deflation
constexpr std::string_view content = "content";              // the text that says what the columns add up to
constexpr int deflate_level = 1;  // of a season's results 4 saves 0.1 % in 1.4 times the time

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
  Handle attribute(H5Acreate2(object, std::string(name).c_str(), type, space, H5P_DEFAULT, H5P_DEFAULT), H5Aclose,
                   where);
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

/// Whether the file that stands there is a recorded game.
bool holds_game(const fs::path& path) {
  try {
    return fs::exists(path) && TableReader(path).text("schema") == game_schema.name;
  } catch (const std::exception&) {
    return false;  // no file of ours, or none that can be read
  }
}

std::string described(const Type& type) {
  const std::string bytes = std::to_string(type.bytes) + " bytes";
  switch (type.kind) {
    case Type::Class::integer: return (type.sign ? "integers of " : "unsigned integers of ") + bytes;
    case Type::Class::floating: return "floating-point numbers of " + bytes;
    case Type::Class::text: return "text of " + bytes;
    case Type::Class::variable: return type.variable_text ? "text of variable length" : "values of variable length";
    default: return "values of another class";
  }
}

/// Why this is no text as we store it, or what it is instead; empty when it is.
std::string text_type_fault(const Type& type) {
  if (type.variable_text) return described(type);
  if (type.kind != Type::Class::text) return "not text";
  if (!type.plain) return "text, but not null-padded UTF-8";
  if (type.bytes == 0 || type.bytes > longest_text)
    return described(type) + "; accepted: at most " + std::to_string(longest_text);
  return {};
}

/// The type of a column of numbers.
template <class T>
Type number_type() {
  Type type;
  type.kind = std::is_floating_point_v<T> ? Type::Class::floating : Type::Class::integer;
  type.sign = std::is_integral_v<T> && std::is_signed_v<T>;
  type.bytes = sizeof(T);
  return type;
}

/// A stored text without its padding.
std::string taken_text(const char* stored, std::size_t bytes, const std::string& where) {
  std::string_view text(stored, bytes);
  text = text.substr(0, text.find_last_not_of('\0') + 1);
  if (const std::string fault = text_fault(text); !fault.empty()) throw FileError(where + ": " + fault);
  return std::string(text);
}

/// A group's member, if a hard link leads to it: no other is followed.
Object member(const Input& input, const std::vector<Link>& links, const std::string& name, const std::string& where) {
  const auto link = std::find_if(links.begin(), links.end(), [&](const Link& one) { return one.name == name; });
  if (link == links.end()) throw FileError(where + " is missing");
  if (link->kind != Link::Kind::hard) {
    throw FileError(where + ": " +
                    (link->kind == Link::Kind::soft       ? "a soft link"
                     : link->kind == Link::Kind::external ? "an external link"
                                                          : "a link of a user's own class") +
                    "; only hard links are followed");
  }
  return Object(input, link->address, where);
}

/// FileError when a group has more members than were asked for.
void check_members(const std::vector<Link>& links, std::size_t asked, const std::string& where, const char* what) {
  if (links.size() != asked) {
    throw FileError(where + ": " + std::to_string(links.size()) + " " + what + "; this library reads " +
                    std::to_string(asked));
  }
}

}  // namespace

Notes notes(std::string_view kind, std::string_view unit, std::string_view missing, std::string_view says,
            std::span<const std::string_view> words) {
  Notes notes{{"kind", std::string(kind)},
              {"unit", std::string(unit)},
              {"missing", std::string(missing)},
              {"says", std::string(says)}};
  std::string list;
  for (const std::string_view word : words) list.append(list.empty() ? "" : ",").append(word);
  if (!list.empty()) notes.emplace_back("words", list);
  return notes;
}

// ---- writing

TableWriter::TableWriter(const fs::path& path, Schema schema, const Notes& texts)
    : path_(path), where_(printable(path.string())), image_(where_, group_property(H5P_FILE_CREATE, where_)) {
  if (schema.name != game_schema.name && holds_game(path)) {
    throw FileError(where_ + ": holds a recorded game; it is left as it is: name another file");
  }
  Notes all{{"schema", std::string(schema.name)},
            {"schema_version", std::to_string(schema.version)},
            {"about", std::string(about)}};
  all.insert(all.end(), texts.begin(), texts.end());
  for (const auto& [name, text] : all) {
    names_.emplace_back(name);
    texts_.push_back(text);
  }
}

void TableWriter::write_texts() {
  content_ += column_sum("file", "name", names_) + column_sum("file", "text", texts_);
  names_.emplace_back(content);
  texts_.push_back(std::to_string(content_));
  table("file");
  column<std::string>("name", notes("text", "", "never", "of a text about the whole file"), names_);
  column<std::string>("text", notes("text", "", "empty", "that text"), texts_);
}

void TableWriter::table(const std::string& name) {
  table_.close(where_);
  table_ = Handle(
      H5Gcreate2(image_.file(), name.c_str(), H5P_DEFAULT, group_property(H5P_GROUP_CREATE, where_), H5P_DEFAULT),
      H5Gclose, where_);
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
    content_ += column_sum(table_name_, name, values);
    write(name, notes, text_type(bytes, where_), values.size(), packed.data());
  } else {
    content_ += column_sum(table_name_, name,
                           std::span(reinterpret_cast<const std::uint8_t*>(values.data()), values.size_bytes()));
    write(name, notes, stored_type<T>(), values.size(), values.data());
  }
}

void TableWriter::write(const std::string& name, const Notes& notes, hid_t type, std::size_t rows, const void* values) {
  const std::string where = where_ + ": table " + table_name_ + ", column " + name;
  const std::size_t item = H5Tget_size(type);
  memory_ += rows * item;
  if (memory_ > most_memory)
    throw InputError(where + ": the file's columns take more than " + std::to_string(most_memory) + " bytes");
  if (columns_ == most_columns)
    throw InputError(where + ": a table holds at most " + std::to_string(most_columns) + " columns");
  if (columns_++ == 0) rows_ = rows;
  if (rows != rows_)
    throw InputError(where + ": " + std::to_string(rows) + " rows, where the table has " + std::to_string(rows_));

  const hsize_t length = rows, chunk = std::clamp<std::size_t>(chunk_bytes / item, 1, std::max<std::size_t>(rows, 1));
  const Handle creation(H5Pcreate(H5P_DATASET_CREATE), H5Pclose, where),
      space(H5Screate_simple(1, &length, nullptr), H5Sclose, where);
  checked(H5Pset_obj_track_times(creation, false), where);
  checked(H5Pset_chunk(creation, 1, &chunk), where);
  checked(H5Pset_shuffle(creation), where);
  checked(H5Pset_deflate(creation, unsigned{deflate_level}), where);
  checked(H5Pset_fletcher32(creation), where);
  Handle dataset(H5Dcreate2(table_, name.c_str(), type, space, H5P_DEFAULT, creation, H5P_DEFAULT), H5Dclose, where);
  for (const auto& [note, text] : notes) write_note(dataset, note, text, where);
  const std::span bytes(static_cast<const std::uint8_t*>(values), rows * item);
  std::vector<std::vector<std::uint8_t>> chunks((rows + chunk - 1) / chunk);
  in_parts(chunks.size(), 0, chunks.size(), {}, [&](std::size_t, std::size_t part, const auto&) {
    const std::size_t first = part * chunk * item;
    chunks[part] = encode_chunk(bytes.subspan(first, std::min<std::size_t>(chunk * item, bytes.size() - first)), item,
                                chunk * item, deflate_level);
  });
  for (hsize_t part = 0, row = 0; part < chunks.size(); ++part, row += chunk) {
    checked(H5Dwrite_chunk(dataset, H5P_DEFAULT, 0, &row, chunks[part].size(), chunks[part].data()), where);
  }
  dataset.close(where);
}

void TableWriter::commit() {
  write_texts();
  table_.close(where_);
  replace_file(path_, image_.close(where_));
}

// ---- reading

StoredTable::StoredTable(const Input& input, const std::vector<Link>& tables, const std::string& path,
                         const std::string& name, Declared& declared)
    : table_(name),
      where_(path + ": table " + name),
      input_(&input),
      links_(links_of(member(input, tables, name, where_), where_)),
      declared_(&declared) {}

std::string StoredTable::where(const std::string& column) const { return where_ + ", column " + column; }

void StoredTable::refuse(const std::string& column, const std::string& why) const {
  throw FileError(where(column) + ": " + why);
}

bool StoredTable::has(const std::string& column) const {
  return std::any_of(links_.begin(), links_.end(), [&](const Link& link) { return link.name == column; });
}

void StoredTable::only(std::size_t begin, std::size_t end) {
  begin_ = begin;
  end_ = end;
}

StoredTable::Rows StoredTable::wanted_of(const Dataset& dataset) const {
  const std::size_t first = std::min<std::size_t>(begin_, dataset.rows);
  return {first, std::max(first, std::min<std::size_t>(end_, dataset.rows))};
}

Dataset StoredTable::inspect(const std::string& column, const Type* wanted) {
  const std::string here = where(column);
  const Object object = member(*input_, links_, column, here);
  const Type found = type_of(object, here);
  if (!wanted) {
    if (const std::string fault = text_type_fault(found); !fault.empty()) refuse(column, fault);
  } else if (!found.plain || found.kind != wanted->kind || found.sign != wanted->sign || found.bytes != wanted->bytes) {
    refuse(column, described(found) + "; this library reads " + described(*wanted));
  }
  Dataset dataset = dataset_of(object, here);
  const std::uint64_t rows = dataset.rows, item = found.bytes;
  if (dataset.chunk_rows > largest_chunk / item) {
    refuse(column, "chunks of " + std::to_string(dataset.chunk_rows) + " rows; a chunk holds at most " +
                       std::to_string(largest_chunk) + " bytes");
  }
  const std::uint64_t in_memory = item + (wanted ? 0 : sizeof(std::string));
  if (rows > most_memory / in_memory || (declared_->memory += rows * in_memory) > most_memory) {
    refuse(column, std::to_string(rows) + " rows declared; a file's columns take at most " +
                       std::to_string(most_memory) + " bytes");
  }
  if ((declared_->column_bytes += rows * item) > most_packing * input_->size()) {
    refuse(column, std::to_string(rows) + " rows declared; a file of " + std::to_string(input_->size()) +
                       " bytes cannot hold them");
  }
  if (taken_++ > 0 && rows != rows_)
    refuse(column, std::to_string(rows) + " rows, where the table has " + std::to_string(rows_));
  rows_ = rows;
  return dataset;
}

void StoredTable::read(const Dataset& dataset, std::span<std::uint8_t> values, const std::string& column) const {
  const std::string here = where(column);
  const std::size_t item = dataset.type.bytes, size = dataset.chunk_rows;
  const auto [first, end] = wanted_of(dataset);
  std::vector<std::uint8_t> chunk(size * item);
  const std::vector<Dataset::Chunk> chunks = chunks_of(*input_, dataset, here);
  for (std::size_t row = first / size * size; row < end; row += size) {
    const Dataset::Chunk& stored = chunks[row / size];
    if (stored.bytes == 0) refuse(column, "a chunk is missing");
    if (stored.bytes > chunk.size() + chunk.size() / 100 + 100)
      refuse(column, "a chunk of " + std::to_string(stored.bytes) + " bytes, larger than what it holds");
    if (stored.skipped_filters != 0) refuse(column, "a chunk that skips a filter");
    decode_chunk(input_->read(stored.address, stored.bytes, here), item, chunk, here);
    const std::size_t from = std::max(row, first), to = std::min(row + size, end);
    std::copy_n(chunk.begin() + static_cast<std::ptrdiff_t>((from - row) * item), (to - from) * item,
                values.begin() + static_cast<std::ptrdiff_t>((from - first) * item));
  }
}

template <class T>
std::vector<T> StoredTable::take(const std::string& column) {
  if constexpr (std::is_same_v<T, std::string>) {
    const Dataset dataset = inspect(column, nullptr);
    const std::size_t item = dataset.type.bytes;
    std::vector<std::string> values(wanted_of(dataset).count());
    std::vector<std::uint8_t> packed(values.size() * item);
    read(dataset, packed, column);
    for (std::size_t row = 0; row < values.size(); ++row) {
      values[row] = taken_text(reinterpret_cast<const char*>(packed.data()) + row * item, item, where(column));
    }
    declared_->content += column_sum(table_, column, values);
    return values;
  } else {
    const Type wanted = number_type<T>();
    const Dataset dataset = inspect(column, &wanted);
    std::vector<T> values(wanted_of(dataset).count());
    const std::span bytes(reinterpret_cast<std::uint8_t*>(values.data()), values.size() * sizeof(T));
    read(dataset, bytes, column);
    declared_->content += column_sum(table_, column, bytes);
    return values;
  }
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
  if (odd != times.end())
    refuse(column, "row " + std::to_string(odd - times.begin()) + ": " + shown(*odd) + "; every row needs a time");
  return times;
}

void StoredTable::finish() const { check_members(links_, taken_, where_, "columns"); }

TableReader::TableReader(const fs::path& path)
    : path_(printable(path.string())),
      input_(path, path_),
      links_(links_of(Object(input_, root_address(input_, path_), path_), path_)) {
  StoredTable about_file = table("file");
  names_ = about_file.take<std::string>("name");
  texts_ = about_file.take<std::string>("text");
  about_file.finish();
}

TableReader::TableReader(const fs::path& path, Schema schema) : TableReader(path) {
  if (const std::string name = text("schema"); name != schema.name) {
    refuse("its schema is \"" + printable(name) + "\"; wanted: \"" + std::string(schema.name) + "\"");
  }
  known_version_ = schema.version;
  const std::string version = text("schema_version");
  const auto [end, error] = std::from_chars(version.data(), version.data() + version.size(), version_);
  const bool number =
      error == std::errc() && end == version.data() + version.size() && version == std::to_string(version_);
  const int newest = schema.grows ? most_versions : schema.version;
  if (!number || version_ < schema.oldest || version_ > newest) {
    const std::string oldest = std::to_string(schema.oldest);
    const std::string to = schema.grows ? " and later" : newest > schema.oldest ? " to " + std::to_string(newest) : "";
    refuse("schema version " + printable(version) + "; this library reads " + oldest + to);
  }
}

std::string TableReader::text(std::string_view name) const {
  const auto at = std::find(names_.begin(), names_.end(), name);
  if (at == names_.end()) refuse("table file, column name: " + std::string(name) + " is missing");
  return texts_[static_cast<std::size_t>(at - names_.begin())];
}

StoredTable TableReader::table(const std::string& name) {
  ++tables_;
  return StoredTable(input_, links_, path_, name, declared_);
}

bool TableReader::has(const std::string& table) const {
  return std::any_of(links_.begin(), links_.end(), [&](const Link& link) { return link.name == table; });
}

bool TableReader::tells_content() const { return std::find(names_.begin(), names_.end(), content) != names_.end(); }

void TableReader::check_content() const {
  if (!tells_content()) return;
  std::vector<std::string> names = names_, texts = texts_;
  const auto at = std::find(names.begin(), names.end(), content) - names.begin();
  const std::string told = texts[static_cast<std::size_t>(at)];
  // As they were taken, and as they were before the sum was put among them.
  std::uint64_t sum = declared_.content - column_sum("file", "name", names) - column_sum("file", "text", texts);
  names.erase(names.begin() + at);
  texts.erase(texts.begin() + at);
  sum += column_sum("file", "name", names) + column_sum("file", "text", texts);
  if (told != std::to_string(sum))
    refuse("was changed after it was written: its columns are not those it was written with");
}

void TableReader::finish(std::vector<std::string>& said) const {
  if (!is_newer()) {
    check_members(links_, tables_, path_, "tables");
    return check_content();
  }
  const std::size_t more = links_.size() - tables_;
  if (more > 0)
    said.push_back("a newer file; " + std::to_string(more) + " tables that this library does not know are left out");
}

void TableReader::finish(const StoredTable& table, std::vector<std::string>& said) const {
  if (!is_newer()) return table.finish();
  if (table.untaken() == 0) return;
  said.push_back(table.name() + ": a newer file; " + std::to_string(table.untaken()) +
                 " columns that this library does not know are left out");
}

void TableReader::refuse(const std::string& why) const { throw FileError(path_ + ": " + why); }

void write_names(TableWriter& writer, const std::string& table, std::span<const std::string> names) {
  writer.table(table);
  writer.column("name", notes("text", "", "never", "by order of code"), names);
}

std::vector<std::string> read_names(TableReader& reader, const std::string& name, std::vector<std::string>& said) {
  StoredTable table = reader.table(name);
  std::vector<std::string> names = table.take<std::string>("name");
  reader.finish(table, said);
  return names;
}

#define SHORTEDGE_COLUMN_TYPE(T)                                                              \
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
