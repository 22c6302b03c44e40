#pragma once
/// What is painted on a field, by name: the places a camera is found from.
///
/// Field frame: x along the length, 0 at the back of one end zone to 120 yd; y across, 0 at one sideline to 160/3 yd; z
/// up. Names see the field drawn with x to the right and y up: "left" has x < 60, "lower" has the smaller y. A line is
/// "left end", "left goal", "left 5" to "left 45", "50", "right 45" and so on; a row is "lower side", "lower hash",
/// "upper hash", "upper side"; a crossing is "left 20, lower hash".
/// - One-yard ticks at the hashes have two ends each: "left 23, lower hash" lies on the row, where the tick begins, and
///   "left 23, lower hash outer" 24 in nearer to the sideline, where it ends.
/// - Corners of the painted numbers: "left 30, lower number, outer left" ("outer": nearer to the sideline, the feet of
///   the digits; "inner": their tops). The codes only recommend where numbers stand, so they carry an error.
///
/// Sources: rows of hashes 70 ft 9 in (pro), 60 ft (college), 53 ft 4 in (school) from the sidelines, 160 ft across,
/// 120 yd long: the three codes' texts on the field. Ticks of 24 in and numbers 6 ft high, 4 ft wide, tops 9 yd from
/// the sideline: NCAA Rule 1-2-1. Assumed: a tick's inner end lies on the row; the two digits stand one foot off their
/// line.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "geometry/point.hpp"

namespace shortedge {

enum class FieldKind { pro, college, school };

inline constexpr double tick_length = 2.0 / 3;  ///< yd, 24 in
inline constexpr double number_error = 0.3;     ///< yd, one standard deviation a number's corner is off

/// yd from a sideline to the row of hashes nearer to it.
double hash_row(FieldKind kind) noexcept;

struct Mark {
  std::string name;
  Point place;       ///< x, y in yd
  double error = 0;  ///< yd, one standard deviation per axis; 0: where the code says
};

/// Every mark of a kind of field, in a fixed order; made once.
const std::vector<Mark>& field_marks(FieldKind kind);
/// The mark of this name; nullptr when there is none.
const Mark* find_mark(FieldKind kind, std::string_view name);
/// The marks within `reach` yd of a place, nearest first, at most `most`.
std::vector<const Mark*> marks_near(FieldKind kind, const Point& place, double reach, std::size_t most);

/// Where the same mark lies on a field of another kind: hash rows and ticks move, all else stays.
Point moved_to(FieldKind kind, FieldKind other, const Point& place);

}  // namespace shortedge
