#pragma once
/// Columns of the user's own that the library does not read, in a file. For the sources of this folder.

#include <string>
#include <vector>

#include "file/table_file.hpp"
#include "tracking/tables.hpp"

namespace shortedge::file {

/// The columns are numbered, since a name of the user's may be no name for HDF5; names and kinds stand in a table
/// beside them, "<table>_names".
void write_kept(TableWriter& writer, const std::string& table, const std::vector<KeptColumn>& columns);

/// `rows`: as many as each must have. FileError for another number.
std::vector<KeptColumn> read_kept(TableReader& reader, const std::string& table, std::size_t rows,
                                  std::vector<std::string>& said);

}  // namespace shortedge::file
