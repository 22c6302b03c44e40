#pragma once
/// The output tables, each column listed once: the structs below, the file's schema, the Python tables and the
/// README's list all derive from these lists. Every table begins with a column `game`, the game's name, which is one
/// value for the whole table and so is added where the table leaves the library.
///
/// A column is a vector of codes or numbers. Missing: -1 for a code, NaN for a number; a flag or a count is never
/// missing. Outside, a missing text is null.

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string_view>
#include <vector>

namespace shortedge {

/// What a column holds; names of plays and players are codes into the game's own lists.
enum class Kind { play, player, status, side, lane, number, count, flag };

enum class Status : std::int8_t { ok, thin, collapsed, outside, missing };
enum class Side : std::int8_t { none = -1, left, right };
enum class Lane : std::int8_t { none = -1, in, A, B, C, D, rear };

inline constexpr std::array<std::string_view, 5> status_words{"ok", "thin", "collapsed", "outside", "missing"};
inline constexpr std::array<std::string_view, 2> side_words{"left", "right"};
inline constexpr std::array<std::string_view, 6> lane_words{"in", "A", "B", "C", "D", "rear"};

/// -1 for the left, +1 for the right, 0 for none.
constexpr int sign(Side side) noexcept { return side == Side::none ? 0 : side == Side::left ? -1 : 1; }
constexpr Side side_of(double signed_value) noexcept { return signed_value < 0 ? Side::left : Side::right; }

/// The words a column of this kind can hold; empty when it holds none.
constexpr std::span<const std::string_view> words(Kind kind) noexcept {
  switch (kind) {
    case Kind::status: return status_words;
    case Kind::side: return side_words;
    case Kind::lane: return lane_words;
    default: return {};
  }
}

template <Kind kind>
struct Stored {
  using type = std::int8_t;
};
template <>
struct Stored<Kind::play> {
  using type = std::int32_t;
};
template <>
struct Stored<Kind::player> {
  using type = std::int32_t;
};
template <>
struct Stored<Kind::number> {
  using type = double;
};
template <>
struct Stored<Kind::count> {
  using type = std::int32_t;
};
template <>
struct Stored<Kind::flag> {
  using type = std::uint8_t;
};
template <Kind kind>
using Values = std::vector<typename Stored<kind>::type>;

struct ColumnInfo {
  std::string_view name;
  Kind kind;
  std::string_view unit;     ///< empty for names, words, flags, counts and ratios
  std::string_view missing;  ///< when the value is null or NaN; "never" when it cannot be
  std::string_view says;
};

/// X(name, kind, unit, missing, what it is)
#define SHORTEDGE_FRAMES(X)                                                                                           \
  X(play, play, "", "never", "the play")                                                                              \
  X(time, number, "s", "never", "since the snap")                                                                     \
  X(status, status, "", "never",                                                                                      \
    "missing: no passer; outside: he left the pocket; thin: fewer than three men in the wall; collapsed: the wall "   \
    "and the corners behind it no longer enclose him; else ok")                                                       \
  X(passer_depth, number, "yd", "status missing", "the passer behind the line of scrimmage")                          \
  X(pocket_width, number, "yd", "not ok",                                                                             \
    "between the wall's outermost men; it jumps when a man is detached, more than 3.5 yd outside the next one")       \
  X(wall_left, player, "", "not ok", "the man who sets the width on the left")                                        \
  X(wall_right, player, "", "not ok", "the man who sets the width on the right")                                      \
  X(pocket_depth, number, "yd", "not ok", "from the passer straight upfield to the wall: room to step up")            \
  X(pocket_area, number, "yd^2", "not ok", "wall and the two corners behind it")                                      \
  X(passer_room, number, "yd^2", "not ok", "the part of it nearer to the passer than to any rusher")                  \
  X(nearest_rusher, number, "yd", "status missing", "distance of the nearest rusher; infinite with none")             \
  X(exposure_left, number, "", "not ok", "exposure of the left edge, 0 to 1")                                         \
  X(exposure_inside, number, "", "not ok", "greatest inside exposure of any rusher, 0 with none")                     \
  X(exposure_right, number, "", "not ok", "exposure of the right edge, 0 to 1")

#define SHORTEDGE_EDGES(X)                                                                                            \
  X(play, play, "", "never", "the play")                                                                              \
  X(time, number, "s", "never", "since the snap; ok frames only")                                                     \
  X(side, side, "", "never", "of the offence")                                                                        \
  X(edge_man, player, "", "never", "the man who sets this edge of the pocket")                                        \
  X(rusher, player, "", "nobody attacks it", "the rusher the edge belongs to")                                        \
  X(edge_width, number, "yd", "never", "from the passer out to the edge man, and his reach beyond")                   \
  X(edge_given, number, "yd", "never",                                                                                \
    "how much narrower the edge is than the line stood from the ball at the first ok frame")                          \
  X(drift, number, "yd", "never", "the passer's own share of it: how far he moved to this side")                      \
  X(corner_held, number, "yd", "no rusher", "how much of his corner the rusher's blocker still holds, 0 to 2 reach")  \
  X(short_edge, number, "yd", "never",                                                                                \
    "how far outside the blocker's centre the rusher's straight line passes, 0 to reach; to be read only with "       \
    "exposure 0.2 or more")                                                                                           \
  X(outside_time, number, "s", "never", "least time of the outside way; infinite with no rusher")                     \
  X(exposure, number, "", "never", "1 - outside_time / horizon, not below 0; not a threat and not a probability")     \
  X(engaged, flag, "", "never", "the rusher is within meet of his blocker")                                           \
  X(helpers, count, "", "never", "other offensive players within engage of the rusher")

#define SHORTEDGE_RUSHERS(X)                                                                                          \
  X(play, play, "", "never", "the play")                                                                              \
  X(time, number, "s", "never", "since the snap; no rows in missing frames")                                          \
  X(rusher, player, "", "never", "the rusher")                                                                        \
  X(distance, number, "yd", "never", "to the passer")                                                                 \
  X(bearing, number, "deg", "never", "from the passer: 0 straight upfield, positive to the right")                    \
  X(closing, number, "yd/s", "velocity unknown, on the passer", "his speed toward the passer")                        \
  X(approach_angle, number, "deg", "velocity unknown or under 0.3 yd/s, on the passer",                               \
    "between his velocity and the line to the passer")                                                                \
  X(closest, number, "yd", "a velocity unknown, relative speed under 0.3 yd/s", "closest point of approach")          \
  X(closest_in, number, "s", "a velocity unknown, relative speed under 0.3 yd/s", "time to it; 0 when it is past")    \
  X(blocker, player, "", "no protector present", "the nearest protector")                                             \
  X(blocker_range, number, "yd", "no protector present", "distance to him")                                           \
  X(engaged, flag, "", "never", "within meet of him")                                                                 \
  X(helpers, count, "", "never", "other offensive players within engage")                                             \
  X(cutoff_ratio, number, "", "no protector present",                                                                 \
    "least speed, as a share of the rusher's, with which the blocker still meets him on his straight line; at or "    \
    "above 1 nobody is between; infinite on the passer")                                                              \
  X(corner_held, number, "yd", "no blocker, or one with no side (centre)", "as in edges")                             \
  X(short_edge, number, "yd", "no blocker, or one with no side (centre)", "as in edges")                              \
  X(outside_time, number, "s", "no blocker, or one with no side (centre)", "least time of the way round his outside") \
  X(outside_bend, number, "deg", "no blocker, one with no side, or on top of him", "how far that way turns")          \
  X(outside_exposure, number, "", "no blocker, or one with no side (centre)", "1 - outside_time / horizon")           \
  X(inside_time, number, "s", "no protector present", "least time of the way round his inside")                       \
  X(inside_exposure, number, "", "no protector present", "1 - inside_time / horizon")                                 \
  X(path_length, number, "yd", "never",                                                                               \
    "shortest way to the passer clear of every protector; infinite with none; jumps when a gap opens or closes")      \
  X(slack, number, "yd", "never", "path_length - distance")                                                           \
  X(lane, lane, "", "not ok", "where his straight line enters the pocket: in, gap A to D, rear")                      \
  X(lane_side, side, "", "not ok", "the side of that gap")

#define SHORTEDGE_MEMBER(name, kind, unit, missing, says) Values<Kind::kind> name;
#define SHORTEDGE_INFO(name, kind, unit, missing, says) ColumnInfo{#name, Kind::kind, unit, missing, says},
#define SHORTEDGE_VISIT(name, kind, unit, missing, says) \
  visit(ColumnInfo{#name, Kind::kind, unit, missing, says}, table.name);

/// One table: a vector a column, its title, its list of columns, and for_each(table, visit) calling
/// visit(info, vector) for every column in order.
#define SHORTEDGE_TABLE(Table, called, COLUMNS)                                           \
  struct Table {                                                                          \
    COLUMNS(SHORTEDGE_MEMBER)                                                             \
    static constexpr std::string_view title = called;                                     \
    static constexpr auto columns = std::to_array<ColumnInfo>({COLUMNS(SHORTEDGE_INFO)}); \
    template <class T, class Visit>                                                       \
    static void for_each(T& table, Visit&& visit) {                                       \
      COLUMNS(SHORTEDGE_VISIT)                                                            \
    }                                                                                     \
    std::size_t rows() const noexcept { return time.size(); }                             \
  };

SHORTEDGE_TABLE(FramesTable, "frames", SHORTEDGE_FRAMES)
SHORTEDGE_TABLE(EdgesTable, "edges", SHORTEDGE_EDGES)
SHORTEDGE_TABLE(RushersTable, "rushers", SHORTEDGE_RUSHERS)

#undef SHORTEDGE_TABLE
#undef SHORTEDGE_VISIT
#undef SHORTEDGE_INFO
#undef SHORTEDGE_MEMBER

}  // namespace shortedge
