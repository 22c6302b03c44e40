#pragma once
/// Errors. Raised before any work; the text names what was found and what is accepted.

#include <stdexcept>
#include <string>

namespace shortedge {

/// The caller's input is refused: a wrong value, a missing column, tables that hold no valid play.
struct InputError : std::invalid_argument {
  using std::invalid_argument::invalid_argument;
};

/// A file cannot be written, or is not what it says it is: truncated, foreign, hostile, of another schema version.
struct FileError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// A number as an error message shows it: "%g".
std::string shown(double value);

}  // namespace shortedge
