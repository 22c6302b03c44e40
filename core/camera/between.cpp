#include "camera/between.hpp"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <cmath>
#include <numbers>
#include <vector>

namespace shortedge {

namespace {

constexpr Eigen::Index shared = View::size, own = Pose::size;

double off_line(double after, double before) { return after * after * before * before / (3 * (after + before)); }

/// From a pose to another, angles the shorter way.
PoseUnrest way(const Pose& from, const Pose& to) {
  constexpr double turn = 2 * std::numbers::pi;
  return {std::remainder(to.pan - from.pan, turn), to.tilt - from.tilt, to.log_f - from.log_f,
          std::remainder(to.roll - from.roll, turn)};
}

Pose moved(const Pose& pose, const PoseUnrest& by) {
  return {pose.pan + by[0], pose.tilt + by[1], pose.log_f + by[2], pose.roll + by[3]};
}

}  // namespace

PoseUnrest pose_unrest(std::span<const TimedFrame> frames) {
  std::vector<const TimedFrame*> solved;
  for (const TimedFrame& frame : frames) {
    if (frame.camera.solved) solved.push_back(&frame);
  }
  PoseUnrest sum = PoseUnrest::Constant(unrest_pictures * unrest_assumed);
  double count = unrest_pictures;
  for (std::size_t k = 1; k + 1 < solved.size(); ++k) {
    const TimedFrame &a = *solved[k - 1], &at = *solved[k], &b = *solved[k + 1];
    if (a.play != at.play || b.play != at.play) continue;
    const double after = at.time - a.time, before = b.time - at.time;
    if (!(after > 0) || !(before > 0)) continue;
    const double share = after / (after + before);
    const PoseUnrest off = way(a.camera.pose, at.camera.pose) - share * way(a.camera.pose, b.camera.pose);
    sum += off.cwiseAbs2() / off_line(after, before);
    ++count;
  }
  return sum / count;
}

FrameCamera between(const FrameCamera& a, const FrameCamera& b, double after, double before, const PoseUnrest& unrest) {
  const double share = after / (after + before);
  FrameCamera out;
  out.solved = true;
  out.pose = moved(a.pose, share * way(a.pose, b.pose));
  // Given what is shared, the two pictures know nothing of one another.
  const Eigen::Matrix<double, shared, shared> common = a.covariance.topLeftCorner<shared, shared>();
  const auto root = common.ldlt();
  const Eigen::Matrix<double, own, shared> lever_a = root.solve(a.covariance.topRightCorner<shared, own>()).transpose();
  const Eigen::Matrix<double, own, shared> lever_b = root.solve(b.covariance.topRightCorner<shared, own>()).transpose();
  const Eigen::Matrix4d alone_a = a.covariance.bottomRightCorner<own, own>() - lever_a * common * lever_a.transpose();
  const Eigen::Matrix4d alone_b = b.covariance.bottomRightCorner<own, own>() - lever_b * common * lever_b.transpose();
  const Eigen::Matrix<double, own, shared> lever = (1 - share) * lever_a + share * lever_b;
  Eigen::Matrix4d alone = (1 - share) * (1 - share) * alone_a + share * share * alone_b;
  alone.diagonal() += off_line(after, before) * unrest;
  out.covariance.topLeftCorner<shared, shared>() = common;
  out.covariance.bottomLeftCorner<own, shared>() = lever * common;
  out.covariance.topRightCorner<shared, own>() = (lever * common).transpose();
  out.covariance.bottomRightCorner<own, own>() = alone + lever * common * lever.transpose();
  return out;
}

OneMark with_mark(const PictureSize& picture, const View& view, const FrameCamera& frame, const MarkClick& click,
                  const SolveOptions& options) {
  const auto slopes = Camera(picture, view, frame.pose).slopes(click.place);
  if (!slopes) return {frame, false};
  const Eigen::Matrix<double, 2, Camera::parameters>& by = slopes->by_camera;
  const Eigen::Matrix2d error = options.pixel * options.pixel * Eigen::Matrix2d::Identity() +
                                click.error * click.error * slopes->by_ground * slopes->by_ground.transpose();
  const Eigen::Matrix2d spread = by * frame.covariance * by.transpose() + error;
  const Point off = click.pixel - slopes->pixel;
  if (off.dot(spread.ldlt().solve(off)) > options.wrong_over * options.wrong_over) return {frame, false};
  Eigen::Matrix<double, Camera::parameters, 2> gain = frame.covariance * by.transpose() * spread.inverse();
  gain.topRows<shared>().setZero();
  const CameraCovariance left = CameraCovariance::Identity() - gain * by;
  OneMark out{frame, true};
  out.frame.pose = moved(frame.pose, gain.bottomRows<own>() * off);
  out.frame.covariance = left * frame.covariance * left.transpose() + gain * error * gain.transpose();
  out.frame.marks = 1;
  out.frame.rms = off.norm() / std::numbers::sqrt2;
  return out;
}

}  // namespace shortedge
