#pragma once
/// A strict container: tables, each an HDF5 group of columns of equal length; the first, "file", holds texts about the
/// whole. For the sources of this folder: game_file and results_file say what stands in one.
///
/// A column is a one-dimensional dataset of float64, int32, int64, int8, uint8 or fixed-length, null-padded UTF-8 text
/// of at most 1024 bytes; chunked, with shuffle, deflate and fletcher32; its notes (kind, unit, ...) are text
/// attributes. Files are of HDF5's 1.10 format, whose own records are checksummed. One content gives the same bytes.
///
/// HDF5 writes; reading trusts nothing, HDF5 neither: format.hpp reads what the writer makes, and no more. Refused with
/// FileError, which names the file and what was found:
/// - what is no such file, is truncated or damaged, or is of another schema or version;
/// - tables and columns that are missing, not asked for, or of another type, rank or length;
/// - links other than hard ones, external storage, virtual and growing datasets, committed types, other filters,
///   variable-length text: nothing outside the file is opened, no heap of the file's is followed;
/// - sizes that cannot be: deflate packs at most 1032 : 1, so all columns read may declare 1100 times the file's bytes,
///   and take at most 4 GiB of memory; a chunk holds at most 1 MiB, a table at most 1000 columns.

#include <cstdint>
#include <filesystem>
#include <limits>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "file/format.hpp"
#include "file/handle.hpp"
#include "file/image.hpp"
#include "file/schema.hpp"

namespace shortedge::file {

inline constexpr std::size_t most_columns = 1000;
inline constexpr std::uint64_t most_memory = std::uint64_t{4} << 30;  ///< bytes

/// Text attributes: name, text.
using Notes = std::vector<std::pair<std::string_view, std::string>>;

/// What a column's reader needs to know: its kind, its unit, when a value is missing, what it is; and, for a column of
/// codes with a vocabulary of their own, the words they count, from 0.
Notes notes(std::string_view kind, std::string_view unit, std::string_view missing, std::string_view says,
            std::span<const std::string_view> words = {});

/// What every file says of itself.
inline constexpr std::string_view about =
    "Each group is a table, each dataset in it a column. Columns of kind play and player are row numbers, from 0, of "
    "the "
    "tables plays and players; a column with words holds numbers into that list, from 0. -1: none. NaN: missing.";

/// Collects a file in memory and puts it in the old one's place in `commit` (replace_file). Throws FileError when the
/// disk refuses, InputError for what the format cannot hold; the old file is intact then.
class TableWriter {
 public:
  /// `texts`: what else stands in the table "file", beside the schema and `about`. FileError when anything but a game
  /// is to replace a recorded game, which nobody could make again.
  TableWriter(const std::filesystem::path& path, Schema schema, const Notes& texts);

  /// Begins a table; the columns that follow are its.
  void table(const std::string& name);
  /// T: double, std::int64_t, std::int32_t, std::int8_t, std::uint8_t or std::string.
  template <class T>
  void column(const std::string& name, const Notes& notes, std::span<const T> values);
  void commit();

 private:
  void write_texts();
  void write(const std::string& name, const Notes& notes, hid_t type, std::size_t rows, const void* values);

  Session session_;
  std::filesystem::path path_;
  std::string where_;  // the path as messages show it
  Image image_;
  Handle table_;
  std::string table_name_;
  std::size_t columns_ = 0, rows_ = 0;
  std::uint64_t memory_ = 0;
  std::vector<std::string> names_, texts_;  // of the table "file", written last
  std::uint64_t content_ = 0;               // column_sum of all columns so far
};

/// What all tables of one file have declared so far, and the sum of what was taken whole.
struct Declared {
  std::uint64_t column_bytes = 0, memory = 0, content = 0;
};

/// One table. Columns are read when they are asked for, each once.
class StoredTable {
 public:
  StoredTable(const Input& input, const std::vector<Link>& tables, const std::string& path, const std::string& name,
              Declared& declared);

  /// From now on columns are taken from row `begin` to below `end`; only the chunks that hold these are read.
  void only(std::size_t begin, std::size_t end);

  bool has(const std::string& column) const;
  template <class T>
  std::vector<T> take(const std::string& column);
  /// Codes from `least` to below `end`; FileError for any other.
  template <class T>
  std::vector<T> take_codes(const std::string& column, int least, std::size_t end);
  /// Times; FileError for one that is not finite.
  std::vector<double> take_times(const std::string& column);
  /// FileError when the table has more columns than were taken.
  void finish() const;
  /// How many it has more.
  std::size_t untaken() const noexcept { return links_.size() - taken_; }
  /// Rows of every column taken; 0 before.
  std::size_t rows() const noexcept { return rows_; }
  [[noreturn]] void refuse(const std::string& column, const std::string& why) const;
  const std::string& name() const noexcept { return where_; }

 private:
  struct Rows {
    std::size_t first, end;
    std::size_t count() const noexcept { return end - first; }
  };
  std::string where(const std::string& column) const;
  Rows wanted_of(const Dataset& dataset) const;
  /// Checks everything but the values. `wanted` is the type the values must have, null for text.
  Dataset inspect(const std::string& column, const Type* wanted);
  void read(const Dataset& dataset, std::span<std::uint8_t> values, const std::string& column) const;

  std::string table_, where_;
  const Input* input_;
  std::vector<Link> links_;
  Declared* declared_;
  std::size_t rows_ = 0, taken_ = 0;
  std::size_t begin_ = 0, end_ = std::numeric_limits<std::size_t>::max();
};

class TableReader {
 public:
  /// Opens the file, which others may read, and a writer replace, meanwhile. Of any version from schema.oldest on.
  TableReader(const std::filesystem::path& path, Schema schema);
  /// The same of any schema.
  explicit TableReader(const std::filesystem::path& path);

  /// Of the schema; 0 when none was wanted.
  int version() const noexcept { return version_; }
  bool has(const std::string& table) const;
  /// A text of the table "file".
  std::string text(std::string_view name) const;
  /// Once a table.
  StoredTable table(const std::string& name);
  /// Whether the file says what its columns add up to (column_sum); files of before this was told do not.
  bool tells_content() const;
  /// FileError when the file, or a table of it, has more than was asked for; of a file newer than this library that is
  /// skipped, and a line about it added to `said`. FileError, too, when the columns that were taken, all of them, are
  /// not those the file was written with: somebody changed them since.
  void finish(std::vector<std::string>& said) const;
  void finish(const StoredTable& table, std::vector<std::string>& said) const;
  [[noreturn]] void refuse(const std::string& why) const;

 private:
  void check_content() const;
  bool is_newer() const noexcept { return version_ > known_version_; }

  std::string path_;
  Input input_;
  std::vector<Link> links_;
  Declared declared_;
  std::size_t tables_ = 0;
  int version_ = 0, known_version_ = 0;
  std::vector<std::string> names_, texts_;
};

/// A dictionary: a table of one column, the names by order of code.
void write_names(TableWriter& writer, const std::string& table, std::span<const std::string> names);
/// `said`: as TableReader::finish has it.
std::vector<std::string> read_names(TableReader& reader, const std::string& table, std::vector<std::string>& said);

}  // namespace shortedge::file
