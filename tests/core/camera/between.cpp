#include "camera/between.hpp"

#include <doctest/doctest.h>

#include <Eigen/LU>
#include <cmath>

#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;
using scenes::cases;
using scenes::Random;

namespace {

FrameCamera exact(const Pose& pose) {
  FrameCamera frame;
  frame.solved = true;
  frame.pose = pose;
  frame.covariance = 1e-12 * CameraCovariance::Identity();
  frame.marks = 6;
  return frame;
}

/// A hand-turned camera's pose at times dt apart: each parameter's velocity is a random walk.
std::vector<Pose> turned(Random& random, const Pose& start, double unrest, double dt, int many) {
  std::normal_distribution<double> normal;
  Eigen::Vector4d at(start.pan, start.tilt, start.log_f, start.roll), speed = Eigen::Vector4d::Zero();
  std::vector<Pose> poses;
  for (int k = 0; k < many; ++k) {
    poses.push_back({at[0], at[1], at[2], at[3]});
    for (Eigen::Index i = 0; i < 4; ++i) {
      const double half = std::sqrt(unrest * dt) * normal(random.engine);
      at[i] += dt * (speed[i] + half / 2) + std::sqrt(unrest * dt * dt * dt / 12) * normal(random.engine);
      speed[i] += half;
    }
  }
  return poses;
}

}  // namespace

TEST_CASE("between two pictures a pose is on their line, and off it by the bridge's spread") {
  Random random(41);
  const PoseUnrest unrest = PoseUnrest::Constant(0.02);
  double squares = 0;
  int count = 0;
  for (int i = 0; i < cases(400, 4000); ++i) {
    const std::vector<Pose> poses = turned(random, {0.3, 0.2, 7.5, 0.01}, 0.02, 0.05, 11);
    const int at = random.whole(1, 9);
    const FrameCamera found = between(exact(poses[0]), exact(poses[10]), 0.05 * at, 0.05 * (10 - at), unrest);
    CHECK(found.solved);
    CHECK(found.marks == 0);
    const auto k = static_cast<std::size_t>(at);
    const double share = at / 10.0;
    CHECK(found.pose.pan == Approx((1 - share) * poses[0].pan + share * poses[10].pan));
    CHECK(found.pose.log_f == Approx((1 - share) * poses[0].log_f + share * poses[10].log_f));
    squares += std::pow(found.pose.pan - poses[k].pan, 2) / found.covariance(5, 5);
    squares += std::pow(found.pose.tilt - poses[k].tilt, 2) / found.covariance(6, 6);
    squares += std::pow(found.pose.roll - poses[k].roll, 2) / found.covariance(8, 8);
    count += 3;
  }
  CHECK(squares / count == Approx(1).epsilon(0.15));
}

TEST_CASE("pan goes the shorter way round") {
  const FrameCamera found =
      between(exact({pi - 0.1, 0.2, 7, 0}), exact({-pi + 0.3, 0.2, 7, 0}), 0.25, 0.75, PoseUnrest::Constant(0.01));
  CHECK(std::remainder(found.pose.pan - pi, 2 * pi) == Approx(0));
}

TEST_CASE("a picture between knows what its neighbours know of the view") {
  // Against the joint covariance written out: both poses hang on the same view.
  Random random(42);
  const auto matrix = [&](Eigen::Index rows, Eigen::Index columns) {
    Eigen::MatrixXd out(rows, columns);
    for (Eigen::Index i = 0; i < out.size(); ++i) out.data()[i] = random.number(-1, 1);
    return out;
  };
  for (int i = 0; i < 20; ++i) {
    const Eigen::MatrixXd root = matrix(5, 5), lever_a = matrix(4, 5), lever_b = matrix(4, 5), own_a = matrix(4, 4),
                          own_b = matrix(4, 4);
    const Eigen::MatrixXd shared = root * root.transpose() + 0.1 * Eigen::MatrixXd::Identity(5, 5);
    FrameCamera a = exact({0, 0, 7, 0}), b = exact({0.1, 0, 7, 0});
    for (const auto& [frame, lever, own] : {std::tuple(&a, &lever_a, &own_a), std::tuple(&b, &lever_b, &own_b)}) {
      frame->covariance << shared, shared * lever->transpose(), *lever * shared,
          *lever * shared * lever->transpose() + *own * own->transpose();
    }
    const double share = 0.3;
    const FrameCamera found = between(a, b, 0.3, 0.7, PoseUnrest::Constant(0));
    const Eigen::MatrixXd lever = (1 - share) * lever_a + share * lever_b;
    Eigen::MatrixXd wanted(9, 9);
    wanted << shared, shared * lever.transpose(), lever * shared,
        lever * shared * lever.transpose() + (1 - share) * (1 - share) * own_a * own_a.transpose() +
            share * share * own_b * own_b.transpose();
    CHECK((found.covariance - wanted).norm() < 1e-9);
  }
}

