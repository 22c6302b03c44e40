#include "camera/marks.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <set>

using namespace shortedge;
using doctest::Approx;

TEST_CASE("hash rows as the three codes have them") {
  // Pro Rule 1: 70 ft 9 in from the sidelines, 18 ft 6 in (the goal's width) between; college: 60 ft and 40 ft; high
  // school: 53 ft 4 in, thirds of the field exactly.
  CHECK(hash_row(FieldKind::pro) * 3 * 12 == Approx(70 * 12 + 9));
  CHECK((field_width - 2 * hash_row(FieldKind::pro)) * 3 * 12 == Approx(18 * 12 + 6));
  CHECK(hash_row(FieldKind::college) * 3 == Approx(60));
  CHECK((field_width - 2 * hash_row(FieldKind::college)) * 3 == Approx(40));
  CHECK(hash_row(FieldKind::school) * 3 == Approx(field_width));
}

TEST_CASE("marks by name") {
  for (const FieldKind kind : {FieldKind::pro, FieldKind::college, FieldKind::school}) {
    std::set<std::string> names;
    for (const Mark& mark : field_marks(kind)) {
      CHECK(names.insert(mark.name).second);
      CHECK(find_mark(kind, mark.name) == &mark);
      CHECK(mark.place.x() >= 0);
      CHECK(mark.place.x() <= 120);
      CHECK(mark.place.y() >= 0);
      CHECK(mark.place.y() <= field_width);
      CHECK((mark.error > 0) == (mark.name.find("number") != std::string::npos));
    }
    // 21 yard lines from goal line to goal line with four crossings, two end lines with two; 80 ticks at two rows with
    // two ends; 9 numbered lines with eight corners.
    CHECK(names.size() == 21 * 4 + 2 * 2 + 80 * 2 * 2 + 9 * 8);
  }
  const auto place = [](const char* name) { return find_mark(FieldKind::college, name)->place; };
  CHECK(place("left goal, lower side") == Point(10, 0));
  CHECK(place("right end, upper side") == Point(120, field_width));
  CHECK(place("50, upper hash").isApprox(Point(60, field_width - 20)));
  CHECK(place("right 35, lower hash").isApprox(Point(75, 20)));
  // NCAA Rule 1-2-1: ticks are 24 in long; numbers 6 ft high, their tops 9 yd from the sideline.
  CHECK(distance(place("left 23, lower hash"), place("left 23, lower hash outer")) * 36 == Approx(24));
  CHECK(place("left 30, lower number, inner left").y() == Approx(9));
  CHECK(distance(place("left 30, lower number, inner left"), place("left 30, lower number, outer left")) * 3 ==
        Approx(6));
  CHECK(find_mark(FieldKind::pro, "left 55, lower hash") == nullptr);
  CHECK(find_mark(FieldKind::pro, "") == nullptr);
}

TEST_CASE("marks near a place, nearest first") {
  const auto near = marks_near(FieldKind::pro, Point(30.2, 0.1), 6, 3);
  REQUIRE(near.size() == 3);
  CHECK(near[0]->name == "left 20, lower side");
  CHECK(near[1]->name == "left 25, lower side");
  CHECK(near[2]->name == "left 15, lower side");
  CHECK(marks_near(FieldKind::pro, Point(5, 10), 1, 9).empty());
}

TEST_CASE("the same mark on another kind of field") {
  for (const FieldKind from : {FieldKind::pro, FieldKind::college, FieldKind::school}) {
    for (const FieldKind to : {FieldKind::pro, FieldKind::college, FieldKind::school}) {
      for (const Mark& mark : field_marks(from)) {
        CHECK(distance(moved_to(from, to, mark.place), find_mark(to, mark.name)->place) < 1e-9);
      }
    }
  }
}
