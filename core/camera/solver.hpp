#pragma once
/// One view's cameras from clicked marks: the place, lens and crown that all frames of a game share, and each frame's
/// own pan, tilt, zoom and roll, all at once.
///
/// Least squares of (projected - clicked) / sigma over {C, k1, crown; per frame pan, tilt, log f, roll}, sigma a
/// click's (pixels) with its mark's own error carried into the picture, priors roll 0 +- 1 degree, k1 0 +- 0.03, crown
/// 0.2 +- 0.15 yd. Cauchy weights 1 / (1 + (r/3)^2), reached from wide ones in three stages. Levenberg and Marquardt's
/// method; the normal equations have an arrow's shape, so each frame is eliminated (Schur complement) and a step costs
/// the number of clicks. Starts: a grid of places on both sides a view of that name can stand on, tried on the best
/// marked frames. A place under the ground, or a mark behind the camera, is no solution.
///
/// Then wrong marks are named: within each frame, the shared parameters held as the others know them, the mark whose
/// deletion residual (what it is off, in standard deviations, from where the rest put it) is greatest and over
/// `wrong_over` is named and left out, until there is none; then all is solved again without them. With the least
/// number of marks nothing contradicts a wrong one.
///
/// Sources: Hartley and Zisserman, Multiple View Geometry, A6.1-A6.3 (Levenberg-Marquardt, sparse), A6.8 (robust
/// costs), 5.2; deletion residuals: Cook and Weisberg, Residuals and Influence in Regression, 1982.

#include <Eigen/Core>
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "camera/ground.hpp"

namespace shortedge {

struct MarkClick {
  std::int32_t frame;  ///< 0 and up
  Point pixel;
  Point place;       ///< yd, of the mark
  double error = 0;  ///< yd, the mark's own, an axis
};

/// Where a view's camera stands: behind an end line, beside a sideline, anywhere.
enum class Standpoint { end_zone, sideline, anywhere };

struct SolveOptions {
  double pixel = 2;                        ///< pixels, one standard deviation of a click an axis
  double roll = 1;                         ///< degrees, prior
  double k1 = 0.03;                        ///< prior
  double crown = 0.2, crown_error = 0.15;  ///< yd, prior
  double wrong_over = 5;                   ///< standard deviations
  Standpoint standpoint = Standpoint::anywhere;

  /// Throws InputError for what is not positive and finite.
  void validate() const;
};

/// One frame's camera. With fewer than two marks, or where the view has no solution, `solved` is false and nothing
/// counts.
struct FrameCamera {
  bool solved = false;
  Pose pose;
  CameraCovariance covariance = CameraCovariance::Constant(nan);  ///< View's parameters, then Pose's
  int marks = 0;                                                  ///< that count
  double rms = nan;                                               ///< pixels an axis, of those
};

struct SolvedMark {
  Point off = absent();  ///< pixels, seen less clicked
  double size = nan;     ///< deletion residual, standard deviations; NaN: not tested
  bool wrong = false;
};

struct SolvedView {
  bool solved = false;
  View view;
  Eigen::Matrix<double, View::size, View::size> covariance =
      Eigen::Matrix<double, View::size, View::size>::Constant(nan);
  double scale = 1;         ///< variances are multiplied by this: max(1, sum of squares / degrees of freedom)
  double rms = nan;         ///< pixels an axis, of marks that count
  double rms_of_all = nan;  ///< of all marks of solved frames, wrong ones too
  std::vector<FrameCamera> frames;
  std::vector<SolvedMark> marks;  ///< as the clicks

  Camera camera(const PictureSize& picture, std::size_t frame) const { return {picture, view, frames[frame].pose}; }
};

inline constexpr int fewest_marks = 2;  ///< in a frame

/// All frames of one view in one game. Not solved when no frame has four marks, or no start leads anywhere.
/// Throws InputError for options, pixels or places that are not finite, and for a frame below 0.
SolvedView solve_view(const PictureSize& picture, std::span<const MarkClick> clicks, const SolveOptions& options);

/// One frame anew, or a new one: `clicks` are its own. The view stays as `known` has it, whose covariance the frame's
/// carries along (what the frame could say of the view is left for the next solve_view). Wrong marks as in solve_view.
struct SolvedFrame {
  FrameCamera frame;
  std::vector<SolvedMark> marks;
};
SolvedFrame solve_frame(const PictureSize& picture, const SolvedView& known, std::span<const MarkClick> clicks,
                        const SolveOptions& options);

/// Another field that explains the clicks better than the one they were named on: of another kind, or mirrored across.
struct OtherField {
  FieldKind kind;
  bool mirrored;
  double rms, rms_as_named;  ///< pixels an axis, of all marks
};
/// nullopt when none has less than half the rms as named (which is `solved`'s), or that is no more than half as much
/// again as a click's own error. A field turned by 180 degrees looks the same and is never found;
/// nor is another kind from behind an end line when hash rows alone were clicked (a camera higher up and zoomed back
/// sees the same).
std::optional<OtherField> other_field(const PictureSize& picture, std::span<const MarkClick> clicks,
                                      const SolveOptions& options, FieldKind kind, const SolvedView& solved);

}  // namespace shortedge
