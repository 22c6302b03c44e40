#include "file/results_file.hpp"

#include <charconv>

#include "base/error.hpp"
#include "file/output_tables.hpp"
#include "file/text.hpp"

namespace shortedge {

using namespace file;

Notes file::texts_of(const MadeWith& made) {
  return {{"game", made.game},
          {"digest", made.digest},
          {"library_version", made.library_version},
          {"definition", std::to_string(made.definition)}};
}

namespace {

/// The edition of the definitions a file was made by. Files that do not tell it are of the one before it was told.
int definition_of(const TableReader& reader) {
  if (reader.version() < tells_definition) return definition - 1;
  const std::string told = reader.text("definition");
  int edition = 0;
  const auto [end, error] = std::from_chars(told.data(), told.data() + told.size(), edition);
  if (error != std::errc() || end != told.data() + told.size() || edition < 1) {
    reader.refuse("its definition is \"" + printable(told) + "\"; accepted: a number from 1");
  }
  return edition;
}

}  // namespace

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
  made.definition = definition_of(reader);
  if (made.definition < definition) {
    made.notes.push_back("made by an older definition: edges and blockers are of the protector nearest in each frame");
  } else if (made.definition > definition) {
    made.notes.push_back("made by a newer definition (" + std::to_string(made.definition) + "; this library has " +
                         std::to_string(definition) + ")");
  }
  made.plays = read_names(reader, "plays", made.notes);
  made.players = read_names(reader, "players", made.notes);

  StoredTable rules = reader.table("rules");
  const std::vector<std::string> names = rules.take<std::string>("name");
  const std::vector<double> values = rules.take<double>("value");
  for (const char* told : {"unit", "says"}) rules.take<std::string>(told);
  reader.finish(rules, made.notes);
  std::size_t row = 0;
  Rules::for_each(made.rules, [&](std::string_view name, double& value, std::string_view, std::string_view) {
    if (row == names.size() || names[row] != name)
      rules.refuse("name", "row " + std::to_string(row) + ": wanted: " + std::string(name));
    value = values[row++];
  });
  if (row != names.size())
    rules.refuse("name", std::to_string(names.size()) + " rules; this library has " + std::to_string(row));
  try {
    made.rules.validate();
  } catch (const InputError& error) {
    rules.refuse("value", error.what());
  }
}

void file::write_noise(TableWriter& writer, const NoiseUsed& noise) {
  writer.table("noise");
  const auto count = [](std::uint64_t value) { return std::vector{static_cast<std::int64_t>(value)}; };
  writer.column<double>("sigma", notes("number", "yd", "never", "noise of position, per axis"),
                        std::vector{noise.sigma});
  writer.column<std::int64_t>("draws", notes("count", "", "never", "how many"), count(noise.draws));
  writer.column<std::int64_t>("seed", notes("count", "", "never", "of the draws"), count(noise.seed));
  writer.column<std::string>("found", notes("text", "", "never", "how sigma was found"), std::vector{noise.found});
}

bool file::has_bands(const TableReader& reader) {
  return reader.version() == always_banded || (reader.version() > always_banded && reader.has("noise"));
}

NoiseUsed file::read_noise(TableReader& reader, std::vector<std::string>& said) {
  StoredTable table = reader.table("noise");
  const std::vector<double> sigma = table.take<double>("sigma");
  const std::vector<std::int64_t> draws = table.take<std::int64_t>("draws"), seed = table.take<std::int64_t>("seed");
  const std::vector<std::string> found = table.take<std::string>("found");
  reader.finish(table, said);
  if (table.rows() != 1) table.refuse("sigma", std::to_string(table.rows()) + " rows; wanted: 1");
  if (seed[0] < 0) table.refuse("seed", std::to_string(seed[0]) + "; accepted: 0 or more");
  NoiseUsed noise{{sigma[0], static_cast<std::size_t>(draws[0]), static_cast<std::uint64_t>(seed[0])}, found[0]};
  try {
    noise.validate();
  } catch (const InputError& error) {
    table.refuse("sigma", error.what());
  }
  return noise;
}

void write_results(const Results& results, const std::filesystem::path& path) {
  TableWriter writer(path, results_schema, texts_of(results));
  write_made_with(writer, results);
  write_tables(writer, results.tables);
  if (results.noise) {
    write_noise(writer, *results.noise);
    write_tables(writer, results.bands);
  }
  writer.commit();
}

Results read_results(const std::filesystem::path& path) {
  TableReader reader(path, results_schema);
  Results results;
  read_made_with(reader, results);
  read_tables(reader, results.tables, {results.plays.size(), results.players.size()}, results.notes);
  if (has_bands(reader)) {
    results.noise = read_noise(reader, results.notes);
    read_bands(reader, results.tables.frames, results.bands.frames, results.notes);
    read_bands(reader, results.tables.edges, results.bands.edges, results.notes);
    read_bands(reader, results.tables.rushers, results.bands.rushers, results.notes);
  }
  reader.finish(results.notes);
  return results;
}

}  // namespace shortedge
