#pragma once
/// A camera that stands still and pans, tilts and zooms, and the ground it looks at.
///
/// Pixels: x right, y down, origin at the picture's upper left corner, pixel centres at .5; the optical axis goes
/// through the picture's middle c. Field as in marks.hpp; the ground is crowned, z = 4 crown Y (1 - Y) with Y = y /
/// width. A field point P lies at q = R (P - C) before the camera (q_x right, q_y down, q_z ahead), undistorted at u =
/// c + f (q_x, q_y) / q_z, and is seen at c + (u - c) (1 + k1 r^2), r = |u - c| over half the picture's diagonal. Pan:
/// the direction of view, radians counter-clockwise from +x seen from above. Tilt: radians below the horizon. Roll:
/// radians the camera leans to its right (clockwise as it looks). f in pixels; its logarithm is what is fitted.
///
/// Source: Hartley and Zisserman, Multiple View Geometry in Computer Vision, 2nd ed. 2004, 6.1 (camera), 7.4 (one
/// radial term), 8.1 (planes). The distortion is of the undistorted radius, as in OpenCV's calibration.

#include <Eigen/Core>
#include <optional>

#include "camera/marks.hpp"

namespace shortedge {

using Place = Eigen::Vector3d;  ///< x, y, z in yd

struct PictureSize {
  double width = 1280, height = 720;  ///< pixels

  Point middle() const { return {width / 2, height / 2}; }
  double half_diagonal() const { return Point(width, height).norm() / 2; }
};

/// What all frames of one view in one game share.
struct View {
  Place place = Place(60, -40, 20);
  double k1 = 0;
  double crown = 0;  ///< yd the middle of the field stands above its sidelines

  static constexpr Eigen::Index size = 5;  ///< place, k1, crown: the order of parameters everywhere
};

/// What a frame has of its own.
struct Pose {
  double pan = 0, tilt = 0, log_f = 7, roll = 0;

  static constexpr Eigen::Index size = 4;
};

inline double ground_height(double crown, double y) {
  const double across = y / field_width;
  return 4 * crown * across * (1 - across);
}
/// yd of height per yd across.
inline double ground_slope(double crown, double y) { return 4 * crown * (1 - 2 * y / field_width) / field_width; }

/// A camera at one frame, ready to project.
class Camera {
 public:
  static constexpr Eigen::Index parameters = View::size + Pose::size;  ///< View's, then Pose's

  Camera(const PictureSize& picture, const View& view, const Pose& pose);

  const PictureSize& picture() const noexcept { return picture_; }
  const View& view() const noexcept { return view_; }
  const Pose& pose() const noexcept { return pose_; }

  /// Where a point is seen; nullopt behind the camera (q_z <= 0). Far outside the picture a negative k1 folds points
  /// back into it: a caller that draws asks sees() besides.
  std::optional<Point> project(const Place& point) const;
  /// Of the ground at `point`, `height` yd above it.
  std::optional<Point> project_ground(const Point& point, double height = 0) const;
  /// Whether a point lies before the camera, its undistorted place short of the fold, and inside the picture.
  bool sees(const Place& point) const;

  /// The ground point that lies `height` yd below what is seen at a pixel: Newton's method on the radius, then the ray
  /// met with the crowned ground, a quadratic. nullopt: the pixel lies beyond the fold, or its ray meets no ground.
  std::optional<Point> ground(const Point& pixel, double height = 0) const;

  /// A pixel and how it moves.
  struct Slopes {
    Point pixel;
    Eigen::Matrix<double, 2, parameters> by_camera;
    Eigen::Matrix2d by_ground;  ///< by x, y along the crowned ground
    Eigen::Vector2d by_height;  ///< by yd above it
  };
  /// Of the ground at `point`, `height` above it; nullopt as project().
  std::optional<Slopes> slopes(const Point& point, double height = 0) const;

 private:
  PictureSize picture_;
  View view_;
  Pose pose_;
  Eigen::Matrix3d axes_;  // rows: right, down, ahead
  double f_, cos_tilt_, sin_tilt_;
};

}  // namespace shortedge
