#include <cstdint>

#include "arrays.hpp"
#include "camera/between.hpp"
#include "camera/solver.hpp"

using namespace shortedge;
using namespace shortedge::python;

namespace {

using ViewArray = Eigen::Matrix<double, View::size, 1>;
using PoseRows = Eigen::Matrix<double, Eigen::Dynamic, Pose::size, Eigen::RowMajor>;

FieldKind kind_of(const std::string& word) {
  return chosen<FieldKind>(word, "field",
                           {{"pro", FieldKind::pro}, {"college", FieldKind::college}, {"school", FieldKind::school}});
}
const char* word_of_kind(FieldKind kind) {
  return kind == FieldKind::pro ? "pro" : kind == FieldKind::college ? "college" : "school";
}
/// An angle's name says where its camera stands, if it is one of ours.
Standpoint standpoint_of(const std::string& angle) {
  return angle == "end zone" ? Standpoint::end_zone : angle == "sideline" ? Standpoint::sideline : Standpoint::anywhere;
}

py::tuple marks_of(const std::string& field) {
  std::vector<std::string> names;
  std::vector<Point> places;
  std::vector<double> errors;
  for (const Mark& mark : field_marks(kind_of(field))) {
    names.push_back(mark.name);
    places.push_back(mark.place);
    errors.push_back(mark.error);
  }
  return py::make_tuple(names, to_array(std::span<const Point>(places)), to_array(std::move(errors)));
}

std::vector<MarkClick> clicks_of(const py::array& frame, const py::array& pixel, const py::array& place,
                                 const py::array& error) {
  const auto frames = column<std::int32_t>(frame, "frame");
  const auto errors = column<double>(error, "error");
  const Points pixels = points(pixel, "pixel"), places = points(place, "place");
  if (pixels.rows() != frame.shape(0) || places.rows() != frame.shape(0) || error.shape(0) != frame.shape(0)) {
    throw py::value_error("arrays of unequal length");
  }
  std::vector<MarkClick> clicks;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const auto at = static_cast<Eigen::Index>(i);
    clicks.push_back({frames[i], row(pixels, at), row(places, at), errors[i]});
  }
  return clicks;
}

SolveOptions options_of(const std::string& angle, double pixel_error) {
  SolveOptions options;
  options.standpoint = standpoint_of(angle);
  options.pixel = pixel_error;
  return options;
}

struct Solved {
  PictureSize picture;
  SolveOptions options;
  SolvedView found;
};

Solved solve(std::pair<double, double> picture, const std::string& angle, double pixel_error, const py::array& frame,
             const py::array& pixel, const py::array& place, const py::array& error) {
  const std::vector<MarkClick> clicks = clicks_of(frame, pixel, place, error);
  Solved solved{{picture.first, picture.second}, options_of(angle, pixel_error), {}};
  const py::gil_scoped_release released;
  solved.found = solve_view(solved.picture, clicks, solved.options);
  return solved;
}

py::object other(const Solved& solved, const std::string& field, const py::array& frame, const py::array& pixel,
                 const py::array& place, const py::array& error) {
  const std::vector<MarkClick> clicks = clicks_of(frame, pixel, place, error);
  std::optional<OtherField> found;
  {
    const py::gil_scoped_release released;
    found = other_field(solved.picture, clicks, solved.options, kind_of(field), solved.found);
  }
  if (!found) return py::none();
  return py::make_tuple(word_of_kind(found->kind), found->mirrored, found->rms, found->rms_as_named);
}

py::tuple marks_out(const std::vector<SolvedMark>& marks) {
  std::vector<Point> off;
  std::vector<double> size;
  std::vector<bool> wrong;
  for (const SolvedMark& mark : marks) {
    off.push_back(mark.off);
    size.push_back(mark.size);
    wrong.push_back(mark.wrong);
  }
  py::array_t<bool> flags(static_cast<py::ssize_t>(wrong.size()));
  std::copy(wrong.begin(), wrong.end(), flags.mutable_data());
  return py::make_tuple(to_array(std::span<const Point>(off)), to_array(std::move(size)), flags);
}

