#pragma once
/// A click on the ground as a place with its error, and two views' places as one.

#include <Eigen/Core>
#include <optional>

#include "camera/camera.hpp"

namespace shortedge {

/// What a click is worth. A foot is not the body's centre: `posture` is what it is off by.
struct ClickError {
  double pixel = 3;       ///< pixels, one standard deviation an axis
  double height = 0;      ///< yd, of the height above the ground
  double posture = 0.15;  ///< yd, an axis
};

/// A place on the ground with its covariance (yd^2); NaN, and infinite variances, where there is none.
struct Sighting {
  Point place = absent();
  Eigen::Matrix2d covariance = Eigen::Matrix2d::Constant(infinity);
};

using CameraCovariance = Eigen::Matrix<double, Camera::parameters, Camera::parameters>;

/// The ground point `height` yd under a pixel. Its covariance, of first order: G E G' + pixel^2 K K' + height^2 k k' +
/// posture^2 I, with K the ground's change by the pixel, G and k by the camera's parameters and by height (-K times the
/// pixel's change by them). nullopt as Camera::ground. Error along the view grows by 1 / sin(elevation), height leaks
/// by 1 / tan(elevation). Source: Hartley and Zisserman, 5.2 (propagation of covariance).
std::optional<Sighting> sight(const Camera& camera, const CameraCovariance& covariance, const Point& pixel,
                              const ClickError& error, double height = 0);

/// Two independent sightings of one place as one: (A^-1 + B^-1)^-1. An absent one leaves the other.
Sighting fuse(const Sighting& a, const Sighting& b);

}  // namespace shortedge
