#include "rush/closest.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;

namespace {

/// East and north, from a course or bearing (degrees clockwise from north) and a length.
Point nautical(double course, double length) {
  return length * Point(std::sin(radians(course)), std::cos(radians(course)));
}

double course_of(const Point& a) {
  const double course = degrees(std::atan2(a.x(), a.y()));
  return course < 0 ? course + 360 : course;
}

/// A plotted pair: own course and speed (kn), and two bearings and ranges (nm) six minutes apart.
struct Plot {
  double course, speed, bearing1, range1, bearing2, range2;
};
struct Answer {
  double relative_course, relative_speed, cpa, tcpa, course, speed;  // tcpa in min after the second
};

void check_plot(const Plot& plot, const Answer& answer) {
  const Point first = nautical(plot.bearing1, plot.range1), second = nautical(plot.bearing2, plot.range2);
  const Point relative = (second - first) / 0.1;
  const Closest closest = closest_approach(second, relative);
  CHECK(std::abs(course_of(relative) - answer.relative_course) <= 0.0051);
  CHECK(std::abs(relative.norm() - answer.relative_speed) <= 5.1e-4);
  CHECK(std::abs(closest.distance - answer.cpa) <= 5.1e-5);
  CHECK(std::abs(closest.in * 60 - answer.tcpa) <= 5.1e-4);
  const Point target = relative + nautical(plot.course, plot.speed);
  CHECK(std::abs(course_of(target) - answer.course) <= 0.0051);
  CHECK(std::abs(target.norm() - answer.speed) <= 5.1e-4);
}

}  // namespace

TEST_CASE("plots of teaching pages") {
  // The plots' inputs are read, the answers computed exactly; the first page publishes 174 degrees and 0.75 nm in six
  // minutes for its target.
  check_plot({0, 10, 358, 2.5, 359, 0.77},
             {177.55, 17.302, 0.0194, 2.669, 174.22, 7.323});                            // coast guard auxiliary slides
  check_plot({0, 20, 33, 10, 31, 8}, {220.93, 20.242, 1.3793, 23.358, 289.54, 14.071});  // manual plotting lesson
  check_plot({0, 20, 45, 11.5, 43, 9}, {232.15, 25.251, 1.4305, 21.113, 282.73, 20.440});  // teaching slides
  check_plot({180, 6, 195, 5, 200, 4}, {356.05, 10.734, 1.6239, 20.433, 351.07, 4.766});   // exercise 7:1
}

TEST_CASE("the closest point lies on the plotted bearing") {
  const Point second = nautical(31, 8), relative = (second - nautical(33, 10)) / 0.1;
  const Closest closest = closest_approach(second, relative);
  CHECK(std::abs(course_of(second + closest.in * relative) - 310.93) <= 0.0051);
}

TEST_CASE("a sail-training example") {
  // 3 nm of relative motion in 12 min and 1.3 nm to go: published 5.2 min. The distance off is free.
  const Closest closest = closest_approach({1.3, 0.4}, {-15, 0});
  CHECK(closest.in * 60 == Approx(5.2).epsilon(1e-14));
  CHECK(closest.distance == Approx(0.4).epsilon(1e-14));
}

TEST_CASE("IMO resolution A.823(19), scenarios 1 to 4") {
  // Inputs read, answers computed. Own ship steers 000; ranges in nm, speeds in kn.
  const auto scenario = [](double range, double bearing, double relative_course, double relative_speed, double own,
                           const Answer& answer) {
    const Point relative = nautical(relative_course, relative_speed);
    const Closest closest = closest_approach(nautical(bearing, range), relative);
    CHECK(std::abs(closest.distance - answer.cpa) < 1e-12);
    CHECK(std::abs(closest.in * 60 - answer.tcpa) < 1e-9);
    const Point target = relative + nautical(0, own);
    CHECK(std::abs(course_of(target) - answer.course) <= 0.0051);
    CHECK(std::abs(target.norm() - answer.speed) <= 5.1e-4);
  };
  scenario(8, 0, 180, 20, 10, {180, 20, 0, 24, 180, 10});
  scenario(1, 0, 90, 10, 10, {90, 10, 1, 0, 45, 14.142});
  scenario(8, 45, 225, 20, 5, {225, 20, 0, 24, 237.12, 16.840});
  scenario(8, 45, 225, 20, 25, {225, 20, 0, 24, 307.52, 17.830});
}

TEST_CASE("unit cases of a public repository's tests") {
  const Closest head_on = closest_approach({0, 10}, nautical(180, 10) - nautical(0, 10));
  CHECK(head_on.distance < 1e-12);
  CHECK(head_on.in == Approx(0.5));
  const Closest crossing = closest_approach({10, -10}, nautical(0, 10) - nautical(90, 10));
  CHECK(crossing.distance < 1e-12);
  CHECK(crossing.in == Approx(1));
  // Side by side at one velocity there is no time of it; this library then gives no distance either.
  CHECK(std::isnan(closest_approach({3, 0}, {0, 0}).in));
  CHECK(std::isnan(closest_approach({3, 0}, {0, 0}).distance));
}

TEST_CASE("past, slow and unknown") {
  CHECK(closest_approach({3, 4}, {1, 1}).distance == 5);
  CHECK(closest_approach({3, 4}, {1, 1}).in == 0);
  CHECK(closest_approach({3, 4}, {-0.3, 0}).in == Approx(10));
  CHECK(std::isnan(closest_approach({3, 4}, {-0.299, 0}).in));
  CHECK(std::isnan(closest_approach({3, 4}, absent()).distance));
  CHECK(std::isnan(closest_approach({3, 4}, absent()).in));
}

TEST_CASE("no moment is closer") {
  scenes::Random random(61);
  for (int i = 0; i < 2000; ++i) {
    const Point apart = random.point(10), velocity = random.point(8);
    if (velocity.norm() < 0.3) continue;
    const Closest closest = closest_approach(apart, velocity);
    CHECK((apart + closest.in * velocity).norm() == Approx(closest.distance).epsilon(1e-9));
    for (const double step : {-1e-3, 1e-3, 0.5}) {
      const double moment = std::max(0.0, closest.in + step);
      CHECK((apart + moment * velocity).norm() >= closest.distance - 1e-12);
    }
  }
}
