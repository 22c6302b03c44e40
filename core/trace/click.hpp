#pragma once
/// What a man's way is made of: clicks as places with errors, and how men are taken to move (smoother.hpp has the
/// model).

#include <Eigen/Core>

#include "geometry/point.hpp"

namespace shortedge {

/// A place seen at a time. Covariance in yd^2, positive definite.
struct Click {
  double time;  ///< s
  Point place;
  Eigen::Matrix2d covariance;
};

inline constexpr double start_seconds = 0.6;  ///< after the snap a man is starting

struct SmootherOptions {
  double jerk = 300;               ///< yd^2/s^5
  double start_jerk = 300;         ///< yd^2/s^5, while he starts
  double start = 0;                ///< yd/s^2, an axis; 0: no jump
  double tail = infinity;          ///< degrees of freedom of what moves him from click to click; infinite: normal
  double rest_speed = 0.1;         ///< yd/s, an axis
  double rest_acceleration = 0.3;  ///< yd/s^2, an axis

  /// Throws InputError for what is not positive and finite (start: below 0; tail: NaN or not above 0).
  void validate() const;
};

}  // namespace shortedge
