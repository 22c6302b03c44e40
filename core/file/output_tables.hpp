#pragma once
/// Output tables in a file, with what they were made with. For the sources of this folder.

#include <string>
#include <type_traits>
#include <vector>

#include "base/columns.hpp"
#include "file/results_file.hpp"
#include "file/table_file.hpp"

namespace shortedge::file {

constexpr std::string_view kind_word(Kind kind) {
  switch (kind) {
    case Kind::play: return "play";
    case Kind::player: return "player";
    case Kind::label: return "label";
    case Kind::number: return "number";
    case Kind::count: return "count";
    case Kind::flag: return "flag";
    default: return "word";
  }
}

/// How many names each kind of code counts.
struct Names {
  std::size_t plays, players, labels = 0;

  std::size_t end(Kind kind) const {
    switch (kind) {
      case Kind::play: return plays;
      case Kind::player: return players;
      case Kind::label: return labels;
      case Kind::flag: return 2;
      default: return words(kind).size();
    }
  }
};

/// Its texts, for the writer; then its names and rules.
Notes texts_of(const MadeWith& made);
void write_made_with(TableWriter& writer, const MadeWith& made);
void read_made_with(TableReader& reader, MadeWith& made);

/// Whether there are bands, and the noise they were made with.
bool has_bands(const TableReader& reader);
/// The table "noise", of one row.
void write_noise(TableWriter& writer, const NoiseUsed& noise);
NoiseUsed read_noise(TableReader& reader, std::vector<std::string>& said);

/// Every table of a set, each column with its unit, missing-value rule and meaning.
template <class Tables>
void write_tables(TableWriter& writer, const Tables& tables) {
  Tables::for_each(tables, [&]<class Table>(const Table& table) {
    writer.table(std::string(Table::title));
    Table::for_each(table, [&]<class T>(const ColumnInfo& info, const std::vector<T>& column) {
      writer.column<T>(std::string(info.name),
                       notes(kind_word(info.kind), info.unit, info.missing, info.says, words(info.kind)), column);
    });
  });
}

template <class T>
std::vector<T> read_column(StoredTable& table, const ColumnInfo& info, const Names& names) {
  const std::string name(info.name);
  if constexpr (std::is_same_v<T, double>) {
    return info.name == "time" ? table.take_times(name) : table.take<T>(name);
  } else {
    if (info.kind == Kind::count) return table.take<T>(name);
    return table.take_codes<T>(name, info.missing == "never" ? 0 : no_code, names.end(info.kind));
  }
}

/// Every table of a set. Columns that the file's version had not yet are filled with missing values; those that a newer
/// one has beyond this library are skipped; a line in `said` for each table it happens to. So for whole tables, which
/// then have no rows.
template <class Tables>
void read_tables(TableReader& reader, Tables& tables, const Names& names, std::vector<std::string>& said) {
  Tables::for_each(tables, [&]<class Table>(Table& table) {
    if (since_version(Table::title) > reader.version()) {
      said.push_back("an older file; missing: the table " + std::string(Table::title));
      return;
    }
    StoredTable stored = reader.table(std::string(Table::title));
    std::string lacks;
    Table::for_each(table, [&]<class T>(const ColumnInfo& info, std::vector<T>& column) {
      if (since_version(Table::title, info.name) <= reader.version()) {
        column = read_column<T>(stored, info, names);
        return;
      }
      lacks.append(lacks.empty() ? "" : ", ").append(info.name);
      const bool counted = info.kind == Kind::flag || info.kind == Kind::count;
      column.assign(stored.rows(),
                    std::is_same_v<T, double> ? static_cast<T>(nan) : static_cast<T>(counted ? 0 : no_code));
    });
    if (!lacks.empty()) said.push_back(std::string(Table::title) + ": an older file; missing: " + lacks);
    reader.finish(stored, said);
  });
}

/// Bands, which must have the rows of the table they are of.
template <class Table>
void read_bands(TableReader& reader, const Table& of, BandTable<Table>& bands, std::vector<std::string>& said) {
  StoredTable stored = reader.table(BandTable<Table>::title);
  BandTable<Table>::for_each(bands, [&](const ColumnInfo& info, std::vector<double>& column) {
    const std::string name(info.name);
    if (since_version(Table::title, name.substr(0, name.rfind('_'))) > reader.version()) {
      column.assign(of.rows(), nan);
      return;
    }
    column = stored.take<double>(name);
    if (column.size() != of.rows()) {
      stored.refuse(name, std::to_string(column.size()) + " rows, where " + std::string(Table::title) + " has " +
                              std::to_string(of.rows()));
    }
  });
  reader.finish(stored, said);
}

}  // namespace shortedge::file
