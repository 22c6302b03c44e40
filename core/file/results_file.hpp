#pragma once
/// Results on disk (HDF5): the output tables, with each column's unit, missing-value rule and meaning beside it, and
/// what they were made with.

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "measure/bands.hpp"

namespace shortedge {

/// What results were made with.
struct MadeWith {
  Rules rules;
  std::string game;                         ///< the game's name
  std::string digest;                       ///< of the tables the game was made from
  std::string library_version;              ///< that measured
  std::vector<std::string> plays, players;  ///< what the tables' codes stand for
  int definition = shortedge::definition;   ///< the edition of the definitions (base/columns.hpp)
  std::vector<std::string> notes = {};  ///< after reading: what the file lacks, or has beyond this library; a line each
};

/// The noise of the bands, and how it was found.
struct NoiseUsed : Noise {
  std::string found;
};

/// With `noise` go its `bands`, rows as in the tables.
struct Results : MadeWith {
  Tables tables;
  std::optional<NoiseUsed> noise = {};
  Bands bands = {};
};

/// Replaces the file in one step; an error leaves the old one as it was. Throws FileError when it cannot be written or
/// a recorded game stands there, InputError for text that is not UTF-8, holds a NUL or has over 1024 bytes.
void write_results(const Results& results, const std::filesystem::path& path);

/// Throws FileError, naming the file and what was found, for anything but a whole results file of this schema:
/// truncated, damaged, foreign, hostile, with codes beyond their lists or times that are not finite. Files of other
/// versions are read as core/file/schema.hpp says.
Results read_results(const std::filesystem::path& path);

}  // namespace shortedge
