#include "trace/journal.hpp"

#include <algorithm>
#include <bit>
#include <charconv>
#include <cmath>
#include <cstring>
#include <optional>

#include "base/error.hpp"
#include "geometry/point.hpp"

namespace shortedge {

namespace {

constexpr std::array<ActField, 9> mark_fields{{{"play", true, true},
                                               {"angle", true, true},
                                               {"time", false, true},
                                               {"x", false, true},
                                               {"y", false, true},
                                               {"mark", true, false},
                                               {"X", false, false},
                                               {"Y", false, false},
                                               {"followed", false, false}}};
constexpr std::array<ActField, 9> foot_fields{{{"play", true, true},
                                               {"angle", true, true},
                                               {"time", false, true},
                                               {"player", true, true},
                                               {"x", false, true},
                                               {"y", false, true},
                                               {"at", true, true},
                                               {"hidden", false, false},
                                               {"followed", false, false}}};
constexpr std::array<ActField, 5> ball_fields{
    {{"play", true, true}, {"angle", true, true}, {"time", false, true}, {"x", false, true}, {"y", false, true}}};
constexpr std::array<ActField, 4> event_fields{
    {{"play", true, true}, {"what", true, true}, {"angle", true, true}, {"time", false, true}}};
constexpr std::array<ActField, 4> man_fields{
    {{"player", true, true}, {"unit", true, true}, {"position", true, true}, {"play", true, false}}};
constexpr std::array<ActField, 7> snap_fields{{{"play", true, true},
                                               {"ball_x", false, true},
                                               {"ball_y", false, true},
                                               {"direction", false, true},
                                               {"snap_time", false, true},
                                               {"throw_time", false, false},
                                               {"end_time", false, false}}};
constexpr std::array<ActField, 4> accept_fields{
    {{"play", true, true}, {"angle", true, true}, {"time", false, true}, {"player", true, true}}};
constexpr std::array<ActField, 2> note_fields{{{"text", true, true}, {"play", true, false}}};
constexpr std::array<ActField, 5> film_fields{
    {{"play", true, true}, {"angle", true, true}, {"file", true, true}, {"sha256", true, true}, {"size", false, true}}};
constexpr std::array<ActField, 1> strike_fields{{{"act", false, true}}};

constexpr std::array<std::string_view, doings> words{"mark",   "foot", "ball", "event",  "man",  "snap",
                                                     "accept", "note", "film", "strike", "undo", "redo"};

/// What is wrong with a line; the caller adds its number.
struct Damage {
  std::string says;
};

/// One flat JSON object: strings, numbers, true, false and null.
class Reader {
 public:
  explicit Reader(std::string_view text) : at_(text.data()), end_(text.data() + text.size()) {}

  bool take(char wanted) {
    skip();
    if (at_ == end_ || *at_ != wanted) return false;
    ++at_;
    return true;
  }
  void want(char wanted) {
    if (!take(wanted)) throw Damage{std::string("no '") + wanted + "' where one is due"};
  }
  bool done() {
    skip();
    return at_ == end_;
  }
  bool at_text() {
    skip();
    return at_ != end_ && *at_ == '"';
  }

  /// A view of the line where nothing is escaped, else of `room`.
  std::string_view text(std::string& room) {
    want('"');
    const char* start = at_;
    while (at_ != end_ && *at_ != '"' && *at_ != '\\') ++at_;
    if (at_ != end_ && *at_ == '"') return {start, static_cast<std::size_t>(at_++ - start)};
    room.assign(start, at_);
    while (at_ != end_ && *at_ != '"') {
      if (*at_ == '\\') {
        ++at_;
        escaped(room);
      } else {
        room += *at_++;
      }
    }
    want('"');
    return room;
  }

  /// NaN for null; true and false as 1 and 0.
  double number() {
    skip();
    for (const auto& [word, value] :
         {std::pair<std::string_view, double>("null", nan), {"true", 1.0}, {"false", 0.0}}) {
      if (std::string_view(at_, static_cast<std::size_t>(end_ - at_)).starts_with(word)) {
        at_ += word.size();
        return value;
      }
    }
    double value = 0;
    const auto [next, error] = std::from_chars(at_, end_, value);
    if (error != std::errc() || !std::isfinite(value)) throw Damage{"no number where one is due"};
    at_ = next;
    return value;
  }

