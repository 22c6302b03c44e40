#include "camera/ground.hpp"

#include <Eigen/LU>

namespace shortedge {

std::optional<Sighting> sight(const Camera& camera, const CameraCovariance& covariance, const Point& pixel,
                              const ClickError& error, double height) {
  const std::optional<Point> place = camera.ground(pixel, height);
  if (!place) return std::nullopt;
  const auto slopes = camera.slopes(*place, height);
  if (!slopes) return std::nullopt;
  const Eigen::Matrix2d by_pixel = slopes->by_ground.inverse();
  if (!by_pixel.allFinite()) return std::nullopt;
  const Eigen::Matrix<double, 2, Camera::parameters> by_camera = -by_pixel * slopes->by_camera;
  const Eigen::Vector2d by_height = -by_pixel * slopes->by_height;
  Sighting out{*place, by_camera * covariance * by_camera.transpose()};
  out.covariance += error.pixel * error.pixel * by_pixel * by_pixel.transpose();
  out.covariance += error.height * error.height * by_height * by_height.transpose();
  out.covariance += error.posture * error.posture * Eigen::Matrix2d::Identity();
  return out;
}

Sighting fuse(const Sighting& a, const Sighting& b) {
  if (!present(a.place)) return b;
  if (!present(b.place)) return a;
  // A - A (A + B)^-1 A: no inverse of either, so an exact sighting wins.
  const Eigen::Matrix2d gain = a.covariance * (a.covariance + b.covariance).inverse();
  const Eigen::Matrix2d left = a.covariance - gain * a.covariance;
  return {a.place + gain * (b.place - a.place), (left + left.transpose()) / 2};
}

}  // namespace shortedge