/// A frame anew from its own clicks; the frame's number in the solution, added if need be.
py::tuple solve_one(Solved& solved, std::int32_t frame, const py::array& pixel, const py::array& place,
                    const py::array& error) {
  py::array_t<std::int32_t> zeros(pixel.shape(0));
  std::fill_n(zeros.mutable_data(), pixel.shape(0), 0);
  const SolvedFrame one =
      solve_frame(solved.picture, solved.found, clicks_of(zeros, pixel, place, error), solved.options);
  if (frame < 0) throw InputError("frame is " + std::to_string(frame) + "; accepted: 0 and up");
  const auto at = static_cast<std::size_t>(frame);
  if (at >= solved.found.frames.size()) solved.found.frames.resize(at + 1);
  solved.found.frames[at] = one.frame;
  return marks_out(one.marks);
}

PoseUnrest unrest_of(const Solved& solved, const py::array& play, const py::array& time) {
  const auto plays = column<std::int32_t>(play, "play");
  const auto times = column<double>(time, "time");
  if (times.size() != plays.size() || plays.size() > solved.found.frames.size()) {
    throw py::value_error("arrays of unequal length");
  }
  std::vector<TimedFrame> frames;
  for (std::size_t f = 0; f < plays.size(); ++f) frames.push_back({plays[f], times[f], solved.found.frames[f]});
  return pose_unrest(frames);
}

/// A new frame from two solved ones and, if there is one, a mark of its own; its number.
std::size_t add_between(Solved& solved, std::size_t a, std::size_t b, double after, double before,
                        const PoseUnrest& unrest, const py::array& pixel, const py::array& place,
                        const py::array& error) {
  std::vector<FrameCamera>& frames = solved.found.frames;
  if (a >= frames.size() || b >= frames.size() || !frames[a].solved || !frames[b].solved || !(after > 0) ||
      !(before > 0)) {
    throw py::value_error("two solved frames are wanted, one before and one after");
  }
  FrameCamera camera = between(frames[a], frames[b], after, before, unrest);
  py::array_t<std::int32_t> zeros(pixel.shape(0));
  std::fill_n(zeros.mutable_data(), pixel.shape(0), 0);
  for (const MarkClick& click : clicks_of(zeros, pixel, place, error)) {
    camera = with_mark(solved.picture, solved.found.view, camera, click, solved.options).frame;
  }
  frames.push_back(camera);
  return frames.size() - 1;
}

py::tuple sight_all(const Solved& solved, const py::array& frame, const py::array& pixel, const py::array& pixel_error,
                    const py::array& height, const py::array& height_error, double posture) {
  const auto frames = column<std::int32_t>(frame, "frame");
  const auto errors = column<double>(pixel_error, "pixel_error"), heights = column<double>(height, "height"),
             height_errors = column<double>(height_error, "height_error");
  const Points pixels = points(pixel, "pixel");
  if (pixels.rows() != frame.shape(0) || errors.size() != frames.size() || heights.size() != frames.size() ||
      height_errors.size() != frames.size()) {
    throw py::value_error("arrays of unequal length");
  }
  std::vector<Point> places(frames.size(), absent());
  std::vector<double> xx(frames.size(), shortedge::nan), xy(frames.size(), shortedge::nan),
      yy(frames.size(), shortedge::nan);
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const auto at = static_cast<std::size_t>(frames[i]);
    if (frames[i] < 0 || at >= solved.found.frames.size() || !solved.found.frames[at].solved) continue;
    const FrameCamera& camera = solved.found.frames[at];
    const auto seen =
        sight({solved.picture, solved.found.view, camera.pose}, camera.covariance,
              row(pixels, static_cast<Eigen::Index>(i)), {errors[i], height_errors[i], posture}, heights[i]);
    if (!seen) continue;
    places[i] = seen->place;
    xx[i] = seen->covariance(0, 0);
    xy[i] = seen->covariance(0, 1);
    yy[i] = seen->covariance(1, 1);
  }
  return py::make_tuple(to_array(std::span<const Point>(places)), to_array(std::move(xx)), to_array(std::move(xy)),
                        to_array(std::move(yy)));
}

