#include "camera/camera.hpp"

#include <cmath>

namespace shortedge {

namespace {

constexpr double least_ahead = 1e-6;  // yd: nearer to the camera's plane a pixel is a division by nothing
constexpr int newton_steps = 50;

Place above(const Point& point, double crown, double height) {
  return {point.x(), point.y(), ground_height(crown, point.y()) + height};
}

}  // namespace

Camera::Camera(const PictureSize& picture, const View& view, const Pose& pose)
    : picture_(picture),
      view_(view),
      pose_(pose),
      f_(std::exp(pose.log_f)),
      cos_tilt_(std::cos(pose.tilt)),
      sin_tilt_(std::sin(pose.tilt)) {
  const double c = std::cos(pose.pan), s = std::sin(pose.pan);
  const Place right(s, -c, 0), down(-sin_tilt_ * c, -sin_tilt_ * s, -cos_tilt_),
      ahead(cos_tilt_ * c, cos_tilt_ * s, -sin_tilt_);
  const double cr = std::cos(pose.roll), sr = std::sin(pose.roll);
  axes_.row(0) = (cr * right + sr * down).transpose();
  axes_.row(1) = (cr * down - sr * right).transpose();
  axes_.row(2) = ahead.transpose();
}

std::optional<Point> Camera::project(const Place& point) const {
  const Place q = axes_ * (point - view_.place);
  if (!(q.z() > least_ahead)) return std::nullopt;
  const Point off = f_ / q.z() * q.head<2>();
  const double h = picture_.half_diagonal();
  return picture_.middle() + off * (1 + view_.k1 * off.squaredNorm() / (h * h));
}

std::optional<Point> Camera::project_ground(const Point& point, double height) const {
  return project(above(point, view_.crown, height));
}

bool Camera::sees(const Place& point) const {
  const Place q = axes_ * (point - view_.place);
  if (!(q.z() > least_ahead)) return false;
  const double r2 = (f_ / q.z() * q.head<2>()).squaredNorm() / std::pow(picture_.half_diagonal(), 2);
  if (1 + 3 * view_.k1 * r2 <= 0) return false;
  const Point pixel = *project(point);
  return pixel.x() >= 0 && pixel.y() >= 0 && pixel.x() <= picture_.width && pixel.y() <= picture_.height;
}

std::optional<Point> Camera::ground(const Point& pixel, double height) const {
  const Point seen = (pixel - picture_.middle()) / picture_.half_diagonal();
  const double wanted = seen.norm(), k1 = view_.k1;
  double r = wanted;
  if (k1 < 0) {
    const double fold = std::sqrt(-1 / (3 * k1));
    if (wanted > fold * 2 / 3) return std::nullopt;
    r = std::min(r, fold);
  }
  for (int step = 0; step < newton_steps; ++step) {
    const double slope = 1 + 3 * k1 * r * r;
    if (!(slope > 0)) break;
    const double move = (r * (1 + k1 * r * r) - wanted) / slope;
    r -= move;
    if (std::abs(move) <= 1e-15 * (1 + r)) break;
  }
  const Point off = seen * (picture_.half_diagonal() / (1 + k1 * r * r));
  const Place ray = axes_.transpose() * Place(off.x() / f_, off.y() / f_, 1);
  // z_C + s ray_z = 4 crown Y (1 - Y) + height with Y = (y_C + s ray_y) / width: a s^2 + b s + c = 0.
  const double across = view_.place.y() / field_width, by = ray.y() / field_width, steep = 4 * view_.crown;
  const double a = steep * by * by, b = ray.z() - steep * by * (1 - 2 * across);
  const double c = view_.place.z() - height - steep * across * (1 - across);
  const double under = b * b - 4 * a * c;
  if (!(under >= 0) || !(b < 0)) return std::nullopt;
  const double s = 2 * c / (-b + std::sqrt(under));  // the root that is -c / b on flat ground
  if (!(s > 0)) return std::nullopt;
  return Point(view_.place.x() + s * ray.x(), view_.place.y() + s * ray.y());
}

std::optional<Camera::Slopes> Camera::slopes(const Point& point, double height) const {
  const Place from = above(point, view_.crown, height) - view_.place, q = axes_ * from;
  if (!(q.z() > least_ahead)) return std::nullopt;
  const double h2 = std::pow(picture_.half_diagonal(), 2), scale = f_ / q.z();
  const Point off = scale * q.head<2>();
  const double r2 = off.squaredNorm() / h2;
  const Eigen::Matrix2d bend =
      (1 + view_.k1 * r2) * Eigen::Matrix2d::Identity() + 2 * view_.k1 / h2 * off * off.transpose();
  Eigen::Matrix<double, 2, 3> by_q;
  by_q << scale, 0, -off.x() / q.z(), 0, scale, -off.y() / q.z();
  by_q = (bend * by_q).eval();
  const Eigen::Matrix<double, 2, 3> by_point = by_q * axes_;

  Slopes out;
  out.pixel = picture_.middle() + off * (1 + view_.k1 * r2);
  const double across = point.y() / field_width;
  out.by_camera.leftCols<3>() = -by_point;
  out.by_camera.col(3) = off * r2;
  out.by_camera.col(4) = by_point.col(2) * (4 * across * (1 - across));
  // Turning about the vertical, about the level axis, and about the line of sight; level axes first, then rolled.
  const double cr = std::cos(pose_.roll), sr = std::sin(pose_.roll);
  const double right = cr * q.x() - sr * q.y(), down = sr * q.x() + cr * q.y();
  const double pan_right = cos_tilt_ * q.z() - sin_tilt_ * down, pan_down = sin_tilt_ * right;
  out.by_camera.col(5) =
      by_q * Place(cr * pan_right + sr * pan_down, cr * pan_down - sr * pan_right, -cos_tilt_ * right);
  out.by_camera.col(6) = by_q * Place(-sr * q.z(), -cr * q.z(), down);
  out.by_camera.col(7) = bend * off;
  out.by_camera.col(8) = by_q * Place(q.y(), -q.x(), 0);
  out.by_height = by_point.col(2);
  out.by_ground = by_point.leftCols<2>();
  out.by_ground.col(1) += by_point.col(2) * ground_slope(view_.crown, point.y());
  return out;
}

}  // namespace shortedge