 private:
  void skip() {
    while (at_ != end_ && (*at_ == ' ' || *at_ == '\t')) ++at_;
  }
  std::uint32_t unit() {
    std::uint32_t value = 0;
    if (end_ - at_ < 4) throw Damage{"an escape is cut short"};
    const auto [next, error] = std::from_chars(at_, at_ + 4, value, 16);
    if (error != std::errc() || next != at_ + 4) throw Damage{"an escape is no character"};
    at_ += 4;
    return value;
  }
  void escaped(std::string& to) {
    if (at_ == end_) throw Damage{"an escape is cut short"};
    const char which = *at_++;
    constexpr std::string_view plain = "\"\\/bfnrt", meant = "\"\\/\b\f\n\r\t";
    if (which != 'u') {
      const std::size_t found = plain.find(which);
      if (found == std::string_view::npos) throw Damage{"an escape is no character"};
      to += meant[found];
      return;
    }
    std::uint32_t value = unit();
    if (value >= 0xd800 && value < 0xdc00) {
      if (end_ - at_ < 2 || at_[0] != '\\' || at_[1] != 'u') throw Damage{"half a surrogate pair"};
      at_ += 2;
      const std::uint32_t low = unit();
      if (low < 0xdc00 || low > 0xdfff) throw Damage{"half a surrogate pair"};
      value = 0x10000 + ((value - 0xd800) << 10) + (low - 0xdc00);
    } else if (value >= 0xdc00 && value < 0xe000) {
      throw Damage{"half a surrogate pair"};
    }
    const auto put = [&](std::uint32_t byte) { to += static_cast<char>(static_cast<unsigned char>(byte)); };
    if (value < 0x80) {
      put(value);
    } else if (value < 0x800) {
      put(0xc0 | value >> 6);
      put(0x80 | (value & 0x3f));
    } else if (value < 0x10000) {
      put(0xe0 | value >> 12);
      put(0x80 | (value >> 6 & 0x3f));
      put(0x80 | (value & 0x3f));
    } else {
      put(0xf0 | value >> 18);
      put(0x80 | (value >> 12 & 0x3f));
      put(0x80 | (value >> 6 & 0x3f));
      put(0x80 | (value & 0x3f));
    }
  }

