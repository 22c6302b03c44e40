#include "file/results_file.hpp"

#include "base/error.hpp"
#include "file/output_tables.hpp"

namespace shortedge {

using namespace file;

Notes file::texts_of(const MadeWith& made) {
  return {{"game", made.game}, {"digest", made.digest}, {"library_version", made.library_version}};
}

void file::write_made_with(TableWriter& writer, const MadeWith& made) {
  write_names(writer, "plays", made.plays);
  write_names(writer, "players", made.players);

  std::vector<std::string> names, units, meanings;
  std::vector<double> values;
  Rules::for_each(made.rules, [&](std::string_view name, double value, std::string_view unit, std::string_view says) {
    names.emplace_back(name);
    values.push_back(value);
    units.emplace_back(unit);
    meanings.emplace_back(says);
  });
  writer.table("rules");
  writer.column<std::string>("name", notes("text", "", "never", "the rule"), names);
  writer.column<double>("value", notes("number", "see column unit", "never", "what it was"), values);
  writer.column<std::string>("unit", notes("text", "", "empty: none", "the value's unit"), units);
  writer.column<std::string>("says", notes("text", "", "never", "what it is"), meanings);
}

void file::read_made_with(TableReader& reader, MadeWith& made) {
  made.game = reader.text("game");
  made.digest = reader.text("digest");
  made.library_version = reader.text("library_version");
  made.plays = read_names(reader, "plays");
  made.players = read_names(reader, "players");

  StoredTable rules = reader.table("rules");
  const std::vector<std::string> names = rules.take<std::string>("name");
  const std::vector<double> values = rules.take<double>("value");
  for (const char* told : {"unit", "says"}) rules.take<std::string>(told);
  rules.finish();
  std::size_t row = 0;
  Rules::for_each(made.rules, [&](std::string_view name, double& value, std::string_view, std::string_view) {
    if (row == names.size() || names[row] != name) rules.refuse("name", "row " + std::to_string(row) + ": wanted: " + std::string(name));
    value = values[row++];
  });
  if (row != names.size()) rules.refuse("name", std::to_string(names.size()) + " rules; this library has " + std::to_string(row));
  try {
    made.rules.validate();
  } catch (const InputError& error) {
    rules.refuse("value", error.what());
  }
}

void write_results(const Results& results, const std::filesystem::path& path) {
  TableWriter writer(path, results_schema, texts_of(results));
  write_made_with(writer, results);
  write_tables(writer, results.tables);
  writer.commit();
}

Results read_results(const std::filesystem::path& path) {
  TableReader reader(path, results_schema);
  Results results;
  read_made_with(reader, results);
  read_tables(reader, results.tables, {results.plays.size(), results.players.size()});
  reader.finish();
  return results;
}

}  // namespace shortedge
