#pragma once
/// The output tables, each column listed once: the structs below, the file's schema, the Python tables and the
/// README's list all derive from these lists. Every table begins with a column `game`, the game's name, which is one
/// value for the whole table and so is added where the table leaves the library.
///
/// A column is a vector of codes or numbers. Missing: -1 for a code, NaN for a number; a flag or a count is never
/// missing. Outside, a missing text is null.

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <span>
#include <string_view>
#include <vector>

namespace shortedge {

/// What a column holds; names of plays and players are codes into the game's own lists.
// clang-format off
enum class Kind {
  play, player, label,  // codes; a label's is the row of snaps that has it
  status, side, lane, technique, set, outcome, beat_side, alignment, snap, stood, duty,  // words
  slot, exchange, looking, found, spot, field_side, pickup,                               // words
  number, count, flag
};
// clang-format on

enum class Status : std::int8_t { ok, thin, collapsed, outside, missing };
enum class Side : std::int8_t { none = -1, left, right };
enum class Lane : std::int8_t { none = -1, in, A, B, C, D, rear };

/// A rusher's alignment at the snap by the common numbering: even head up, odd outside shade, i inside shade, but 7 the
/// inside shade of a tight end; C has one shade.
enum class Technique : std::int8_t { none = -1, t0, t1, t2, t2i, t3, t4, t4i, t5, t6, t7, t9, wide, off };
enum class Set : std::int8_t { none = -1, jump, kick_out, forty_five, vertical };
enum class Outcome : std::int8_t { held, beat, driven, free, help, uncovered };
enum class BeatSide : std::int8_t { none = -1, outside, inside, left, right };
enum class Alignment : std::int8_t { none = -1, under, pistol, short_gun, gun };
/// bad: the passer's way says that the snap went wrong.
enum class Snapped : std::int8_t { none = -1, clean, bad };
/// The line at the snap: five men where people lists them; five, but one elsewhere; fewer.
enum class Line : std::int8_t { none = -1, whole, moved, few };
enum class Duty : std::int8_t { rusher, protector };

/// How a rusher changed hands: crossed with another and was handed over; handed over and crossed with nobody; crossed
/// with another, and his man stayed with him.
enum class ExchangeKind : std::int8_t { twist, pass_off, stayed };
/// Why a man looks for work.
enum class Looking : std::int8_t { uncovered, freed, back };
/// What he found: a rusher of his own, another man's rusher he helped on, nobody.
enum class Found : std::int8_t { rusher, help, no_one };
/// Where a defender stands at the snap.
enum class Spot : std::int8_t { line, box, slot, wide };
enum class FieldSide : std::int8_t { none = -1, wide, short_side };
/// Who picked up a blitzer from the slot: the tackle, and the guard took the next man inside; the tackle alone; a guard
/// or the centre; anybody else; nobody.
enum class Pickup : std::int8_t { none = -1, outside_in, tackle, inside, back, no_one };

inline constexpr std::array<std::string_view, 5> status_words{"ok", "thin", "collapsed", "outside", "missing"};
inline constexpr std::array<std::string_view, 2> side_words{"left", "right"};
inline constexpr std::array<std::string_view, 6> lane_words{"in", "A", "B", "C", "D", "rear"};
inline constexpr std::array<std::string_view, 13> technique_words{"0", "1", "2", "2i", "3",    "4",  "4i",
                                                                  "5", "6", "7", "9",  "wide", "off"};
inline constexpr std::array<std::string_view, 4> set_words{"jump", "kick-out", "45", "vertical"};
inline constexpr std::array<std::string_view, 6> outcome_words{"held", "beat", "driven", "free", "help", "uncovered"};
inline constexpr std::array<std::string_view, 4> beat_side_words{"outside", "inside", "left", "right"};
inline constexpr std::array<std::string_view, 4> alignment_words{"under", "pistol", "short gun", "gun"};
inline constexpr std::array<std::string_view, 2> snap_words{"clean", "bad"};
inline constexpr std::array<std::string_view, 3> stood_words{"whole", "moved", "short"};
inline constexpr std::array<std::string_view, 2> duty_words{"rusher", "protector"};
inline constexpr std::array<std::string_view, 5> line_words{"LT", "LG", "C", "RG", "RT"};
inline constexpr std::array<std::string_view, 3> exchange_words{"twist", "pass-off", "stayed"};
inline constexpr std::array<std::string_view, 3> looking_words{"uncovered", "freed", "back"};
inline constexpr std::array<std::string_view, 3> found_words{"rusher", "help", "nobody"};
inline constexpr std::array<std::string_view, 4> spot_words{"line", "box", "slot", "wide"};
inline constexpr std::array<std::string_view, 2> field_side_words{"wide", "short"};
inline constexpr std::array<std::string_view, 5> pickup_words{"outside in", "tackle", "inside", "back", "nobody"};

/// A word as a column stores it.
template <class Word>
constexpr std::int8_t code(Word word) noexcept {
  return static_cast<std::int8_t>(word);
}

/// -1 for the left, +1 for the right, 0 for none.
constexpr int sign(Side side) noexcept { return side == Side::none ? 0 : side == Side::left ? -1 : 1; }
constexpr Side side_of(double signed_value) noexcept { return signed_value < 0 ? Side::left : Side::right; }

/// The words a column of this kind can hold; empty when it holds none.
constexpr std::span<const std::string_view> words(Kind kind) noexcept {
  switch (kind) {
    case Kind::status: return status_words;
    case Kind::side: return side_words;
    case Kind::lane: return lane_words;
    case Kind::technique: return technique_words;
    case Kind::set: return set_words;
    case Kind::outcome: return outcome_words;
    case Kind::beat_side: return beat_side_words;
    case Kind::alignment: return alignment_words;
    case Kind::snap: return snap_words;
    case Kind::stood: return stood_words;
    case Kind::duty: return duty_words;
    case Kind::slot: return line_words;
    case Kind::exchange: return exchange_words;
    case Kind::looking: return looking_words;
    case Kind::found: return found_words;
    case Kind::spot: return spot_words;
    case Kind::field_side: return field_side_words;
    case Kind::pickup: return pickup_words;
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
struct Stored<Kind::label> {
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
using Value = typename Stored<kind>::type;
template <Kind kind>
using Values = std::vector<Value<kind>>;

/// What stands for a value that is missing: NaN, -1; no and 0 for flags and counts.
template <Kind kind>
constexpr Value<kind> missing_value() noexcept {
  if constexpr (kind == Kind::number) return std::numeric_limits<double>::quiet_NaN();
  return static_cast<Value<kind>>(kind == Kind::flag || kind == Kind::count ? 0 : -1);
}

struct ColumnInfo {
  std::string_view name;
  Kind kind;
  std::string_view unit;     ///< empty for names, words, flags, counts and ratios
  std::string_view missing;  ///< when the value is null or NaN; "never" when it cannot be
  std::string_view says;
};

/// The edition of this project's own definitions that figures are made by. 3: who has whom is found over the whole
/// play, and edges, blockers and reps use that one answer. 2: a rusher's blocker was the protector nearest to him in
/// each frame.
inline constexpr int definition = 3;

/// A column that files have only since a later schema version than the first (core/file/schema.hpp).
struct NewerColumn {
  std::string_view table, column;
  int since;
};
inline constexpr std::array newer_columns{NewerColumn{"reps", "came", 3},
                                          NewerColumn{"reps", "dropped", 3},
                                          NewerColumn{"reps", "exchanged", 4},
                                          NewerColumn{"reps", "help_side", 4},
                                          NewerColumn{"dropbacks", "snap", 4},
                                          NewerColumn{"dropbacks", "line", 4},
                                          NewerColumn{"dropbacks", "ball_across", 4},
                                          NewerColumn{"dropbacks", "wide_side", 4}};

/// A table that files have only since a later schema version.
struct NewerTable {
  std::string_view table;
  int since;
};
inline constexpr std::array newer_tables{NewerTable{"exchanges", 4}, NewerTable{"searches", 4}, NewerTable{"looks", 4}};

constexpr int since_version(std::string_view table) noexcept {
  for (const NewerTable& newer : newer_tables) {
    if (newer.table == table) return newer.since;
  }
  return 1;
}

constexpr int since_version(std::string_view table, std::string_view column) noexcept {
  for (const NewerColumn& newer : newer_columns) {
    if (newer.table == table && newer.column == column) return newer.since;
  }
  return since_version(table);
}

/// X(name, kind, unit, missing, what it is)
#define SHORTEDGE_FRAMES(X)                                                                                         \
  X(play, play, "", "never", "the play")                                                                            \
  X(time, number, "s", "never", "since the snap")                                                                   \
  X(status, status, "", "never",                                                                                    \
    "missing: no passer; outside: he left the pocket; thin: fewer than three men in the wall; collapsed: the wall " \
    "and the corners behind it no longer enclose him; else ok")                                                     \
  X(passer_depth, number, "yd", "status missing", "the passer behind the line of scrimmage")                        \
  X(pocket_width, number, "yd", "not ok",                                                                           \
    "between the wall's outermost men; it jumps when a man is detached, more than 3.5 yd outside the next one")     \
  X(wall_left, player, "", "not ok", "the man who sets the width on the left")                                      \
  X(wall_right, player, "", "not ok", "the man who sets the width on the right")                                    \
  X(pocket_depth, number, "yd", "not ok", "from the passer straight upfield to the wall: room to step up")          \
  X(pocket_area, number, "yd^2", "not ok", "wall and the two corners behind it")                                    \
  X(passer_room, number, "yd^2", "not ok", "the part of it nearer to the passer than to any rusher")                \
  X(nearest_rusher, number, "yd", "status missing", "distance of the nearest rusher; infinite with none")           \
  X(exposure_left, number, "", "not ok", "exposure of the left edge, 0 to 1")                                       \
  X(exposure_inside, number, "", "not ok", "greatest inside exposure of any rusher, 0 with none")                   \
  X(exposure_right, number, "", "not ok", "exposure of the right edge, 0 to 1")

#define SHORTEDGE_EDGES(X)                                                                                        \
  X(play, play, "", "never", "the play")                                                                          \
  X(time, number, "s", "never", "since the snap; ok frames only")                                                 \
  X(side, side, "", "never", "of the offence")                                                                    \
  X(edge_man, player, "", "never",                                                                                \
    "the man who sets this edge: who has the rusher, in the wall or not; else the wall's end")                    \
  X(rusher, player, "", "nobody attacks it",                                                                      \
    "the rusher the edge belongs to: outside his man, or free and outside the wall's end")                        \
  X(edge_width, number, "yd", "never", "from the passer out to the edge man, and his reach beyond")               \
  X(edge_given, number, "yd", "never",                                                                            \
    "how much narrower the edge is than the line stood from the ball at the first ok frame")                      \
  X(drift, number, "yd", "never", "the passer's own share of it: how far he moved to this side")                  \
  X(corner_held, number, "yd", "no rusher, or a free one",                                                        \
    "how much of his corner the man who has the rusher still holds, 0 to 2 reach")                                \
  X(short_edge, number, "yd", "a free rusher: nobody's corner is short",                                          \
    "how far outside that man's centre the rusher's straight line passes, 0 to reach; to be read only with "      \
    "exposure 0.2 or more")                                                                                       \
  X(outside_time, number, "s", "never", "least time of the outside way; infinite with no rusher")                 \
  X(exposure, number, "", "never", "1 - outside_time / horizon, not below 0; not a threat and not a probability") \
  X(engaged, flag, "", "never", "the rusher is within meet of his blocker")                                       \
  X(helpers, count, "", "never", "other offensive players within engage of the rusher")

#define SHORTEDGE_RUSHERS(X)                                                                                        \
  X(play, play, "", "never", "the play")                                                                            \
  X(time, number, "s", "never", "since the snap; no rows in missing frames")                                        \
  X(rusher, player, "", "never", "the rusher")                                                                      \
  X(distance, number, "yd", "never", "to the passer")                                                               \
  X(bearing, number, "deg", "never", "from the passer: 0 straight upfield, positive to the right")                  \
  X(closing, number, "yd/s", "velocity unknown, on the passer", "his speed toward the passer")                      \
  X(approach_angle, number, "deg", "velocity unknown or under 0.3 yd/s, on the passer",                             \
    "between his velocity and the line to the passer")                                                              \
  X(closest, number, "yd", "a velocity unknown, relative speed under 0.3 yd/s", "closest point of approach")        \
  X(closest_in, number, "s", "a velocity unknown, relative speed under 0.3 yd/s", "time to it; 0 when it is past")  \
  X(blocker, player, "", "free, or the man is absent then",                                                         \
    "the man who has him, found over the whole play: near or not, also after he was beaten")                        \
  X(blocker_range, number, "yd", "no blocker", "distance to him")                                                   \
  X(engaged, flag, "", "never", "within meet of him")                                                               \
  X(helpers, count, "", "never", "other offensive players within engage")                                           \
  X(cutoff_ratio, number, "", "no blocker",                                                                         \
    "least speed, as a share of the rusher's, with which the blocker still meets him on his straight line; at or "  \
    "above 1 the rusher is past him; infinite on the passer")                                                       \
  X(corner_held, number, "yd", "no blocker, or one with no side (centre)", "as in edges")                           \
  X(short_edge, number, "yd", "no blocker, or one with no side (centre)", "as in edges")                            \
  X(outside_time, number, "s", "the man absent, or of no side (centre)",                                            \
    "least time of the way round his outside, of a free rusher the wall's end's; infinite when it is gone")         \
  X(outside_bend, number, "deg", "as outside_time, or there is no such way", "how far that way turns")              \
  X(outside_exposure, number, "", "the man absent, or of no side (centre)", "1 - outside_time / horizon")           \
  X(inside_time, number, "s", "the man absent", "least time of the way round his inside; infinite when it is gone") \
  X(inside_exposure, number, "", "the man absent", "1 - inside_time / horizon")                                     \
  X(path_length, number, "yd", "never",                                                                             \
    "shortest way to the passer clear of every protector; infinite with none; jumps when a gap opens or closes")    \
  X(slack, number, "yd", "never", "path_length - distance")                                                         \
  X(lane, lane, "", "not ok", "where his straight line enters the pocket: in, gap A to D, rear")                    \
  X(lane_side, side, "", "not ok", "the side of that gap")

#define SHORTEDGE_REPS(X)                                                                                             \
  X(play, play, "", "never", "the play")                                                                              \
  X(protector, player, "", "free", "the man who had the rusher; in a help or uncovered row the man himself")          \
  X(rusher, player, "", "uncovered", "his rusher; in a help row the one he helped on longest")                        \
  X(start, number, "s", "never", "first frame he had him; of a free row the rusher's first, else the snap")           \
  X(end, number, "s", "never", "last frame he had him; of other rows the end of reps")                                \
  X(technique, technique, "", "no rusher, or not seen at the snap",                                                   \
    "the rusher's alignment: even head up, odd outside shade, i inside shade (7: of the tight end), wide, off")       \
  X(technique_side, side, "", "head up on the centre, off, or no technique", "the side of the offence he aligned on") \
  X(leverage, number, "yd", "no contact, a centre, or no lineman while the passer is absent",                         \
    "how far outside the protector the rusher is at first contact")                                                   \
  X(set_type, set, "", "no contact, or no guard or tackle",                                                           \
    "from snap to contact: jump under 1.5 yd back; else kick-out, out over 1.5 times back; 45, over half; vertical")  \
  X(set_depth, number, "yd", "no contact, or no guard or tackle", "how far back he went from snap to contact")        \
  X(set_angle, number, "deg", "no contact, or no guard or tackle", "0 straight back, 90 straight out")                \
  X(contact_time, number, "s", "no contact", "first frame within meet, from 0.3 s after the snap")                    \
  X(hips_time, number, "s", "never opened before contact",                                                            \
    "he runs back or out: over 3.3 yd/s, the fastest kick slide; read from coordinates, which see no hips")           \
  X(helped, flag, "", "never", "another man within meet of his rusher for 0.2 s on end after contact")                \
  X(island_seconds, number, "s", "never", "after contact, with no other offensive player within meet of his rusher")  \
  X(outcome, outcome, "", "never",                                                                                    \
    "held; beat; driven: pushed back 1.5 yd or more; free: a rusher nobody had; help; uncovered")                     \
  X(beat_side, beat_side, "", "not beaten", "on which side he was passed; of a man of no side left or right")         \
  X(beat_time, number, "s", "not beaten", "the rusher is past him and his straight line to the passer is clear")      \
  X(run_by, flag, "", "never", "held, and the rusher ran past behind the passer's depth")                             \
  X(pressure, flag, "", "never", "his rusher got to the passer: within 2 yd, or half a second from within 1 yd")      \
  X(pressure_time, number, "s", "no pressure", "when that began")                                                     \
  X(ball_out, flag, "", "never", "beaten, but the ball was out before any pressure of that rusher")                   \
  X(peak_cutoff_ratio, number, "", "never both present", "greatest to the spot, from the snap to contact")            \
  X(peak_cutoff_time, number, "s", "never both present", "when")                                                      \
  X(foot_speed, number, "yd/s", "velocity unknown", "the speed it asked of him: ratio times the rusher's speed")      \
  X(peak_outside, number, "", "a centre, or no frame", "greatest exposure round his outside")                         \
  X(peak_outside_time, number, "s", "a centre, or no frame", "when")                                                  \
  X(peak_inside, number, "", "no frame", "greatest exposure round his inside")                                        \
  X(peak_inside_time, number, "s", "no frame", "when")                                                                \
  X(short_edge_seconds, number, "s", "never",                                                                         \
    "time with exposure 0.2 or more and a short edge of 0.5 yd or more, up to an inside beat")                        \
  X(ground_given, number, "yd", "no contact", "most he was pushed toward the passer's place at the end of the rep")   \
  X(nearest_rusher_min, number, "yd", "never seen", "nearest any rusher came to the passer in that time")             \
  X(peak_film_time, number, "s", "no film time", "peak_outside_time on the film's clock")                             \
  X(contact_film_time, number, "s", "no film time", "contact_time on the film's clock")                               \
  X(beat_film_time, number, "s", "no film time", "beat_time on the film's clock")                                     \
  X(lane, lane, "", "not ok then", "the rusher's lane at contact, else at the end of the rep")                        \
  X(lane_side, side, "", "not ok then", "the side of that gap")                                                       \
  X(came, number, "s", "no rusher", "from when his rusher counts: 0, or when he came from off the line")              \
  X(dropped, number, "s", "he did not", "when his rusher dropped back out: the last time he counts")                  \
  X(help_side, side, "", "no help", "on which side of his rusher's line to the passer a helper stood")                \
  X(exchanged, flag, "", "never", "his rusher changed hands in this play, or crossed with another (exchanges)")       \
  X(corrected, flag, "", "never", "a correction was laid over this row")

#define SHORTEDGE_DROPBACKS(X)                                                                                        \
  X(play, play, "", "never", "the play")                                                                              \
  X(label, label, "", "none given", "the label of its snap")                                                          \
  X(passer, player, "", "never", "the passer")                                                                        \
  X(alignment, alignment, "", "not seen at the snap",                                                                 \
    "under: less than 2 yd deep at the snap; pistol: 3 to 4.5 with a back behind him; gun: 4.5 or more; short gun")   \
  X(drop_depth, number, "yd", "never seen", "greatest depth from the snap to the throw, else to the end of reps")     \
  X(top_time, number, "s", "no top", "when the drop tops")                                                            \
  X(hitch, number, "yd", "no top", "regained toward the line from the top to the throw, else to the end of reps")     \
  X(throw_time, number, "s", "no throw", "the throw")                                                                 \
  X(rushers, count, "", "never", "men who rushed")                                                                    \
  X(pressure, flag, "", "never", "any rusher got to the passer before the throw")                                     \
  X(pressure_time, number, "s", "no pressure", "when the first did")                                                  \
  X(push, number, "yd/s", "no two ok frames half a second apart", "greatest loss of pocket depth over half a second") \
  X(push_time, number, "s", "no push", "the start of that half second")                                               \
  X(push_man, player, "", "no push", "of the two men straight upfield of the passer the one who lost more ground")    \
  X(ball_across, number, "yd", "never", "where the ball lay from the middle of the field, to the offence's right")    \
  X(wide_side, side, "", "within 1 yd of the middle", "the offence's side with more field beside the ball")           \
  X(snap, snap, "", "never",                                                                                          \
    "bad: under centre and not 3 yd deep within 1.5 s, or 6 yd deeper than he stood within 2 s from the gun: such a " \
    "play says nothing of who blocked well; else clean")                                                              \
  X(line, stood, "", "never",                                                                                         \
    "short: fewer than five linemen at the snap, so somebody else may be charged; moved: one stands elsewhere than "  \
    "people lists him; else whole")

#define SHORTEDGE_EXCHANGES(X)                                                                                       \
  X(play, play, "", "never", "the play")                                                                             \
  X(time, number, "s", "never", "when the rusher changed hands; of one whose man stayed, when the two crossed")      \
  X(kind, exchange, "", "never",                                                                                     \
    "twist: crossed with another rusher and handed over; pass-off: handed over without; stayed: crossed, and his "   \
    "man stayed with him")                                                                                           \
  X(rusher, player, "", "never", "the rusher")                                                                       \
  X(from_man, player, "", "nobody before", "who had him")                                                            \
  X(to_man, player, "", "nobody took him", "who has him from then on")                                               \
  X(crossed_with, player, "", "a pass-off", "the other rusher of the twist")                                         \
  X(cross_time, number, "s", "a pass-off", "when the two crossed")                                                   \
  X(contact_time, number, "s", "no contact", "when the new man met him; of one whose man stayed, his first contact") \
  X(cutoff_ratio, number, "", "nobody took him, or one was absent",                                                  \
    "of the new man when the rusher changed hands: at or above 1 the rusher is past him")                            \
  X(late, flag, "", "never",                                                                                         \
    "handed over late: nobody took him, that ratio is 1 or more, or contact came more than 0.5 s after, or never")   \
  X(outcome, outcome, "", "never", "of the new man's rep; free: nobody took him")                                    \
  X(from_slot, slot, "", "no lineman", "where from_man plays")                                                       \
  X(to_slot, slot, "", "no lineman", "where to_man plays")                                                           \
  X(film_time, number, "s", "no film time", "`time` on the film's clock")

#define SHORTEDGE_SEARCHES(X)                                                                                     \
  X(play, play, "", "never", "the play")                                                                          \
  X(man, player, "", "never", "who looks for work")                                                               \
  X(slot, slot, "", "no lineman", "where he plays")                                                               \
  X(why, looking, "", "never",                                                                                    \
    "uncovered: no rusher was his at the snap; freed: his rusher was handed on, dropped out, or his help ended; " \
    "back: a back who protects")                                                                                  \
  X(start, number, "s", "never", "from when he looks: the snap, the end of help, or when he was freed")           \
  X(end, number, "s", "never", "first contact; of one who finds nobody the end of reps")                          \
  X(found, found, "", "never", "rusher: one of his own; help: another man's; nobody")                             \
  X(rusher, player, "", "nobody found", "the rusher he found")                                                    \
  X(helped, player, "", "no help", "the man whose rusher it was")                                                 \
  X(until, number, "s", "no help", "when that help ended")                                                        \
  X(side, side, "", "nobody found", "on which side of him the rusher was at contact, in the offence's eyes")      \
  X(distance, number, "yd", "absent at one of the two", "how far he went from start to end")                      \
  X(film_time, number, "s", "no film time", "`end` on the film's clock")

#define SHORTEDGE_LOOKS(X)                                                                                         \
  X(play, play, "", "never", "the play")                                                                           \
  X(defender, player, "", "never", "the defender")                                                                 \
  X(spot, spot, "", "never",                                                                                       \
    "at the snap: slot, over an inside receiver; line, within 2 yd of it and no farther out than 3 yd beyond the " \
    "line's ends; box, deeper and no farther out; else wide")                                                      \
  X(side, side, "", "never", "of the offence")                                                                     \
  X(across, number, "yd", "never", "from the ball to the offence's right")                                         \
  X(depth, number, "yd", "never", "beyond the line of scrimmage")                                                  \
  X(over, player, "", "nobody so near", "the offensive man across from him, within 1.5 yd across")                 \
  X(deep_over, flag, "", "never",                                                                                  \
    "a deep defender stood over him, within 1.5 yd across and 8 to 15 yd deep, so that he is free to come")        \
  X(deep_man, player, "", "no deep man", "that defender; of several the nearest across")                           \
  X(field_side, field_side, "", "ball within 1 yd of the middle",                                                  \
    "he stood on the wide side of the field or the short")                                                         \
  X(rushed, flag, "", "never", "he came")                                                                          \
  X(came, number, "s", "did not come", "from when he counts as a rusher: 0, or when he came from off the line")    \
  X(dropped, number, "s", "he did not", "he came and dropped back out: the last time he counts")                   \
  X(taken_by, player, "", "did not come, or nobody", "who had him first")                                          \
  X(pickup, pickup, "", "no man of the slot, or did not come",                                                     \
    "who picked up a blitzer from the slot: outside in, the tackle of that side took him and the guard the next "  \
    "rusher inside; tackle, the tackle took him; inside, a guard or the centre; back, any other; nobody")          \
  X(next_rusher, player, "", "no pickup, or nobody", "the rusher of that side next inside him at the snap")        \
  X(next_taken_by, player, "", "no pickup, or nobody", "who had that one first")

#define SHORTEDGE_DROPS(X)                                                                                             \
  X(play, play, "", "never", "the play")                                                                               \
  X(side, side, "", "never", "of the offence")                                                                         \
  X(edge_man, player, "", "no ok frame up to the top",                                                                 \
    "who sets this edge at the recorded top of the drop, without one at the end of reps")                              \
  X(rusher, player, "", "nobody attacks it then, or he has no rep",                                                    \
    "the rusher the edge belongs to then; where the two have no rep, the man of the edge man's first")                 \
  X(depth, number, "yd", "passer never seen", "how deep the passer tops; all others keep their tracks")                \
  X(taken, flag, "", "never", "the drop as it was taken")                                                              \
  X(top_time, number, "s", "never", "when he tops at his own drop speed, or would: reps may end before")               \
  X(until, number, "s", "no rusher",                                                                                   \
    "the figures go up to here: the recorded first contact of the two; without one to the beat, else the end of "      \
    "their rep")                                                                                                       \
  X(peak_cutoff_ratio, number, "", "no rusher, never both present",                                                    \
    "greatest cut-off ratio to the spot, where the drop tops")                                                         \
  X(peak_cutoff_time, number, "s", "no rusher, never both present", "when")                                            \
  X(outside_exposure, number, "", "no rusher, never his blocker, or a centre",                                         \
    "greatest exposure round the edge man's outside, to the passer where he is at the time")                           \
  X(outside_time, number, "s", "no rusher, never his blocker, or a centre", "the least time of that way")              \
  X(exposure_time, number, "s", "no rusher, never his blocker, or a centre",                                           \
    "when it is least, also where no exposure is; the next three are of that moment")                                  \
  X(outside_bend, number, "deg", "no rusher, never his blocker, or a centre", "how far that way turns")                \
  X(edge_width, number, "yd", "no rusher, never his blocker, or a centre", "as in edges, of this edge man")            \
  X(short_edge, number, "yd", "no rusher, never his blocker, or a centre", "as in edges")                              \
  X(spot_bend, number, "deg", "no rusher, never both present, or a centre",                                            \
    "how far the way round the edge man's outside would turn with the passer on the spot, from where the two are at "  \
    "the end of that time")                                                                                            \
  X(spot_short_edge, number, "yd", "no rusher, never both present, or a centre",                                       \
    "the short edge with the passer there")                                                                            \
  X(margin, number, "s", "no rusher, no contact, not both present then, or a centre",                                  \
    "how long after the throw the rusher would be at the spot: contact, and the least time of the way round the edge " \
    "man's outside to the spot from where the two met, less the top and the hold after it (as recorded; unknown: "     \
    "0.65 s). Below 0 he is there before the ball is out")

#define SHORTEDGE_SPEEDS(X)                                                                                      \
  X(player, player, "", "never", "the man")                                                                      \
  X(duty, duty, "", "never", "what he does here; a man with both has two rows")                                  \
  X(runs, count, "", "never", "free runs of a rusher, sets of a lineman that the figures are fitted to")         \
  X(top_speed, number, "yd/s", "never",                                                                          \
    "of the sprint that fits a rusher's runs, together with tau; else the default: 9.7, inside rushers 9.2, "    \
    "protectors 8.9")                                                                                            \
  X(top_speed_low, number, "yd/s", "the default", "95 % interval; with a default tau, given that tau")           \
  X(top_speed_high, number, "yd/s", "the default", "95 % interval; with a default tau, given that tau")          \
  X(top_speed_fitted, flag, "", "never", "no: too little data, and the default stands")                          \
  X(tau, number, "s", "never", "time constant of that sprint; else the default, 0.9")                            \
  X(tau_low, number, "s", "the default", "95 % interval")                                                        \
  X(tau_high, number, "s", "the default", "95 % interval")                                                       \
  X(tau_fitted, flag, "", "never", "no: too little data, and the default stands")                                \
  X(kick_speed, number, "yd/s", "a rusher", "speed of a lineman's sets once he is going; else the default, 2.2") \
  X(kick_speed_low, number, "yd/s", "a rusher, the default", "95 % interval")                                    \
  X(kick_speed_high, number, "yd/s", "a rusher, the default", "95 % interval")                                   \
  X(kick_speed_fitted, flag, "", "never", "no: a rusher, or too little data, and the default stands")

#define SHORTEDGE_MEMBER(name, kind, unit, missing, says) Values<Kind::kind> name;
#define SHORTEDGE_FIELD(name, kind, unit, missing, says) Value<Kind::kind> name = missing_value<Kind::kind>();
#define SHORTEDGE_PUSH(name, kind, unit, missing, says) name.push_back(row.name);
#define SHORTEDGE_PUSH_ALL(name, kind, unit, missing, says)                                         \
  (name).resize((name).size() + rows.size());                                                       \
  std::transform(rows.begin(), rows.end(), (name).end() - static_cast<std::ptrdiff_t>(rows.size()), \
                 [](const Row& row) { return row.name; });
#define SHORTEDGE_INFO(name, kind, unit, missing, says) ColumnInfo{#name, Kind::kind, unit, missing, says},
#define SHORTEDGE_VISIT(name, kind, unit, missing, says) \
  visit(ColumnInfo{#name, Kind::kind, unit, missing, says}, table.name);

/// One table: a vector a column, its title, its list of columns, Row and add(row), add(rows), which is quicker,
/// make_room(rows) for that many more to come without another allocation, and for_each(table, visit) calling
/// visit(info, vector) for every column in order.
#define SHORTEDGE_TABLE(Table, called, COLUMNS)                                                                 \
  struct Table {                                                                                                \
    COLUMNS(SHORTEDGE_MEMBER)                                                                                   \
    struct Row {                                                                                                \
      COLUMNS(SHORTEDGE_FIELD)                                                                                  \
    };                                                                                                          \
    void add(const Row& row) { COLUMNS(SHORTEDGE_PUSH) }                                                        \
    void add(std::span<const Row> rows) { COLUMNS(SHORTEDGE_PUSH_ALL) }                                         \
    static constexpr std::string_view title = called;                                                           \
    static constexpr auto columns = std::to_array<ColumnInfo>({COLUMNS(SHORTEDGE_INFO)});                       \
    template <class T, class Visit>                                                                             \
    static void for_each(T& table, Visit&& visit){COLUMNS(SHORTEDGE_VISIT)} std::size_t rows() const noexcept { \
      std::size_t rows = 0;                                                                                     \
      for_each(*this, [&](const ColumnInfo&, const auto& values) { rows = values.size(); });                    \
      return rows;                                                                                              \
    }                                                                                                           \
    void make_room(std::size_t more) {                                                                          \
      const std::size_t all = rows() + more;                                                                    \
      for_each(*this, [all](const ColumnInfo&, auto& values) {                                                  \
        if (all > values.capacity()) values.reserve(std::max(all, 2 * values.capacity()));                      \
      });                                                                                                       \
    }                                                                                                           \
  };

SHORTEDGE_TABLE(FramesTable, "frames", SHORTEDGE_FRAMES)
SHORTEDGE_TABLE(EdgesTable, "edges", SHORTEDGE_EDGES)
SHORTEDGE_TABLE(RushersTable, "rushers", SHORTEDGE_RUSHERS)
SHORTEDGE_TABLE(RepsTable, "reps", SHORTEDGE_REPS)
SHORTEDGE_TABLE(DropbacksTable, "dropbacks", SHORTEDGE_DROPBACKS)
SHORTEDGE_TABLE(ExchangesTable, "exchanges", SHORTEDGE_EXCHANGES)
SHORTEDGE_TABLE(SearchesTable, "searches", SHORTEDGE_SEARCHES)
SHORTEDGE_TABLE(LooksTable, "looks", SHORTEDGE_LOOKS)
SHORTEDGE_TABLE(DropsTable, "drops", SHORTEDGE_DROPS)
SHORTEDGE_TABLE(SpeedsTable, "speeds", SHORTEDGE_SPEEDS)

#undef SHORTEDGE_TABLE
#undef SHORTEDGE_VISIT
#undef SHORTEDGE_INFO
#undef SHORTEDGE_PUSH_ALL
#undef SHORTEDGE_PUSH
#undef SHORTEDGE_FIELD
#undef SHORTEDGE_MEMBER

}  // namespace shortedge