  const char* at_;
  const char* end_;
};

constexpr std::string_view crc_start = ",\"crc\":\"", crc_end = "\"}";
constexpr std::size_t crc_digits = 8;

/// The line without its checksum, which is right; Damage else.
std::string_view checked(std::string_view line) {
  constexpr std::size_t tail = crc_start.size() + crc_digits + crc_end.size();
  if (line.size() < tail || !line.ends_with(crc_end) ||
      line.substr(line.size() - tail, crc_start.size()) != crc_start) {
    throw Damage{"no checksum ends it"};
  }
  const std::string_view digits = line.substr(line.size() - crc_end.size() - crc_digits, crc_digits);
  const std::string_view body = line.substr(0, line.size() - tail);
  const std::uint32_t sum = crc32(body);
  for (std::size_t i = 0; i < crc_digits; ++i) {
    if (digits[i] != "0123456789abcdef"[sum >> (28 - 4 * i) & 15]) throw Damage{"its checksum does not fit"};
  }
  return body;
}

/// What follows {"n":<number>, with which every line begins; Damage where the number is another.
std::string_view after_number(std::string_view body, std::size_t wanted) {
  constexpr std::string_view start = "{\"n\":";
  std::size_t found = 0;
  if (!body.starts_with(start)) throw Damage{"it does not begin with its number"};
  const auto [next, error] = std::from_chars(body.data() + start.size(), body.data() + body.size(), found);
  if (error != std::errc()) throw Damage{"it does not begin with its number"};
  if (found != wanted) throw Damage{"it says it is act " + std::to_string(found)};
  return body.substr(static_cast<std::size_t>(next - body.data()));
}

}  // namespace

std::string_view word_of(Doing doing) { return words[static_cast<std::size_t>(doing)]; }

std::span<const ActField> fields_of(Doing doing) {
  switch (doing) {
    case Doing::mark: return mark_fields;
    case Doing::foot: return foot_fields;
    case Doing::ball: return ball_fields;
    case Doing::event: return event_fields;
    case Doing::man: return man_fields;
    case Doing::snap: return snap_fields;
    case Doing::accept: return accept_fields;
    case Doing::note: return note_fields;
    case Doing::film: return film_fields;
    case Doing::strike: return strike_fields;
    case Doing::undo:
    case Doing::redo: break;
  }
  return {};
}

std::size_t Journal::read(std::string_view text) {
  std::size_t from = 0;
  for (std::size_t end = text.find('\n'); end != std::string_view::npos; end = text.find('\n', from)) {
    try {
      read_line(text.substr(from, end - from));
    } catch (const Damage& damage) {
      throw FileError((lines_ ? "act " + std::to_string(lines_) : "the header (act 0)") +
                      " is damaged: " + damage.says + "; accepted: a trace as it was written");
    }
    ++lines_;
    from = end + 1;
  }
  return from;
}

std::int32_t Journal::code(std::string_view text) {
  const auto found = codes_.find(text);
  if (found != codes_.end()) return found->second;
  const auto next = static_cast<std::int32_t>(texts_.size());
  texts_.emplace_back(text);
  codes_.emplace(texts_.back(), next);
  return next;
}

void Journal::read_line(std::string_view line) {
  const std::string_view rest = after_number(checked(line), lines_);
  if (lines_ == 0) {
    header_ = line;
    return;
  }
  Reader reader(rest);
  std::string room_of_key, room;
  reader.want(',');
  if (reader.text(room_of_key) != "do") throw Damage{"it does not say what was done"};
  reader.want(':');
  const auto known = std::find(words.begin(), words.end(), reader.text(room));
  if (known == words.end()) throw Damage{"it does what this version does not know"};
  Act act;
  act.doing = static_cast<Doing>(known - words.begin());
  act.texts.fill(-1);
  act.numbers.fill(nan);
  const std::span<const ActField> fields = fields_of(act.doing);
  while (reader.take(',')) {
    const std::string_view key = reader.text(room_of_key);
    reader.want(':');
    std::size_t text_slot = 0, number_slot = 0;
    const ActField* field = nullptr;
    for (const ActField& one : fields) {
      if (one.name == key) {
        field = &one;
        break;
      }
      ++(one.text ? text_slot : number_slot);
    }
    if (!field) throw Damage{"it has a field that is not known"};
    if (field->text && reader.at_text()) {
      const std::string_view said = reader.text(room);
      // Acts mostly say what the last one said.
      const std::int32_t last = acts_.empty() || acts_.back().doing != act.doing ? -1 : acts_.back().texts[text_slot];
      act.texts[text_slot] = last >= 0 && texts_[static_cast<std::size_t>(last)] == said ? last : code(said);
    } else {
      const double number = reader.number();
      if (field->text && !std::isnan(number)) throw Damage{"a number where a text is due"};
      if (!field->text) act.numbers[number_slot] = number;
    }
  }
  if (!reader.done()) throw Damage{"it goes on where it should end"};
  std::size_t text_slot = 0, number_slot = 0;
  for (const ActField& field : fields) {
    const bool there = field.text ? act.texts[text_slot] >= 0 : !std::isnan(act.numbers[number_slot]);
    ++(field.text ? text_slot : number_slot);
    if (field.required && !there) throw Damage{"it lacks " + std::string(field.name)};
  }

  const std::size_t at = acts_.size();
  if (act.doing == Doing::undo) {
    if (standing_.empty()) throw Damage{"it takes back an act where none is left"};
    set_standing(standing_.back(), false);
    taken_back_.push_back(standing_.back());
    standing_.pop_back();
  } else if (act.doing == Doing::redo) {
    if (taken_back_.empty()) throw Damage{"it gives back an act where none was taken back"};
    set_standing(taken_back_.back(), true);
    standing_.push_back(taken_back_.back());
    taken_back_.pop_back();
  } else {
    if (act.doing == Doing::strike) {
      const double struck = act.numbers[0];
      const bool whole = struck >= 1 && struck <= static_cast<double>(at) && std::floor(struck) == struck;
      if (!whole || !can_strike(static_cast<std::size_t>(struck)))
        throw Damage{"it strikes an act that does not stand"};
      acts_[static_cast<std::size_t>(struck) - 1].stands = false;
    }
    taken_back_.clear();
    standing_.push_back(at);
  }
  acts_.push_back(act);
}

bool Journal::can_strike(std::size_t number) const noexcept {
  if (number < 1 || number > acts_.size()) return false;
  const Act& act = acts_[number - 1];
  return act.stands && act.doing != Doing::strike && act.doing != Doing::undo && act.doing != Doing::redo;
}

void Journal::set_standing(std::size_t at, bool stands) {
  acts_[at].stands = stands;
  if (acts_[at].doing == Doing::strike) acts_[static_cast<std::size_t>(acts_[at].numbers[0]) - 1].stands = !stands;
}

std::uint32_t crc32(std::string_view bytes) noexcept {
  static const auto tables = [] {
    std::array<std::array<std::uint32_t, 256>, 8> made{};
    for (std::uint32_t i = 0; i < 256; ++i) {
      std::uint32_t value = i;
      for (int bit = 0; bit < 8; ++bit) value = value & 1 ? 0xedb88320u ^ value >> 1 : value >> 1;
      made[0][i] = value;
    }
    for (std::size_t k = 1; k < made.size(); ++k) {
      for (std::size_t i = 0; i < 256; ++i) made[k][i] = made[0][made[k - 1][i] & 255] ^ made[k - 1][i] >> 8;
    }
    return made;
  }();
  std::uint32_t sum = 0xffffffffu;
  const char* at = bytes.data();
  std::size_t left = bytes.size();
  if constexpr (std::endian::native == std::endian::little) {
    for (; left >= 8; left -= 8, at += 8) {
      std::uint32_t low, high;
      std::memcpy(&low, at, 4);
      std::memcpy(&high, at + 4, 4);
      low ^= sum;
      sum = tables[7][low & 255] ^ tables[6][low >> 8 & 255] ^ tables[5][low >> 16 & 255] ^ tables[4][low >> 24] ^
            tables[3][high & 255] ^ tables[2][high >> 8 & 255] ^ tables[1][high >> 16 & 255] ^ tables[0][high >> 24];
    }
  }
  for (; left > 0; --left, ++at) sum = tables[0][(sum ^ static_cast<unsigned char>(*at)) & 255] ^ sum >> 8;
  return sum ^ 0xffffffffu;
}

}  // namespace shortedge