/// Ground points of one frame in its picture; NaN where they are not seen.
py::array_t<double> seen_at(const Solved& solved, std::int32_t frame, const py::array& place, double height) {
  const Points places = points(place, "place");
  std::vector<Point> pixels(static_cast<std::size_t>(places.rows()), absent());
  const auto at = static_cast<std::size_t>(frame);
  if (frame >= 0 && at < solved.found.frames.size() && solved.found.frames[at].solved) {
    const Camera camera = solved.found.camera(solved.picture, at);
    for (std::size_t i = 0; i < pixels.size(); ++i) {
      const Point ground = row(places, static_cast<Eigen::Index>(i));
      if (!camera.sees({ground.x(), ground.y(), ground_height(camera.view().crown, ground.y()) + height})) continue;
      pixels[i] = *camera.project_ground(ground, height);
    }
  }
  return to_array(std::span<const Point>(pixels));
}

Camera camera_of(std::pair<double, double> picture, const ViewArray& view, const Eigen::Vector4d& pose) {
  return {{picture.first, picture.second}, {view.head<3>(), view[3], view[4]}, {pose[0], pose[1], pose[2], pose[3]}};
}

/// Field points (x, y, z) through one camera, for checks against other libraries; NaN behind it.
py::array_t<double> projected(std::pair<double, double> picture, const ViewArray& view, const Eigen::Vector4d& pose,
                              const Eigen::Ref<const Eigen::MatrixX3d>& place) {
  const Camera camera = camera_of(picture, view, pose);
  std::vector<Point> pixels;
  for (Eigen::Index i = 0; i < place.rows(); ++i)
    pixels.push_back(camera.project(Place(place.row(i))).value_or(absent()));
  return to_array(std::span<const Point>(pixels));
}

/// Places of the ground through one camera; NaN behind it.
py::array_t<double> ground_seen(std::pair<double, double> picture, const ViewArray& view, const Eigen::Vector4d& pose,
                                const py::array& place, double height) {
  const Camera camera = camera_of(picture, view, pose);
  const Points places = points(place, "place");
  std::vector<Point> pixels(static_cast<std::size_t>(places.rows()));
  for (std::size_t i = 0; i < pixels.size(); ++i)
    pixels[i] = camera.project_ground(row(places, static_cast<Eigen::Index>(i)), height).value_or(absent());
  return to_array(std::span<const Point>(pixels));
}

/// The same on the ground, and how each pixel moves with the view and the pose; NaN behind the camera.
py::tuple ground_slopes(std::pair<double, double> picture, const ViewArray& view, const Eigen::Vector4d& pose,
                        const py::array& place) {
  const Camera camera = camera_of(picture, view, pose);
  const Points places = points(place, "place");
  std::vector<Point> pixels(static_cast<std::size_t>(places.rows()), absent());
  constexpr auto size = static_cast<py::ssize_t>(Camera::parameters);
  py::array_t<double> by({static_cast<py::ssize_t>(pixels.size()), py::ssize_t{2}, size});
  double* to = by.mutable_data();
  for (std::size_t i = 0; i < pixels.size(); ++i, to += 2 * size) {
    Eigen::Map<Eigen::Matrix<double, 2, Camera::parameters, Eigen::RowMajor>> here(to);
    if (const auto found = camera.slopes(row(places, static_cast<Eigen::Index>(i)))) {
      pixels[i] = found->pixel;
      here = found->by_camera;
    } else {
      here.setConstant(shortedge::nan);
    }
  }
  return py::make_tuple(to_array(std::span<const Point>(pixels)), by);
}

/// The ground seen at pixels of one camera; NaN where none is.
py::array_t<double> ground_at(std::pair<double, double> picture, const ViewArray& view, const Eigen::Vector4d& pose,
                              const py::array& pixel) {
  const Camera camera = camera_of(picture, view, pose);
  const Points pixels = points(pixel, "pixel");
  std::vector<Point> places(static_cast<std::size_t>(pixels.rows()));
  for (std::size_t i = 0; i < places.size(); ++i)
    places[i] = camera.ground(row(pixels, static_cast<Eigen::Index>(i))).value_or(absent());
  return to_array(std::span<const Point>(places));
}

py::tuple fuse_two(const Eigen::Vector2d& a, const Eigen::Matrix2d& a_covariance, const Eigen::Vector2d& b,
                   const Eigen::Matrix2d& b_covariance) {
  const Sighting both = fuse({a, a_covariance}, {b, b_covariance});
  return py::make_tuple(Eigen::Vector2d(both.place), both.covariance);
}

