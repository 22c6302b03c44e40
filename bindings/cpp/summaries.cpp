// Summaries of a game's coordinates, as recorded and as simulated with many sets of assumptions.

#include "study/summaries.hpp"

#include "arrays.hpp"
#include "work.hpp"

using namespace shortedge;
using namespace shortedge::python;

namespace {

/// Formation, depth, top_time, until, times, pairs as (protector, rusher, inside, side), and spots (draws * men, 2).
using Play =
    std::tuple<Formation, double, double, double, py::array, std::vector<std::tuple<int, int, bool, int>>, py::array>;

std::vector<Point> points_of(const py::array& array, const char* name) {
  const Points rows = points(array, name);
  std::vector<Point> all;
  for (Eigen::Index i = 0; i < rows.rows(); ++i) all.push_back(row(rows, i));
  return all;
}

std::vector<SeenPlay> plays_of(const std::vector<Play>& given) {
  std::vector<SeenPlay> plays;
  for (const auto& [formation, depth, top_time, until, times, pairs, spots] : given) {
    SeenPlay play{formation, depth, top_time, until, {}, {}, points_of(spots, "spots")};
    const std::span<const double> column_of = column<double>(times, "times");
    play.times.assign(column_of.begin(), column_of.end());
    for (const auto& [protector, rusher, inside, side] : pairs) {
      play.pairs.push_back({static_cast<std::size_t>(protector), static_cast<std::size_t>(rusher), inside, side});
    }
    plays.push_back(std::move(play));
  }
  return plays;
}

/// (summary_size,); places: of each play (frames * men, 2), of the passer, the protectors, the rushers.
py::array_t<double> recorded(const std::vector<Play>& given, const std::vector<py::array>& places) {
  const std::vector<SeenPlay> plays = plays_of(given);
  std::vector<std::vector<Point>> seen;
  for (const py::array& array : places) seen.push_back(points_of(array, "places"));
  const auto figures = summary_of(plays, seen);
  return to_array(std::vector<double>(figures.begin(), figures.end()));
}

/// (sets, alike_reps, summary_size); None when it was stopped.
py::object simulated(const std::vector<Play>& given, const std::vector<Assumptions>& sets, double sigma,
                     std::uint64_t seed, unsigned threads, const py::object& progress) {
  const std::vector<SeenPlay> plays = plays_of(given);
  auto result = at_work<std::optional<std::vector<double>>>(
      progress, [&](const Progress& ask) { return simulated_summaries(plays, sets, sigma, seed, threads, ask); });
  if (!result) return py::none();
  return to_array(std::move(*result))
      .reshape({static_cast<py::ssize_t>(sets.size()), static_cast<py::ssize_t>(alike_reps),
                static_cast<py::ssize_t>(summary_size)});
}

}  // namespace

void bind_summaries(py::module_& module) {
  using namespace py::literals;
  module.attr("SUMMARY_END") = summary_end;
  module.def("summary_names", &summary_names);
  module.def("recorded_summary", &recorded, "plays"_a, "places"_a);
  module.def("simulated_summaries", &simulated, "plays"_a, "sets"_a, "sigma"_a, "seed"_a, "threads"_a, "progress"_a);
}
