#pragma once
/// The text of a trace file, act by act: what was clicked, said and taken back. Knows no files; lines come as text.
///
/// A trace is lines of JSON. Line 0 is the header, line k the act k; each ends in its checksum,
///   {"n":12,"do":"foot","play":"31","angle":"end zone","time":1.2,"player":"d9","x":612.5,"y":402,"crc":"0a1b2c3d"}
/// the CRC-32 (ISO 3309, as zlib's) of the line before `,"crc"`. Fields of an act, flat, in any order:
/// - mark: play, angle, time, x, y; mark, or X and Y; optional followed (1: found by following the picture, accepted)
/// - foot: play, angle, time, player, x, y, at; optional hidden (1), followed (1: as above)
/// - ball: play, angle, time, x, y
/// - event: play, what, angle, time
/// - man: player, unit, position; optional play
/// - snap: play, ball_x, ball_y, direction, snap_time; optional throw_time, end_time
/// - accept: play, angle, time, player (a click that was doubted and is right)
/// - note: text; optional play
/// - film: play, angle, file, sha256, size (bytes): the file this play's film of that angle is in, where it has its own
/// - strike: act: the act of that number stands no more (a click that was put right); an undo of the strike lets it
/// stand
/// - undo, redo: take back the last act that stands, and give back the last that was taken back; any other act in
///   between leaves nothing to give back.
/// Adding lines never changes those before: a file cut anywhere loses at most its last act.

#include <array>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace shortedge {

enum class Doing : std::int8_t { mark, foot, ball, event, man, snap, accept, note, film, strike, undo, redo };
inline constexpr std::size_t doings = 12;

/// A field of a kind of act: a text becomes a code into Journal::texts(), -1 for none; a number NaN for none.
struct ActField {
  std::string_view name;
  bool text, required;
};
/// The kind's word and its fields, in order.
std::string_view word_of(Doing doing);
std::span<const ActField> fields_of(Doing doing);

struct Act {
  static constexpr std::size_t most_numbers = 6, most_texts = 4;
  Doing doing;
  bool stands = true;
  std::array<std::int32_t, most_texts> texts;  ///< in the order of fields_of
  std::array<double, most_numbers> numbers;
};

class Journal {
 public:
  /// Reads whole lines on top of what is there (the header first) and returns how many bytes of `text` they are: what
  /// follows the last newline is no line. Throws FileError, naming the act by its number, for a line that is damaged,
  /// out of turn, or no act; those before it are kept.
  std::size_t read(std::string_view text);

  /// Lines read, the header too: the number of the next act.
  std::size_t lines() const noexcept { return lines_; }
  const std::string& header() const noexcept { return header_; }   ///< line 0, with its checksum; empty before it
  const std::vector<Act>& acts() const noexcept { return acts_; }  ///< act k at k - 1
  const std::vector<std::string>& texts() const noexcept { return texts_; }
  bool can_undo() const noexcept { return !standing_.empty(); }
  bool can_redo() const noexcept { return !taken_back_.empty(); }
  /// The number of the act an undo takes back, a redo gives back; 0 for none.
  std::size_t next_undone() const noexcept { return standing_.empty() ? 0 : standing_.back() + 1; }
  std::size_t next_redone() const noexcept { return taken_back_.empty() ? 0 : taken_back_.back() + 1; }
  /// Whether the act of that number stands and may be struck: not an undo, a redo or a strike.
  bool can_strike(std::size_t number) const noexcept;

 private:
  void read_line(std::string_view line);
  std::int32_t code(std::string_view text);
  void set_standing(std::size_t at, bool stands);  // undo and redo, of strikes the other way round

  struct Hash {
    using is_transparent = void;
    std::size_t operator()(std::string_view text) const noexcept { return std::hash<std::string_view>()(text); }
  };
  std::size_t lines_ = 0;
  std::string header_;
  std::vector<Act> acts_;
  std::vector<std::string> texts_;
  std::unordered_map<std::string, std::int32_t, Hash, std::equal_to<>> codes_;
  std::vector<std::size_t> standing_, taken_back_;  // indices of acts that can be undone and redone, the next one last
};

/// CRC-32 with the polynomial 0x04C11DB7 reflected (ISO 3309; zlib's crc32), eight bytes at a time (Intel's slicing by
/// 8, Kounavis and Berry 2005).
std::uint32_t crc32(std::string_view bytes) noexcept;

}  // namespace shortedge