PoseRows poses_of(const Solved& solved) {
  PoseRows rows(static_cast<Eigen::Index>(solved.found.frames.size()), Pose::size);
  for (std::size_t f = 0; f < solved.found.frames.size(); ++f) {
    const auto& [known, pose, covariance, marks, rms] = solved.found.frames[f];
    const auto at = static_cast<Eigen::Index>(f);
    if (known) {
      rows.row(at) << pose.pan, pose.tilt, pose.log_f, pose.roll;
    } else {
      rows.row(at).setConstant(shortedge::nan);
    }
  }
  return rows;
}

py::array_t<double> covariances_of(const Solved& solved) {
  constexpr auto size = static_cast<py::ssize_t>(Camera::parameters);
  py::array_t<double> out({static_cast<py::ssize_t>(solved.found.frames.size()), size, size});
  double* to = out.mutable_data();
  for (const FrameCamera& frame : solved.found.frames) {
    to = std::copy_n(frame.covariance.data(), size * size, to);  // symmetric, so the order of storage does not matter
  }
  return out;
}

template <class Value, class Take>
py::array_t<Value> by_frame(const Solved& solved, Take&& take) {
  py::array_t<Value> out(static_cast<py::ssize_t>(solved.found.frames.size()));
  std::transform(solved.found.frames.begin(), solved.found.frames.end(), out.mutable_data(), take);
  return out;
}

}  // namespace

void bind_camera(py::module_& module) {
  using namespace py::literals;
  py::class_<Solved>(module, "SolvedView", "One view's cameras: what they share, and each frame's own.")
      .def_property_readonly("solved", [](const Solved& self) { return self.found.solved; })
      .def_property_readonly("view",
                             [](const Solved& self) {
                               const View& view = self.found.view;
                               ViewArray out;
                               out << view.place, view.k1, view.crown;
                               return out;
                             })
      .def_property_readonly("view_covariance", [](const Solved& self) { return self.found.covariance; })
      .def_property_readonly("scale", [](const Solved& self) { return self.found.scale; })
      .def_property_readonly("rms", [](const Solved& self) { return self.found.rms; })
      .def_property_readonly("rms_of_all", [](const Solved& self) { return self.found.rms_of_all; })
      .def_property_readonly(
          "frame_solved",
          [](const Solved& self) { return by_frame<bool>(self, [](const FrameCamera& f) { return f.solved; }); })
      .def_property_readonly("frame_marks",
                             [](const Solved& self) {
                               return by_frame<std::int64_t>(
                                   self, [](const FrameCamera& f) { return std::int64_t{f.marks}; });
                             })
      .def_property_readonly(
          "frame_rms",
          [](const Solved& self) { return by_frame<double>(self, [](const FrameCamera& f) { return f.rms; }); })
      .def_property_readonly("poses", &poses_of)
      .def_property_readonly("covariances", &covariances_of)
      .def_property_readonly("marks", [](const Solved& self) { return marks_out(self.found.marks); })
      .def("solve_frame", &solve_one, "frame"_a, "pixel"_a, "place"_a, "error"_a)
      .def("pose_unrest", &unrest_of, "play"_a, "time"_a)
      .def("add_between", &add_between, "a"_a, "b"_a, "after"_a, "before"_a, "unrest"_a, "pixel"_a, "place"_a,
           "error"_a)
      .def("other_field", &other, "field"_a, "frame"_a, "pixel"_a, "place"_a, "error"_a)
      .def("sight", &sight_all, "frame"_a, "pixel"_a, "pixel_error"_a, "height"_a, "height_error"_a, "posture"_a)
      .def("seen_at", &seen_at, "frame"_a, "place"_a, "height"_a);
  module.def("field_marks", &marks_of, "field"_a);
  module.def("solve_view", &solve, "picture"_a, "angle"_a, "pixel_error"_a, "frame"_a, "pixel"_a, "place"_a, "error"_a);
  module.def("project", &projected, "picture"_a, "view"_a, "pose"_a, "place"_a);
  module.def("project_ground", &ground_seen, "picture"_a, "view"_a, "pose"_a, "place"_a, "height"_a);
  module.def("project_slopes", &ground_slopes, "picture"_a, "view"_a, "pose"_a, "place"_a);
  module.def("ground_at", &ground_at, "picture"_a, "view"_a, "pose"_a, "pixel"_a);
  module.def("fuse", &fuse_two, "a"_a, "a_covariance"_a, "b"_a, "b_covariance"_a);
}