TEST_CASE("a camera's unrest is found from its pictures") {
  Random random(43);
  std::vector<TimedFrame> frames;
  for (std::int32_t play = 0; play < 40; ++play) {
    const std::vector<Pose> poses = turned(random, {pi - 0.01, 0.3, 7, 0}, 0.05, 0.1, 31);
    for (int k = 0; k < 31; k += k % 2 ? 3 : 4) {
      const Pose& pose = poses[static_cast<std::size_t>(k)];
      frames.push_back({play, 0.1 * k, exact({std::remainder(pose.pan, 2 * pi), pose.tilt, pose.log_f, pose.roll})});
    }
  }
  const PoseUnrest found = pose_unrest(frames);
  for (Eigen::Index i = 0; i < 4; ++i) CHECK(found[i] == Approx(0.05).epsilon(0.25));
  // Three pictures' worth of what is assumed, and no more.
  CHECK(pose_unrest({})[0] == Approx(0.01));
  CHECK(pose_unrest(std::span(frames).first(2))[2] == Approx(0.01));
  // Other plays' pictures are no neighbours, and what is not solved is passed over.
  std::vector<TimedFrame> apart(frames.begin(), frames.begin() + 3);
  apart[1].play = 7;
  CHECK(pose_unrest(apart)[0] == Approx(0.01));
  apart = {frames.begin(), frames.begin() + 3};
  apart[1].camera.solved = false;
  CHECK(pose_unrest(apart)[0] == Approx(0.01));
}

TEST_CASE("one mark is the posterior of what is its own") {
  // Against the same by information, what is shared held at its covariance: weights of pose and mark add up.
  Random random(44);
  std::normal_distribution<double> normal;
  const PictureSize picture;
  const View view{Place(-14, 26, 24), 0.01, 0.2};
  const Pose pose{0.02, 0.5, 7.9, 0.003};
  SolveOptions options;
  for (int i = 0; i < 50; ++i) {
    FrameCamera frame = exact(pose);
    frame.covariance = CameraCovariance::Zero();
    const Eigen::Vector4d spread(0.004, 0.003, 0.01, 0.006);
    frame.covariance.bottomRightCorner<4, 4>() = spread.cwiseAbs2().asDiagonal();
    const Point at(random.number(28, 34), random.number(22, 31));
    const auto slopes = Camera(picture, view, pose).slopes(at);
    REQUIRE(slopes);
    const Point clicked = slopes->pixel + 4 * Point(normal(random.engine), normal(random.engine));
    const OneMark found = with_mark(picture, view, frame, {0, clicked, at, 0}, options);
    REQUIRE(found.counted);
    const Eigen::Matrix<double, 2, 4> by = slopes->by_camera.rightCols<4>();
    const Eigen::Matrix4d information =
        Eigen::Matrix4d(spread.cwiseAbs2().cwiseInverse().asDiagonal()) + by.transpose() * by / 4;
    CHECK((found.frame.covariance.bottomRightCorner<4, 4>() - information.inverse()).norm() < 1e-12);
    const Eigen::Vector4d moved = information.inverse() * by.transpose() * (clicked - slopes->pixel) / 4;
    CHECK(found.frame.pose.pan - pose.pan == Approx(moved[0]));
    CHECK(found.frame.pose.tilt - pose.tilt == Approx(moved[1]));
    CHECK(found.frame.pose.log_f - pose.log_f == Approx(moved[2]));
    CHECK(found.frame.pose.roll - pose.roll == Approx(moved[3]));
    CHECK(found.frame.marks == 1);
    // A click far off is not believed.
    const OneMark wrong = with_mark(picture, view, frame, {0, clicked + Point(400, 0), at, 0}, options);
    CHECK(!wrong.counted);
    CHECK(wrong.frame.pose.pan == pose.pan);
  }
}

TEST_CASE("one mark of a picture between says nothing of what all pictures share") {
  // Place, lens and crown were solved from whole pictures and stay as well known as they were (S. F. Schmidt's filter
  // with considered parameters, 1966); what is the picture's own gets no worse.
  Random random(31);
  const PictureSize picture{1280, 720};
  const View view{Place(-14, 27, 13), -0.01, 0.2};
  const Pose pose{0.02, 0.25, std::log(2200.0), 0.003};
  CameraCovariance root;
  for (int i = 0; i < root.rows(); ++i)
    for (int j = 0; j < root.cols(); ++j) root(i, j) = random.number(-1, 1);
  Eigen::Matrix<double, Camera::parameters, 1> scale;
  scale << 0.3, 0.3, 0.2, 0.01, 0.05, 0.004, 0.004, 0.006, 0.004;
  FrameCamera frame;
  frame.pose = pose;
  frame.covariance = scale.asDiagonal() * CameraCovariance(root * root.transpose()) * scale.asDiagonal();
  const Point at(30, 25);
  const auto slopes = Camera(picture, view, pose).slopes(at);
  REQUIRE(slopes);
  const OneMark found = with_mark(picture, view, frame, {0, slopes->pixel + Point(1, -1), at, 0}, {});
  REQUIRE(found.counted);
  CHECK((found.frame.covariance.topLeftCorner<5, 5>() - frame.covariance.topLeftCorner<5, 5>()).norm() <
        1e-9 * frame.covariance.topLeftCorner<5, 5>().norm());
  CHECK(found.frame.covariance.bottomRightCorner<4, 4>().trace() < frame.covariance.bottomRightCorner<4, 4>().trace());
}
