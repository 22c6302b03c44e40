#include "base/units.hpp"

#include <doctest/doctest.h>

using namespace shortedge;
using doctest::Approx;

TEST_CASE("the field is the rule book's") {
  // Pro rule 1, reprint (read): 360 ft by 160 ft, goal lines 10 yd from the end lines. 57,600 sq ft = 6,400 sq yd is
  // a general page's figure (read). The metric figures follow from 1 yd = 0.9144 m exactly (1959).
  CHECK(field_length * feet_per_yard == 360);
  CHECK(field_width * feet_per_yard == Approx(160).epsilon(1e-15));
  CHECK(field_length * field_width == Approx(6400).epsilon(1e-15));
  CHECK(field_length * feet_per_yard * field_width * feet_per_yard == Approx(57600).epsilon(1e-15));
  CHECK((field_length - 2 * 10) * metres_per_yard == Approx(91.44).epsilon(1e-15));
  CHECK(field_width * metres_per_yard == Approx(48.768).epsilon(1e-15));
  CHECK(10 * metres_per_yard == Approx(9.144).epsilon(1e-15));
}

TEST_CASE("hash marks divide the width as the codes say") {
  const double feet = field_width * feet_per_yard;
  // Pro: side zones of 70 ft 9 in (rule text, reprint, read); between the hashes 18 ft 6 in, the goal's width.
  CHECK(feet - 2 * (70 + 9.0 / 12) == Approx(18.5));
  CHECK((70 + 9.0 / 12) / feet_per_yard * metres_per_yard == Approx(21.5646));
  // College: 60 ft from the sideline, 40 ft between (encyclopaedia, read). High school: 53 ft 4 in, thirds (same).
  CHECK(feet - 2 * 60 == Approx(40));
  CHECK(3 * (53 + 4.0 / 12) == Approx(feet));
  CHECK((53 + 4.0 / 12) / feet_per_yard * metres_per_yard == Approx(16.256));
}

TEST_CASE("degrees and radians") {
  CHECK(degrees(pi) == Approx(180).epsilon(1e-15));
  CHECK(radians(90) == Approx(pi / 2).epsilon(1e-15));
  CHECK(degrees(radians(33.3)) == Approx(33.3).epsilon(1e-15));
}
