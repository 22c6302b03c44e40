#pragma once
/// A picture without marks of its own: its camera from the pictures before and after it.
///
/// Pan, tilt, log f and roll go from one marked picture to the next in a straight line, and leave it by what a camera
/// turned by hand does: velocity is a Wiener process, so at a and b seconds from its neighbours a pose is off the line
/// by a normal of variance unrest * a^2 b^2 / (3 (a + b)). Such places are known worse than marked ones, and their
/// covariance says by how much: over half a second some tenths of a yard, more when the camera is shaken.
///
/// Source: the Brownian bridge's integral; A. H. Jazwinski, Stochastic Processes and Filtering Theory, 1970, 6.2. One
/// mark's update with what is shared held: S. F. Schmidt's considered parameters, same book, 8.4.

#include <Eigen/Core>
#include <span>

#include "camera/solver.hpp"

namespace shortedge {

/// Of pan, tilt, log f, roll: rad^2/s^3 (log f: 1/s^3).
using PoseUnrest = Eigen::Vector4d;

/// A solved picture with its play and time.
struct TimedFrame {
  std::int32_t play;
  double time;  ///< s
  FrameCamera camera;
};

inline constexpr double unrest_assumed = 0.01;  ///< of each, as good as three pictures have said it
inline constexpr double unrest_pictures = 3;

/// How unquiet a camera is, from every picture that has a neighbour of its play on both sides: the mean of the squares
/// by which poses lie off their neighbours' line over their variance at unrest 1, with `unrest_assumed`. What marks
/// leave open counts as unrest. `frames` in order of play and time; those not solved are passed over.
PoseUnrest pose_unrest(std::span<const TimedFrame> frames);

/// The camera `after` s after a and `before` s before b (both solved, both above 0, same view); it has no marks. Angles
/// go the shorter way round.
FrameCamera between(const FrameCamera& a, const FrameCamera& b, double after, double before, const PoseUnrest& unrest);

/// The same camera when one mark is clicked in the picture: the pose moved by it, what is shared held. As it was when
/// the mark is behind the camera, or more than `wrong_over` standard deviations from where the camera has it (`counted`
/// false).
struct OneMark {
  FrameCamera frame;
  bool counted;
};
OneMark with_mark(const PictureSize& picture, const View& view, const FrameCamera& frame, const MarkClick& click,
                  const SolveOptions& options);

}  // namespace shortedge
