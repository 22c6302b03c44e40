#include "camera/camera.hpp"

#include <doctest/doctest.h>

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <cmath>

#include "camera/ground.hpp"
#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;
using scenes::Random;

namespace {

Camera some_camera(Random& random) {
  View view;
  view.place = Place(random.number(-30, 150), random.number(-60, -5), random.number(6, 40));
  view.k1 = random.number(-0.05, 0.05);
  view.crown = random.number(0, 0.56);
  const Place toward = Place(random.number(30, 90), random.number(10, 45), 0) - view.place;
  return {{1280, 720},
          view,
          {std::atan2(toward.y(), toward.x()), std::atan2(-toward.z(), toward.head<2>().norm()),
           std::log(random.number(900, 4000)), random.number(-0.05, 0.05)}};
}

}  // namespace

TEST_CASE("a camera's picture by hand") {
  // 10 yd up, looking level along +x from the near sideline, f 1000: a point 20 yd ahead, 2 yd to the left (+y) and on
  // the ground lies 1000 * 2/20 = 100 px left and 1000 * 10/20 = 500 px below the middle.
  const Camera camera({1280, 720}, {Place(0, 0, 10), 0, 0}, {0, 0, std::log(1000.0), 0});
  const Point seen = *camera.project(Place(20, 2, 0));
  CHECK(seen.x() == Approx(640 - 100));
  CHECK(seen.y() == Approx(360 + 500));
  // Leaning to its right, the picture turns to the left: what is right of the middle goes up.
  const Camera rolled({1280, 720}, {Place(0, 0, 10), 0, 0}, {0, 0, std::log(1000.0), pi / 2});
  const Point right = *rolled.project(Place(20, -2, 10));
  CHECK(right.x() == Approx(640));
  CHECK(right.y() == Approx(360 - 100));
  CHECK(!camera.project(Place(-1, 0, 0)));
  CHECK(!camera.ground(Point(640, 100)));  // the sky
}

TEST_CASE("crown: the middle of the field stands above its sidelines") {
  CHECK(ground_height(0.5, field_width / 2) == Approx(0.5));
  CHECK(ground_height(0.5, 0) == 0);
  CHECK(std::abs(ground_height(0.5, field_width)) < 1e-15);
  // 1 in 48 (high-school guidance): the mean slope of half the field is crown / (width / 2).
  CHECK(field_width / 2 / 48 == Approx(0.5556).epsilon(1e-3));
}

TEST_CASE("ground() undoes project()") {
  Random random(11);
  int found = 0;
  for (int i = 0; i < 2000; ++i) {
    const Camera camera = some_camera(random);
    const Point at(random.number(0, 120), random.number(0, field_width));
    const double height = random.number(0, 1) < 0.5 ? 0 : random.number(0, 1.2);
    if (!camera.sees(Place(at.x(), at.y(), ground_height(camera.view().crown, at.y()) + height))) continue;
    const auto back = camera.ground(*camera.project_ground(at, height), height);
    REQUIRE(back);
    CHECK(distance(*back, at) < 1e-8);
    ++found;
  }
  CHECK(found > 200);
}

TEST_CASE("a negative k1 folds far points back: they are not seen") {
  const Camera camera({1280, 720}, {Place(0, 0, 10), -0.05, 0}, {0, 0, std::log(300.0), 0});
  // The fold: 1 + 3 k1 r^2 = 0 at r = 2.58 half diagonals, 1896 px; at f = 300 that is 6.3 times the depth off the
  // axis.
  const Place far(5, -5 * 10, 10);  // 10 times
  const Point folded = *camera.project(far);
  CHECK(folded.x() > 0);
  CHECK(folded.x() < 1280);  // it would lie in the picture
  CHECK(!camera.sees(far));
  CHECK(camera.sees(Place(5, -5, 10)));
  // The greatest distorted radius is 2/3 of the fold's.
  CHECK(!camera.ground(Point(640 + 1300, 360)));
}

TEST_CASE("a pixel beyond the fold sees no ground") {
  // r (1 + k1 r^2) is greatest at r^2 = -1 / (3 k1), where it is 2/3 r: no place is seen farther out.
  const double k1 = -0.3, farthest = 2.0 / 3 * std::sqrt(-1 / (3 * k1));
  const Camera camera({1280, 720}, {Place(10, -20, 20), k1, 0}, {pi / 2, 0.6, std::log(900.0), 0});
  const PictureSize picture{1280, 720};
  for (const double share : {0.5, 0.9, 0.99, 1.01, 1.2, 1.45}) {
    const Point pixel = picture.middle() + Point(0.6, 0.8) * (share * farthest * picture.half_diagonal());
    const auto ground = camera.ground(pixel);
    CHECK(ground.has_value() == (share < 1));
    if (ground) CHECK((*camera.project_ground(*ground) - pixel).norm() < 1e-6);
  }
}

