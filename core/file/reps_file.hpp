#pragma once
/// Reps on disk (HDF5): the tables as measured and, apart from them, the corrections laid over them.

#include "file/results_file.hpp"
#include "reps/bands.hpp"

namespace shortedge {

/// What somebody who knows better says of one rep, in the words of the tables. Empty: none, or as measured.
struct Corrections {
  std::vector<std::string> play, protector, rusher, outcome, note;
  std::vector<double> beat_time;                        ///< s since the snap; NaN: not given
  std::vector<std::string> given_to = {}, helped = {};  ///< the man whose rep it was; yes, no
};

struct RepResults : MadeWith {
  RepTables tables;
  std::vector<std::string> labels;  ///< of the game's snaps, row by row; empty: none
  Corrections corrections;
  std::vector<KeptColumn> brought = {};  ///< columns of snaps that the user brought, beside the rows of dropbacks
  std::optional<NoiseUsed> noise = {};
  RepBands bands = {};
};

/// Replaces the file in one step; an error leaves the old one as it was. Throws FileError when it cannot be written or
/// a recorded game stands there, InputError for text that is not UTF-8, holds a NUL or has over 1024 bytes.
void write_reps(const RepResults& results, const std::filesystem::path& path);

/// Throws FileError, naming the file and what was found, for anything but a whole reps file of this schema. Files of
/// other versions are read as core/file/schema.hpp says.
RepResults read_reps(const std::filesystem::path& path);

}  // namespace shortedge
