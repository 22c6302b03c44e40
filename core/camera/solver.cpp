#include "camera/solver.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Geometry>
#include <Eigen/LU>
#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "base/error.hpp"
#include "base/units.hpp"

namespace shortedge {

namespace {

constexpr Eigen::Index shared = View::size, own = Pose::size;
using SharedVector = Eigen::Matrix<double, shared, 1>;
using SharedMatrix = Eigen::Matrix<double, shared, shared>;
using OwnVector = Eigen::Matrix<double, own, 1>;
using OwnMatrix = Eigen::Matrix<double, own, own>;
using MixedMatrix = Eigen::Matrix<double, shared, own>;

constexpr double cauchy = 3;                              // standard deviations
constexpr std::array<double, 3> stages{100, 10, cauchy};  // widths of the weights on the way there
constexpr int most_steps = 100, start_steps = 15;
constexpr double least_gain = 1e-9;                    // relative: the cost has settled
constexpr double least_height = 0.5, most_away = 400;  // yd, of a camera
constexpr double zoom_range = 4;                       // log f about half a diagonal
constexpr std::size_t start_frames = 8, kept_starts = 3;
constexpr std::size_t marks_to_start = 4;
constexpr double median_of_square = 1.3862943611198906;  // of a standard normal pair's squared length: 2 ln 2

struct Weighed {
  Point pixel, place;
  double error;
  Eigen::Matrix2d whiten = Eigen::Matrix2d::Identity();  // pixels to standard deviations
};

/// Frames with their clicks, a prior on what they share, and where the solution is.
struct Problem {
  PictureSize picture;
  double roll_weight = 0, pixel = 2;
  SharedVector prior = SharedVector::Zero();
  SharedMatrix prior_weight = SharedMatrix::Zero();
  std::vector<std::vector<Weighed>> frames;
  View view;
  std::vector<Pose> poses;
  double width = cauchy;  // of the weights; infinite: plain least squares
  bool shared_held = false;
};

SharedVector vector_of(const View& view) {
  SharedVector out;
  out << view.place, view.k1, view.crown;
  return out;
}
View view_of(const SharedVector& at) { return {at.head<3>(), at[3], at[4]}; }
OwnVector vector_of(const Pose& pose) { return {pose.pan, pose.tilt, pose.log_f, pose.roll}; }
Pose pose_of(const OwnVector& at) { return {at[0], at[1], at[2], at[3]}; }

double robust(double square, double width) {
  return std::isinf(width) ? square / 2 : width * width / 2 * std::log1p(square / (width * width));
}

bool stands(const View& view) {
  return view.place.z() > least_height && (view.place - Place(60, 27, 0)).norm() < most_away && std::abs(view.k1) < 0.3;
}

double cost_of_frame(const Problem& problem, const View& view, const Pose& pose, const std::vector<Weighed>& clicks) {
  if (std::abs(pose.log_f - std::log(problem.picture.half_diagonal())) > zoom_range) return infinity;
  const Camera camera(problem.picture, view, pose);
  double cost = problem.roll_weight * pose.roll * pose.roll / 2;
  for (const Weighed& click : clicks) {
    const auto seen = camera.project_ground(click.place);
    if (!seen) return infinity;
    cost += robust((click.whiten * (*seen - click.pixel)).squaredNorm(), problem.width);
  }
  return cost;
}

double cost_of(const Problem& problem, const View& view, const std::vector<Pose>& poses) {
  if (!stands(view)) return infinity;
  const SharedVector off = vector_of(view) - problem.prior;
  double cost = off.dot(problem.prior_weight * off) / 2;
  for (std::size_t f = 0; f < poses.size() && cost < infinity; ++f) {
    cost += cost_of_frame(problem, view, poses[f], problem.frames[f]);
  }
  return cost;
}

/// The normal equations of one frame.
struct Arrow {
  OwnMatrix own_own;
  MixedMatrix shared_own;
  OwnVector own_pull;
};
struct Equations {
  SharedMatrix shared_shared;
  SharedVector shared_pull;
  std::vector<Arrow> frames;
};

bool set_up(const Problem& problem, Equations& out) {
  out.shared_shared = problem.prior_weight;
  out.shared_pull = problem.prior_weight * (problem.prior - vector_of(problem.view));
  out.frames.resize(problem.poses.size());
  for (std::size_t f = 0; f < problem.poses.size(); ++f) {
    const Camera camera(problem.picture, problem.view, problem.poses[f]);
    Arrow& arrow = out.frames[f];
    arrow.own_own.setZero();
    arrow.shared_own.setZero();
    arrow.own_pull.setZero();
    arrow.own_own(3, 3) = problem.roll_weight;
    arrow.own_pull[3] = -problem.roll_weight * problem.poses[f].roll;
    for (const Weighed& click : problem.frames[f]) {
      const auto slopes = camera.slopes(click.place);
      if (!slopes) return false;
      const Eigen::Vector2d off = click.whiten * (slopes->pixel - click.pixel);
      const Eigen::Matrix<double, 2, Camera::parameters> by = click.whiten * slopes->by_camera;
      const double weight =
          std::isinf(problem.width) ? 1.0 : 1 / (1 + off.squaredNorm() / (problem.width * problem.width));
      const auto left = by.leftCols<shared>();
      const auto right = by.rightCols<own>();
      out.shared_shared.noalias() += weight * left.transpose() * left;
      out.shared_pull.noalias() -= weight * left.transpose() * off;
      arrow.own_own.noalias() += weight * right.transpose() * right;
      arrow.shared_own.noalias() += weight * left.transpose() * right;
      arrow.own_pull.noalias() -= weight * right.transpose() * off;
    }
  }
  return true;
}

/// One damped step; false when the equations have no solution.
bool step(const Problem& problem, const Equations& equations, double damping, View& view, std::vector<Pose>& poses) {
  SharedMatrix left = equations.shared_shared;
  left.diagonal() += damping * (left.diagonal().array() + 1e-9).matrix();
  SharedVector pull = equations.shared_pull;
  std::vector<OwnMatrix> inverses(equations.frames.size());
  for (std::size_t f = 0; f < inverses.size(); ++f) {
    const Arrow& arrow = equations.frames[f];
    OwnMatrix damped = arrow.own_own;
    damped.diagonal() += damping * (damped.diagonal().array() + 1e-9).matrix();
    inverses[f] = damped.llt().solve(OwnMatrix::Identity());
    if (problem.shared_held) continue;
    const MixedMatrix through = arrow.shared_own * inverses[f];
    left.noalias() -= through * arrow.shared_own.transpose();
    pull.noalias() -= through * arrow.own_pull;
  }
  SharedVector move = SharedVector::Zero();
  if (!problem.shared_held) move = left.ldlt().solve(pull);
  if (!move.allFinite()) return false;
  view = view_of(vector_of(problem.view) + move);
  poses.resize(problem.poses.size());
  for (std::size_t f = 0; f < poses.size(); ++f) {
    const Arrow& arrow = equations.frames[f];
    const OwnVector turn = inverses[f] * (arrow.own_pull - arrow.shared_own.transpose() * move);
    if (!turn.allFinite()) return false;
    poses[f] = pose_of(vector_of(problem.poses[f]) + turn);
  }
  return true;
}

/// Levenberg and Marquardt's method from where the problem stands; the cost where it ends.
double settle(Problem& problem, int steps) {
  double cost = cost_of(problem, problem.view, problem.poses), damping = 1e-3;
  Equations equations;
  bool fresh = false;
  View view;
  std::vector<Pose> poses;
  for (int k = 0; k < steps && cost < infinity; ++k) {
    if (!fresh && !set_up(problem, equations)) return infinity;
    fresh = true;
    const double tried = step(problem, equations, damping, view, poses) ? cost_of(problem, view, poses) : infinity;
    if (tried < cost) {
      const bool done = cost - tried <= least_gain * (1 + cost);
      problem.view = view;
      std::swap(problem.poses, poses);
      cost = tried;
      fresh = false;
      damping = std::max(damping / 10, 1e-12);
      if (done) break;
    } else {
      if (damping > 1e8 || (damping > 1e2 && tried - cost <= least_gain * (1 + cost))) break;
      damping = std::max(damping * 10, 1e-8);
    }
  }
  return cost;
}

/// A pose that points at the marks from a place, zoomed to their spread.
Pose pointed(const Problem& problem, const Place& place, const std::vector<Weighed>& clicks) {
  Place toward = Place::Zero();
  Point middle(0, 0);
  for (const Weighed& click : clicks) {
    toward += (Place(click.place.x(), click.place.y(), 0) - place).normalized();
    middle += click.pixel / static_cast<double>(clicks.size());
  }
  Pose pose;
  pose.pan = std::atan2(toward.y(), toward.x());
  pose.tilt = std::atan2(-toward.z(), toward.head<2>().norm());
  const Place ahead(std::cos(pose.tilt) * std::cos(pose.pan), std::cos(pose.tilt) * std::sin(pose.pan),
                    -std::sin(pose.tilt));
  const Place right(std::sin(pose.pan), -std::cos(pose.pan), 0), down = ahead.cross(right);
  double seen = 0, spread = 0;
  Point centre(0, 0);
  std::vector<Point> tangents;
  for (const Weighed& click : clicks) {
    const Place off = Place(click.place.x(), click.place.y(), 0) - place;
    const double depth = std::max(off.dot(ahead), 1.0);
    tangents.emplace_back(off.dot(right) / depth, off.dot(down) / depth);
    centre += tangents.back() / static_cast<double>(clicks.size());
  }
  for (std::size_t i = 0; i < clicks.size(); ++i) {
    seen += (clicks[i].pixel - middle).squaredNorm();
    spread += (tangents[i] - centre).squaredNorm();
  }
  const double h = problem.picture.half_diagonal();
  const double f = std::clamp(std::sqrt(seen / std::max(spread, 1e-12)), h / 5, h * 40);
  const Point off = (middle - problem.picture.middle()) / f - centre;
  pose.pan += std::atan(off.x()) / std::max(std::cos(pose.tilt), 0.2);
  pose.tilt -= std::atan(off.y());
  pose.log_f = std::log(f);
  return pose;
}

std::vector<Place> start_places(Standpoint standpoint) {
  std::vector<Place> places;
  if (standpoint != Standpoint::sideline) {
    for (const double behind : {8.0, 25.0, 60.0}) {
      for (const double height : {5.0, 12.0, 28.0}) {
        places.emplace_back(-behind, 27, height);
        places.emplace_back(field_length + behind, 27, height);
      }
    }
  }
  if (standpoint != Standpoint::end_zone) {
    for (const double along : {35.0, 60.0, 85.0}) {
      for (const double beside : {12.0, 45.0}) {
        for (const double height : {8.0, 20.0, 45.0}) {
          places.emplace_back(along, -beside, height);
          places.emplace_back(along, field_width + beside, height);
        }
      }
    }
  }
  return places;
}

/// How the problem's clicks are weighed where it stands: the click's error and the mark's own.
void weigh(Problem& problem, double scale = 1) {
  for (std::size_t f = 0; f < problem.frames.size(); ++f) {
    const Camera camera(problem.picture, problem.view, problem.poses[f]);
    for (Weighed& click : problem.frames[f]) {
      const double sigma = problem.pixel * scale;
      Eigen::Matrix2d covariance = sigma * sigma * Eigen::Matrix2d::Identity();
      if (click.error > 0) {
        if (const auto slopes = camera.slopes(click.place)) {
          covariance += click.error * click.error * slopes->by_ground * slopes->by_ground.transpose();
        }
      }
      click.whiten = covariance.llt().matrixL().solve(Eigen::Matrix2d::Identity());
    }
  }
}

/// From wide weights to the narrow ones, anew weighed at each.
double settle_in_stages(Problem& problem, int steps) {
  double cost = infinity;
  for (const double width : stages) {
    problem.width = width;
    cost = settle(problem, steps);
    if (!(cost < infinity)) return cost;
    weigh(problem);
  }
  problem.width = cauchy;
  return settle(problem, steps);
}

/// The best place of the grid for some frames.
std::optional<View> find_start(const Problem& whole, const std::vector<std::size_t>& chosen, Standpoint standpoint) {
  struct Tried {
    double cost;
    Problem problem;
  };
  Problem few = whole;
  few.frames.clear();
  for (const std::size_t f : chosen) few.frames.push_back(whole.frames[f]);
  std::vector<Tried> tried;
  for (const Place& place : start_places(standpoint)) {
    Problem problem = few;
    problem.view = {place, 0, few.prior[4]};
    problem.poses.clear();
    for (const auto& clicks : problem.frames) problem.poses.push_back(pointed(problem, place, clicks));
    problem.width = stages[0];
    weigh(problem);
    problem.shared_held = true;
    settle(problem, start_steps);
    problem.shared_held = false;
    const double cost = settle(problem, start_steps);
    if (cost < infinity) tried.push_back({cost, std::move(problem)});
  }
  std::sort(tried.begin(), tried.end(), [](const Tried& a, const Tried& b) { return a.cost < b.cost; });
  if (tried.size() > kept_starts) tried.resize(kept_starts);
  double least = infinity;
  std::optional<View> best;
  for (Tried& one : tried) {
    const double cost = settle_in_stages(one.problem, most_steps);
    if (cost < least) {
      least = cost;
      best = one.problem.view;
    }
  }
  return best;
}

/// One frame from a view that is known; `bare` has no frames.
Pose pose_from(Problem bare, const View& view, const std::vector<Weighed>& clicks) {
  bare.view = view;
  bare.frames = {clicks};
  bare.poses = {pointed(bare, view.place, clicks)};
  bare.width = stages[0];
  bare.shared_held = true;
  weigh(bare);
  settle(bare, most_steps);
  return bare.poses[0];
}

struct Covariances {
  SharedMatrix shared_shared;
  std::vector<CameraCovariance> frames;
};

/// The inverse of the normal equations where the problem stands, frame by frame. Where what is shared is held, its
/// covariance is its prior's, and a frame's the wider by it.
bool invert(const Problem& problem, Covariances& out) {
  Equations equations;
  if (!set_up(problem, equations)) return false;
  SharedMatrix left = equations.shared_shared;
  std::vector<OwnMatrix> inverses;
  for (const Arrow& arrow : equations.frames) {
    inverses.push_back(arrow.own_own.ldlt().solve(OwnMatrix::Identity()));
    left.noalias() -= arrow.shared_own * inverses.back() * arrow.shared_own.transpose();
  }
  if (problem.shared_held) left = problem.prior_weight;
  out.shared_shared = left.ldlt().solve(SharedMatrix::Identity());
  out.frames.clear();
  for (std::size_t f = 0; f < inverses.size(); ++f) {
    const Eigen::Matrix<double, own, shared> lever = -inverses[f] * equations.frames[f].shared_own.transpose();
    CameraCovariance whole;
    whole.topLeftCorner<shared, shared>() = out.shared_shared;
    whole.bottomLeftCorner<own, shared>() = lever * out.shared_shared;
    whole.topRightCorner<shared, own>() = whole.bottomLeftCorner<own, shared>().transpose();
    whole.bottomRightCorner<own, own>() = inverses[f] + lever * out.shared_shared * lever.transpose();
    out.frames.push_back(whole);
  }
  return out.shared_shared.allFinite() && out.shared_shared.diagonal().minCoeff() > 0;
}

/// Names the wrong marks of one frame: `which` are the indices of its clicks, taken out as they are named.
void name_wrong(const Problem& whole, const Pose& pose, std::vector<Weighed> clicks, std::vector<std::size_t> which,
                const SharedVector& known, const SharedMatrix& information, double scale, double over,
                std::vector<SolvedMark>& marks) {
  while (clicks.size() >= fewest_marks) {
    Problem one;
    one.picture = whole.picture;
    one.roll_weight = whole.roll_weight;
    one.pixel = whole.pixel;
    one.prior = known;
    one.prior_weight = information;
    one.frames = {clicks};
    one.view = view_of(known);
    one.poses = {pose};
    one.width = infinity;
    if (!(settle(one, most_steps) < infinity)) return;
    Covariances covariances;
    if (!invert(one, covariances)) return;
    const Camera camera(one.picture, one.view, one.poses[0]);
    double greatest = 0;
    std::size_t worst = 0;
    for (std::size_t i = 0; i < clicks.size(); ++i) {
      const auto slopes = camera.slopes(clicks[i].place);
      if (!slopes) return;
      const Eigen::Matrix<double, 2, Camera::parameters> by = clicks[i].whiten * slopes->by_camera;
      const Eigen::Vector2d off = clicks[i].whiten * (slopes->pixel - clicks[i].pixel);
      const Eigen::Matrix2d left = Eigen::Matrix2d::Identity() - by * covariances.frames[0] * by.transpose();
      const double size = std::sqrt(std::max(0.0, off.dot(left.ldlt().solve(off))) / scale);
      marks[which[i]].size = size;
      if (size > greatest) {
        greatest = size;
        worst = i;
      }
    }
    if (!(greatest > over)) return;
    marks[which[worst]].wrong = true;
    clicks.erase(clicks.begin() + static_cast<std::ptrdiff_t>(worst));
    which.erase(which.begin() + static_cast<std::ptrdiff_t>(worst));
  }
}

Problem bare_problem(const PictureSize& picture, const SolveOptions& options) {
  Problem problem;
  problem.picture = picture;
  problem.pixel = options.pixel;
  problem.roll_weight = 1 / std::pow(radians(options.roll), 2);
  problem.prior << 0, 0, 0, 0, options.crown;
  problem.prior_weight(3, 3) = 1 / (options.k1 * options.k1);
  problem.prior_weight(4, 4) = 1 / (options.crown_error * options.crown_error);
  return problem;
}

void check(const PictureSize& picture, std::span<const MarkClick> clicks, const SolveOptions& options) {
  options.validate();
  if (!(picture.width > 0) || !(picture.height > 0) || !std::isfinite(picture.width + picture.height)) {
    throw InputError("picture is " + shown(picture.width) + " x " + shown(picture.height) +
                     "; accepted: pixels, above 0");
  }
  for (const MarkClick& click : clicks) {
    if (click.frame < 0) throw InputError("frame is " + std::to_string(click.frame) + "; accepted: 0 and up");
    if (!click.pixel.allFinite() || !click.place.allFinite() || !(click.error >= 0) || !std::isfinite(click.error)) {
      throw InputError("mark at (" + shown(click.pixel.x()) + ", " + shown(click.pixel.y()) + ") for (" +
                       shown(click.place.x()) + ", " + shown(click.place.y()) + "); accepted: finite numbers");
    }
  }
}

/// Mean squares in pixels an axis.
struct Squares {
  double sum = 0;
  std::size_t count = 0;
  void add(const Point& off) {
    sum += off.squaredNorm() / 2;
    ++count;
  }
  double root_mean() const { return count ? std::sqrt(sum / static_cast<double>(count)) : nan; }
};

}  // namespace

void SolveOptions::validate() const {
  for (const auto& [name, value] : {std::pair("pixel", pixel), std::pair("roll", roll), std::pair("k1", k1),
                                    std::pair("crown_error", crown_error), std::pair("wrong_over", wrong_over)}) {
    if (!(value > 0) || !std::isfinite(value)) {
      throw InputError(std::string(name) + " is " + shown(value) + "; accepted: above 0");
    }
  }
  if (!std::isfinite(crown)) throw InputError("crown is " + shown(crown) + "; accepted: yd");
}

SolvedView solve_view(const PictureSize& picture, std::span<const MarkClick> clicks, const SolveOptions& options) {
  check(picture, clicks, options);
  SolvedView out;
  out.marks.resize(clicks.size());
  std::vector<std::vector<std::size_t>> by_frame;
  for (std::size_t i = 0; i < clicks.size(); ++i) {
    const auto frame = static_cast<std::size_t>(clicks[i].frame);
    if (frame >= by_frame.size()) by_frame.resize(frame + 1);
    by_frame[frame].push_back(i);
  }
  out.frames.resize(by_frame.size());

  // Frames that take part: `frames` are their numbers, `which` the clicks of each that count.
  std::vector<std::size_t> frames;
  std::vector<std::vector<std::size_t>> which;
  Problem problem = bare_problem(picture, options);
  const auto gather = [&] {
    frames.clear();
    which.clear();
    problem.frames.clear();
    for (std::size_t f = 0; f < by_frame.size(); ++f) {
      std::vector<std::size_t> counted;
      for (const std::size_t i : by_frame[f]) {
        if (!out.marks[i].wrong) counted.push_back(i);
      }
      if (counted.size() < fewest_marks) continue;
      frames.push_back(f);
      std::vector<Weighed> weighed;
      for (const std::size_t i : counted) weighed.push_back({clicks[i].pixel, clicks[i].place, clicks[i].error});
      problem.frames.push_back(std::move(weighed));
      which.push_back(std::move(counted));
    }
  };
  gather();
  std::vector<std::size_t> chosen(frames.size());
  std::iota(chosen.begin(), chosen.end(), std::size_t{0});
  std::stable_sort(chosen.begin(), chosen.end(),
                   [&](std::size_t a, std::size_t b) { return problem.frames[a].size() > problem.frames[b].size(); });
  if (chosen.empty() || problem.frames[chosen[0]].size() < marks_to_start) return out;
  // Some of the best marked, spread over the game.
  const auto best = static_cast<std::size_t>(std::count_if(
      chosen.begin(), chosen.end(), [&](std::size_t f) { return problem.frames[f].size() >= marks_to_start; }));
  std::vector<std::size_t> spread;
  const std::size_t wanted = std::min(start_frames, best);
  for (std::size_t k = 0; k < wanted; ++k) spread.push_back(chosen[k * best / wanted]);
  const std::optional<View> start = find_start(problem, spread, options.standpoint);
  if (!start) return out;

  // Every frame from that place by itself, then all together.
  problem.view = *start;
  for (const auto& of_frame : problem.frames) {
    problem.poses.push_back(pose_from(bare_problem(picture, options), *start, of_frame));
  }
  weigh(problem);
  if (!(settle_in_stages(problem, most_steps) < infinity)) return out;
  Covariances covariances;
  if (!invert(problem, covariances)) return out;

  // Wrong marks, with the spread of the many as the measure.
  std::vector<double> squares;
  for (std::size_t f = 0; f < frames.size(); ++f) {
    const Camera camera(picture, problem.view, problem.poses[f]);
    for (const Weighed& click : problem.frames[f]) {
      const auto seen = camera.project_ground(click.place);
      squares.push_back(seen ? (click.whiten * (*seen - click.pixel)).squaredNorm() : infinity);
    }
  }
  const auto freedom = [&] {
    const double free = 2 * static_cast<double>(squares.size()) - 3 * static_cast<double>(frames.size()) - 3;
    return std::max(free, 1.0);  // roll, k1 and crown have priors and count as known
  };
  const auto middle = squares.begin() + static_cast<std::ptrdiff_t>(squares.size() / 2);
  std::nth_element(squares.begin(), middle, squares.end());
  const double spread_of_many =
      std::max(1.0, *middle / median_of_square * 2 * static_cast<double>(squares.size()) / freedom());
  const SharedMatrix information = covariances.shared_shared.ldlt().solve(SharedMatrix::Identity());
  for (std::size_t f = 0; f < frames.size(); ++f) {
    name_wrong(problem, problem.poses[f], problem.frames[f], which[f], vector_of(problem.view), information,
               spread_of_many, options.wrong_over, out.marks);
  }
  if (std::any_of(out.marks.begin(), out.marks.end(), [](const SolvedMark& mark) { return mark.wrong; })) {
    const std::vector<std::size_t> before = frames;
    const std::vector<Pose> poses = problem.poses;
    gather();
    problem.poses.clear();
    for (const std::size_t f : frames) {
      const auto at = std::lower_bound(before.begin(), before.end(), f) - before.begin();
      problem.poses.push_back(poses[static_cast<std::size_t>(at)]);
    }
    if (frames.empty()) return out;
    weigh(problem);
    problem.width = cauchy;
    if (!(settle(problem, most_steps) < infinity) || !invert(problem, covariances)) return out;
  }

  out.solved = true;
  out.view = problem.view;
  squares.clear();
  Squares counted, all;
  double sum = 0;
  for (std::size_t f = 0; f < frames.size(); ++f) {
    const Camera camera(picture, problem.view, problem.poses[f]);
    Squares of_frame;
    for (std::size_t k = 0; k < which[f].size(); ++k) {
      const Weighed& click = problem.frames[f][k];
      const auto seen = camera.project_ground(click.place);
      if (!seen) continue;
      of_frame.add(*seen - click.pixel);
      counted.add(*seen - click.pixel);
      const double square = (click.whiten * (*seen - click.pixel)).squaredNorm();
      squares.push_back(square);
      sum += 2 * robust(square, cauchy);  // a mark that is off but not named counts as it weighs
    }
    for (const std::size_t i : by_frame[frames[f]]) {
      const auto seen = camera.project_ground(clicks[i].place);
      if (!seen) continue;
      out.marks[i].off = *seen - clicks[i].pixel;
      all.add(out.marks[i].off);
    }
    FrameCamera& frame = out.frames[frames[f]];
    frame.solved = true;
    frame.pose = problem.poses[f];
    frame.marks = static_cast<int>(which[f].size());
    frame.rms = of_frame.root_mean();
  }
  out.scale = std::max(1.0, sum / freedom());
  out.rms = counted.root_mean();
  out.rms_of_all = all.root_mean();
  out.covariance = out.scale * covariances.shared_shared;
  for (std::size_t f = 0; f < frames.size(); ++f) out.frames[frames[f]].covariance = out.scale * covariances.frames[f];
  return out;
}

SolvedFrame solve_frame(const PictureSize& picture, const SolvedView& known, std::span<const MarkClick> clicks,
                        const SolveOptions& options) {
  check(picture, clicks, options);
  SolvedFrame out;
  out.marks.resize(clicks.size());
  if (!known.solved || clicks.size() < fewest_marks) return out;
  Problem problem = bare_problem(picture, options);
  problem.pixel *= std::sqrt(known.scale);
  problem.prior = vector_of(known.view);
  problem.prior_weight = known.covariance.ldlt().solve(SharedMatrix::Identity());
  std::vector<Weighed> weighed;
  for (const MarkClick& click : clicks) weighed.push_back({click.pixel, click.place, click.error});
  problem.view = known.view;
  problem.poses = {pose_from(problem, known.view, weighed)};
  problem.frames = {std::move(weighed)};
  problem.shared_held = true;
  weigh(problem);
  if (!(settle_in_stages(problem, most_steps) < infinity)) return out;
  std::vector<std::size_t> which(clicks.size());
  std::iota(which.begin(), which.end(), std::size_t{0});
  name_wrong(problem, problem.poses[0], problem.frames[0], which, problem.prior, problem.prior_weight, 1,
             options.wrong_over, out.marks);
  for (std::size_t i = clicks.size(); i-- > 0;) {
    if (out.marks[i].wrong) problem.frames[0].erase(problem.frames[0].begin() + static_cast<std::ptrdiff_t>(i));
  }
  if (problem.frames[0].size() < fewest_marks) return out;
  Covariances covariances;
  if (!(settle(problem, most_steps) < infinity) || !invert(problem, covariances)) return out;
  const Camera camera(picture, problem.view, problem.poses[0]);
  Squares squares;
  for (std::size_t i = 0; i < clicks.size(); ++i) {
    const auto seen = camera.project_ground(clicks[i].place);
    if (!seen) continue;
    out.marks[i].off = *seen - clicks[i].pixel;
    if (!out.marks[i].wrong) squares.add(out.marks[i].off);
  }
  out.frame = {true, problem.poses[0], covariances.frames[0], static_cast<int>(problem.frames[0].size()),
               squares.root_mean()};
  return out;
}

std::optional<OtherField> other_field(const PictureSize& picture, std::span<const MarkClick> clicks,
                                      const SolveOptions& options, FieldKind kind, const SolvedView& solved) {
  const double now = solved.solved ? solved.rms_of_all : infinity;
  if (!(now > 1.5 * options.pixel)) return std::nullopt;
  std::optional<OtherField> best;
  for (const FieldKind other : {FieldKind::pro, FieldKind::college, FieldKind::school}) {
    for (const bool mirrored : {false, true}) {
      if (other == kind && !mirrored) continue;
      std::vector<MarkClick> moved(clicks.begin(), clicks.end());
      for (MarkClick& click : moved) {
        click.place = moved_to(kind, other, click.place);
        if (mirrored) click.place.y() = field_width - click.place.y();
      }
      const SolvedView tried = solve_view(picture, moved, options);
      if (tried.solved && tried.rms_of_all < now / 2 && !(best && best->rms <= tried.rms_of_all)) {
        best = OtherField{other, mirrored, tried.rms_of_all, now};
      }
    }
  }
  return best;
}

}  // namespace shortedge
