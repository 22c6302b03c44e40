#include "camera/marks.hpp"

#include <algorithm>
#include <array>
#include <unordered_map>

namespace shortedge {

namespace {

constexpr double foot = 1.0 / 3;  // yd
constexpr double number_top = 9, number_height = 6 * foot, digit_width = 4 * foot, digit_off = foot;

std::string line_name(int x) {
  const std::string side = x < 60 ? "left " : "right ";
  const int yards = x < 60 ? x - 10 : 110 - x;
  if (yards == 50) return "50";
  return side + (yards < 0 ? "end" : yards == 0 ? "goal" : std::to_string(yards));
}

std::vector<Mark> painted(FieldKind kind) {
  const double hash = hash_row(kind);
  struct Row {
    const char* name;
    double y;
  };
  const std::array<Row, 4> rows{
      {{"lower side", 0}, {"lower hash", hash}, {"upper hash", field_width - hash}, {"upper side", field_width}}};
  std::vector<Mark> marks;
  for (int x = 0; x <= 120; ++x) {
    const bool line = x % 5 == 0 && x != 5 && x != 115, tick = x > 10 && x < 110 && !line;
    const bool end = x == 0 || x == 120;
    for (const Row& row : rows) {
      const bool is_hash = row.y > 0 && row.y < field_width;
      if (line && !(end && is_hash)) marks.push_back({line_name(x) + ", " + row.name, Point(x, row.y)});
      if (tick && is_hash) {
        const double outer = row.y < field_width / 2 ? row.y - tick_length : row.y + tick_length;
        marks.push_back({line_name(x) + ", " + row.name, Point(x, row.y)});
        marks.push_back({line_name(x) + ", " + row.name + " outer", Point(x, outer)});
      }
    }
    if (x < 20 || x > 100 || x % 10 != 0) continue;
    for (const bool lower : {true, false}) {
      for (const bool top : {true, false}) {
        const double off = top ? number_top : number_top - number_height;
        for (const bool left : {true, false}) {
          const double along = x + (left ? -1 : 1) * (digit_off + digit_width);
          marks.push_back({line_name(x) + (lower ? ", lower number, " : ", upper number, ") +
                               (top ? "inner " : "outer ") + (left ? "left" : "right"),
                           Point(along, lower ? off : field_width - off), number_error});
        }
      }
    }
  }
  return marks;
}

struct Painted {
  std::vector<Mark> marks;
  std::unordered_map<std::string_view, const Mark*> named;
  explicit Painted(FieldKind kind) : marks(painted(kind)) {
    for (const Mark& mark : marks) named.emplace(mark.name, &mark);
  }
};

const Painted& painted_once(FieldKind kind) {
  static const Painted pro(FieldKind::pro), college(FieldKind::college), school(FieldKind::school);
  return kind == FieldKind::pro ? pro : kind == FieldKind::college ? college : school;
}

}  // namespace

double hash_row(FieldKind kind) noexcept {
  constexpr double inch = foot / 12;
  switch (kind) {
    case FieldKind::pro: return 70 * foot + 9 * inch;
    case FieldKind::college: return 60 * foot;
    case FieldKind::school: break;
  }
  return 53 * foot + 4 * inch;
}

const std::vector<Mark>& field_marks(FieldKind kind) { return painted_once(kind).marks; }

const Mark* find_mark(FieldKind kind, std::string_view name) {
  const auto& named = painted_once(kind).named;
  const auto found = named.find(name);
  return found == named.end() ? nullptr : found->second;
}

std::vector<const Mark*> marks_near(FieldKind kind, const Point& place, double reach, std::size_t most) {
  std::vector<const Mark*> near;
  for (const Mark& mark : field_marks(kind)) {
    if (within(mark.place, place, reach)) near.push_back(&mark);
  }
  std::stable_sort(near.begin(), near.end(), [&](const Mark* a, const Mark* b) {
    return (a->place - place).squaredNorm() < (b->place - place).squaredNorm();
  });
  if (near.size() > most) near.resize(most);
  return near;
}

Point moved_to(FieldKind kind, FieldKind other, const Point& place) {
  constexpr double same = 1e-6;
  const double from = hash_row(kind), to = hash_row(other);
  for (const double off : {0.0, tick_length}) {
    if (std::abs(place.y() - (from - off)) < same) return {place.x(), to - off};
    if (std::abs(place.y() - (field_width - from + off)) < same) return {place.x(), field_width - to + off};
  }
  return place;
}

}  // namespace shortedge
