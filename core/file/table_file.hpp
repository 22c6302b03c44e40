#pragma once
/// A strict container: texts of the whole file, and tables, each an HDF5 group of columns of equal length. For the
/// sources of this folder: game_file and results_file say what stands in one.
///
/// A column is a one-dimensional dataset of float64, int32, int64, int8, uint8 or fixed-length, null-padded UTF-8 text
/// of at most 1024 bytes; chunked, with shuffle, deflate and fletcher32; its notes (kind, unit, ...) are text
/// attributes. Files are of HDF5's 1.10 format, whose own records are checksummed. One content gives the same bytes.
///
/// Reading trusts nothing. Refused with FileError, which names the file and what was found:
/// - what is no such file, is truncated or damaged, or is of another schema or version;
/// - tables and columns that are missing, not asked for, or of another type, rank or length;
/// - links other than hard ones, external storage, virtual and growing datasets, committed types, other filters,
///   variable-length text (before it is read): nothing outside the file is opened, no heap of the file's is followed;
/// - sizes that cannot be: deflate packs at most 1032 : 1, so all columns read may declare 1100 times the file's bytes,
///   and take at most 4 GiB of memory; a chunk holds at most 1 MiB, a table at most 1000 columns.

#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "file/handle.hpp"
#include "file/replacement.hpp"
#include "file/schema.hpp"

namespace shortedge::file {

inline constexpr std::size_t most_columns = 1000;
inline constexpr std::uint64_t most_memory = std::uint64_t{4} << 30;  ///< bytes

/// Text attributes: name, text.
using Notes = std::vector<std::pair<std::string_view, std::string>>;

/// Writes beside the file and replaces it in `commit`: on any error before, the old file is intact and the temporary
/// one removed. Throws FileError when the disk refuses, InputError for what the format cannot hold.
class TableWriter {
 public:
  TableWriter(const std::filesystem::path& path, Schema schema);

  void note(std::string_view name, std::string_view text);
  /// Begins a table; the columns that follow are its.
  void table(const std::string& name);
  /// T: double, std::int64_t, std::int32_t, std::int8_t, std::uint8_t or std::string.
  template <class T>
  void column(const std::string& name, const Notes& notes, std::span<const T> values);
  void commit();

 private:
  void write(const std::string& name, const Notes& notes, hid_t type, std::size_t rows, const void* values);

  Session session_;
  std::string path_;  // as messages show it
  Replacement replacement_;
  Handle file_, table_;
  std::string table_name_;
  std::size_t columns_ = 0, rows_ = 0;
  std::uint64_t memory_ = 0;
};

/// What all tables of one file have declared so far.
struct Declared {
  std::uint64_t file_bytes = 0, column_bytes = 0, memory = 0;
};

/// One table. Columns are read when they are asked for, each once.
class StoredTable {
 public:
  StoredTable(hid_t file, const std::string& path, const std::string& name, Declared& declared);

  bool has(const std::string& column) const;
  /// Its text of that name.
  std::string note(const std::string& column, const char* name) const;
  template <class T>
  std::vector<T> take(const std::string& column);
  /// FileError when the table has a column that was not taken.
  void finish() const;
  /// Rows of every column taken; 0 before.
  std::size_t rows() const noexcept { return rows_; }
  [[noreturn]] void refuse(const std::string& column, const std::string& why) const;

 private:
  struct Opened {
    Handle dataset;
    std::size_t rows = 0, item = 0, chunk_rows = 0;
  };
  std::string where(const std::string& column) const;
  Handle open(const std::string& column) const;
  /// Checks everything but the values. `type` is the one the values must have, negative for text.
  Opened inspect(const std::string& column, hid_t type);
  void read(const Opened& opened, std::span<std::uint8_t> values, const std::string& column) const;

  std::string where_;
  Handle group_;
  std::vector<std::string> columns_;  // not taken yet
  Declared* declared_;
  std::size_t rows_ = 0;
  bool any_taken_ = false;
};

class TableReader {
 public:
  /// Opens the file, which other readers may have open and a writer may replace meanwhile.
  TableReader(const std::filesystem::path& path, Schema schema);

  std::string note(const char* name) const;
  /// Once a table.
  StoredTable table(const std::string& name);
  /// FileError when the file has a table that was not asked for.
  void finish() const;
  [[noreturn]] void refuse(const std::string& why) const;

 private:
  Session session_;
  std::string path_;
  Handle file_;
  std::vector<std::string> tables_;  // not asked for yet
  Declared declared_;
};

}  // namespace shortedge::file
