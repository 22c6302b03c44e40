#include "file/reps_file.hpp"

#include "file/kept.hpp"
#include "file/output_tables.hpp"

namespace shortedge {

using namespace file;

namespace {

struct CorrectionText {
  const char* name;
  std::vector<std::string> Corrections::* texts;
  const char *missing, *says;
  int since = 1;  ///< the version from which files have it
};
constexpr CorrectionText correction_texts[]{
    {"play", &Corrections::play, "never", "the play"},
    {"protector", &Corrections::protector, "empty: none", "the rep's protector"},
    {"rusher", &Corrections::rusher, "empty: none", "the rep's rusher"},
    {"outcome", &Corrections::outcome, "empty: as measured", "what it was"},
    {"note", &Corrections::note, "empty: none", "why"},
    {"given_to", &Corrections::given_to, "empty: as measured", "the man whose rep it was", 4},
    {"helped", &Corrections::helped, "empty: as measured", "whether he had help: yes, no", 4},
};

}  // namespace

void write_reps(const RepResults& results, const std::filesystem::path& path) {
  TableWriter writer(path, reps_schema, texts_of(results));
  write_made_with(writer, results);
  write_names(writer, "labels", results.labels);
  write_tables(writer, results.tables);
  writer.table("corrections");
  for (const auto& [name, texts, missing, says, since] : correction_texts) {
    writer.column<std::string>(name, notes("text", "", missing, says), results.corrections.*texts);
  }
  writer.column<double>("beat_time", notes("number", "s", "not given", "since the snap"),
                        results.corrections.beat_time);
  write_kept(writer, "brought", results.brought);
  if (results.noise) {
    write_noise(writer, *results.noise);
    write_tables(writer, results.bands);
  }
  writer.commit();
}

RepResults read_reps(const std::filesystem::path& path) {
  TableReader reader(path, reps_schema);
  RepResults results;
  read_made_with(reader, results);
  results.labels = read_names(reader, "labels", results.notes);
  read_tables(reader, results.tables, {results.plays.size(), results.players.size(), results.labels.size()},
              results.notes);
  StoredTable corrections = reader.table("corrections");
  for (const auto& [name, texts, missing, says, since] : correction_texts) {
    if (reader.version() >= since) {
      results.corrections.*texts = corrections.take<std::string>(name);
    } else {
      (results.corrections.*texts).resize(results.corrections.play.size());
    }
  }
  results.corrections.beat_time = corrections.take<double>("beat_time");
  reader.finish(corrections, results.notes);
  constexpr int brings = 4;  // the version from which files have these columns
  if (reader.version() >= brings) {
    results.brought = read_kept(reader, "brought", results.tables.dropbacks.rows(), results.notes);
  }
  if (has_bands(reader)) {
    results.noise = read_noise(reader, results.notes);
    read_bands(reader, results.tables.reps, results.bands.reps, results.notes);
  }
  reader.finish(results.notes);
  return results;
}

}  // namespace shortedge
