#include "file/kept.hpp"

namespace shortedge::file {

void write_kept(TableWriter& writer, const std::string& table, const std::vector<KeptColumn>& columns) {
  std::vector<std::string> names, kinds;
  writer.table(table);
  for (const KeptColumn& kept : columns) {
    const auto write = [&]<class T>(const char* kind, const char* missing, const std::vector<T>& values) {
      writer.column<T>(std::to_string(names.size()),
                       notes(kind, "", missing, "kept from the input; not read by the library"), values);
      names.push_back(kept.name);
      kinds.emplace_back(kind);
    };
    if (!kept.texts.empty()) {
      write("text", "empty", kept.texts);
    } else if (!kept.integers.empty()) {
      write("integer", "never", kept.integers);
    } else {
      write("number", "NaN", kept.numbers);
    }
  }
  writer.table(table + "_names");
  writer.column<std::string>("name", notes("text", "", "never", "of the column with this row's number"), names);
  writer.column<std::string>("kind", notes("text", "", "never", "text, integer or number"), kinds);
}

std::vector<KeptColumn> read_kept(TableReader& reader, const std::string& table, std::size_t rows,
                                  std::vector<std::string>& said) {
  StoredTable listed = reader.table(table + "_names"), stored = reader.table(table);
  const std::vector<std::string> names = listed.take<std::string>("name"), kinds = listed.take<std::string>("kind");
  reader.finish(listed, said);
  std::vector<KeptColumn> columns;
  for (std::size_t i = 0; i < names.size(); ++i) {
    const std::string number = std::to_string(i);
    KeptColumn kept;
    kept.name = names[i];
    if (kinds[i] == "text") {
      kept.texts = stored.take<std::string>(number);
    } else if (kinds[i] == "integer") {
      kept.integers = stored.take<std::int64_t>(number);
    } else {
      kept.numbers = stored.take<double>(number);
    }
    if (kept.rows() != rows)
      stored.refuse(
          number, std::to_string(kept.rows()) + " rows, where the table it stands beside has " + std::to_string(rows));
    columns.push_back(std::move(kept));
  }
  reader.finish(stored, said);
  return columns;
}

}  // namespace shortedge::file