TEST_CASE("slopes are the finite differences of project()") {
  Random random(12);
  for (int i = 0; i < 100; ++i) {
    const Camera camera = some_camera(random);
    const Point at(random.number(20, 100), random.number(5, 50));
    const double height = random.number(0, 1);
    const auto slopes = camera.slopes(at, height);
    if (!slopes) continue;
    CHECK(distance(slopes->pixel, *camera.project_ground(at, height)) < 1e-9);
    const auto moved = [&](Eigen::Index which, double by) {
      View view = camera.view();
      Pose pose = camera.pose();
      double* all[] = {&view.place.x(), &view.place.y(), &view.place.z(), &view.k1,  &view.crown,
                       &pose.pan,       &pose.tilt,      &pose.log_f,     &pose.roll};
      *all[which] += by;
      return *Camera(camera.picture(), view, pose).project_ground(at, height);
    };
    constexpr double h = 1e-6;
    const auto agree = [](const Point& slope, const Point& difference) {
      CHECK((slope - difference).norm() <= 1e-5 * (1 + slope.norm()));
    };
    for (Eigen::Index which = 0; which < Camera::parameters; ++which) {
      agree(slopes->by_camera.col(which), (moved(which, h) - moved(which, -h)) / (2 * h));
    }
    const auto ground = [&](const Point& off, double up) { return *camera.project_ground(at + off, height + up); };
    agree(slopes->by_ground.col(0), (ground({h, 0}, 0) - ground({-h, 0}, 0)) / (2 * h));
    agree(slopes->by_ground.col(1), (ground({0, h}, 0) - ground({0, -h}, 0)) / (2 * h));
    agree(slopes->by_height, (ground({0, 0}, h) - ground({0, 0}, -h)) / (2 * h));
  }
}

TEST_CASE("a sighting's covariance is the spread of many sightings") {
  Random random(13);
  std::normal_distribution<double> normal;
  const Camera camera({1280, 720}, {Place(60, -30, 15), 0.02, 0.3}, {pi / 2, 0.28, std::log(1500.0), 0.01});
  const Point at(58, 25);
  CameraCovariance covariance = CameraCovariance::Zero();
  covariance.diagonal() << 0.04, 0.03, 0.02, 1e-6, 0.01, 1e-6, 1e-6, 4e-6, 1e-6;
  covariance(0, 5) = covariance(5, 0) = 1e-4;  // place and pan go together
  const ClickError error{3, 0.1, 0.15};
  const double waist = 1.0;
  const Sighting one = *sight(camera, covariance, *camera.project_ground(at, waist), error, waist);
  CHECK(distance(one.place, at) < 1e-9);
  const Eigen::Matrix<double, 9, 9> root = covariance.llt().matrixL();
  Eigen::Matrix2d sum = Eigen::Matrix2d::Zero();
  constexpr int many = 40000;
  for (int i = 0; i < many; ++i) {
    Eigen::Matrix<double, 9, 1> off;
    for (double& value : off) value = normal(random.engine);
    off = (root * off).eval();
    View view = camera.view();
    view.place += off.head<3>();
    view.k1 += off[3];
    view.crown += off[4];
    const Camera other(
        camera.picture(), view,
        {camera.pose().pan + off[5], camera.pose().tilt + off[6], camera.pose().log_f + off[7], off[8] + 0.01});
    const Point pixel = *camera.project_ground(at, waist) + 3 * Point(normal(random.engine), normal(random.engine));
    const Point seen = *other.ground(pixel, waist + 0.1 * normal(random.engine)) +
                       0.15 * Point(normal(random.engine), normal(random.engine));
    sum += (seen - at) * (seen - at).transpose() / many;
  }
  // First order against truth: a few per cent; 40,000 draws: under 1 %.
  CHECK((sum - one.covariance).norm() < 0.05 * one.covariance.norm());
  // Height leaks by 1 / tan(elevation), error along the view grows by 1 / sin(elevation): 3.7 and 3.9 at 15 degrees.
  const double low = radians(15.0);
  const Camera at15({1280, 720}, {Place(0, 26, 30 * std::tan(low)), 0, 0}, {0, low, std::log(2000.0), 0});
  const Sighting height = *sight(at15, CameraCovariance::Zero(), {640, 360}, {1e-9, 1, 0});
  CHECK(std::sqrt(height.covariance(0, 0)) == Approx(1 / std::tan(low)).epsilon(1e-6));
  const Sighting along = *sight(at15, CameraCovariance::Zero(), {640, 360}, {1, 0, 0});
  CHECK(std::sqrt(along.covariance(0, 0) / along.covariance(1, 1)) == Approx(1 / std::sin(low)).epsilon(1e-6));
}

TEST_CASE("two views' sightings as one") {
  Random random(14);
  for (int i = 0; i < 100; ++i) {
    const auto some = [&] {
      Eigen::Matrix2d root;
      root << random.number(0.1, 2), 0, random.number(-1, 1), random.number(0.1, 2);
      return Sighting{random.point(5), root * root.transpose()};
    };
    const Sighting a = some(), b = some(), both = fuse(a, b);
    const Eigen::Matrix2d information = a.covariance.inverse() + b.covariance.inverse();
    CHECK((both.covariance - information.inverse()).norm() < 1e-9);
    const Point place = information.inverse() * (a.covariance.inverse() * a.place + b.covariance.inverse() * b.place);
    CHECK(distance(both.place, place) < 1e-9);
    CHECK(distance(fuse(a, {}).place, a.place) == 0);
    CHECK(distance(fuse({}, b).place, b.place) == 0);
  }
}
