#include <boost/random/mersenne_twister.hpp>
#include <boost/random/normal_distribution.hpp>
#include <cstdint>

#include "clicks.hpp"
#include "trace/journal.hpp"
#include "trace/smoother.hpp"

using namespace shortedge;
using namespace shortedge::python;

namespace {

py::dict smoothed(const py::array& time, const py::array& place, const py::array& covariance,
                  std::optional<double> rest, const py::array& wanted, const MotionNumbers& motion) {
  const auto times = column<double>(wanted, "wanted");
  const Smoother smoother(clicks_of(time, place, covariance), rest, times, motion_of(motion));
  const auto n = static_cast<py::ssize_t>(times.size());
  py::array_t<double> mean({n, py::ssize_t{6}}), full({n, py::ssize_t{6}, py::ssize_t{6}});
  double *to_mean = mean.mutable_data(), *to_full = full.mutable_data();
  for (const SmoothedState& state : smoother.states()) {
    to_mean = std::copy_n(state.mean.data(), 6, to_mean);
    to_full = std::copy_n(state.covariance.data(), 36, to_full);
  }
  py::dict out;
  out["mean"] = mean;
  out["covariance"] = full;
  out["scales"] = to_array(smoother.scales());
  out["sizes"] = to_array(smoother.deletion_sizes());
  out["log_likelihood"] = smoother.log_likelihood();
  return out;
}

/// Draws of a man's way, (draws, wanted, 4): place and velocity.
py::array_t<double> draws_of(const py::array& time, const py::array& place, const py::array& covariance,
                             std::optional<double> rest, const py::array& wanted, const MotionNumbers& motion,
                             std::size_t draws, std::uint64_t seed) {
  const auto times = column<double>(wanted, "wanted");
  Smoother smoother(clicks_of(time, place, covariance), rest, times, motion_of(motion));
  smoother.prepare_draws();
  boost::random::mt19937_64 engine(seed);
  boost::random::normal_distribution<double> normal;
  std::vector<double> numbers(smoother.numbers());
  py::array_t<double> out({static_cast<py::ssize_t>(draws), static_cast<py::ssize_t>(times.size()), py::ssize_t{4}});
  double* to = out.mutable_data();
  for (std::size_t draw = 0; draw < draws; ++draw) {
    for (double& number : numbers) number = normal(engine);
    const SampledWay way = smoother.draw(numbers);
    for (std::size_t k = 0; k < times.size(); ++k) {
      to = std::copy_n(way.place[k].data(), 2, to);
      to = std::copy_n(way.velocity[k].data(), 2, to);
    }
  }
  return out;
}

py::array_t<bool> strange(const py::array& time, const py::array& place, const py::array& covariance,
                          std::optional<double> rest, double over, const MotionNumbers& motion) {
  const std::vector<bool> flags = strange_clicks(clicks_of(time, place, covariance), rest, over, motion_of(motion));
  py::array_t<bool> out(static_cast<py::ssize_t>(flags.size()));
  std::copy(flags.begin(), flags.end(), out.mutable_data());
  return out;
}

/// `men`: of each, the first film's clicks as (time, place, covariance), the second's, and his time of rest or None.
std::pair<double, double> offset_of(const py::list& men, double error, const MotionNumbers& motion) {
  std::vector<TwiceSeen> seen;
  const auto clicks = [](const py::handle& three) {
    const auto [time, place, covariance] = py::cast<std::tuple<py::array, py::array, py::array>>(three);
    return clicks_of(time, place, covariance);
  };
  for (const py::handle& man : men) {
    const auto parts = py::reinterpret_borrow<py::tuple>(man);
    seen.push_back({clicks(parts[0]), clicks(parts[1]), py::cast<std::optional<double>>(parts[2])});
  }
  const py::gil_scoped_release released;
  const Offset offset = fit_offset(seen, error, motion_of(motion));
  return {offset.seconds, offset.error};
}

/// The acts of one kind that stand, as columns: n (the act's number), then its fields; texts are codes.
py::dict columns_of_acts(const Journal& journal, const std::string& word) {
  std::size_t which = 0;
  while (which < doings && word_of(static_cast<Doing>(which)) != word) ++which;
  if (which == doings) throw InputError("acts are \"" + word + "\"; accepted: the word of a kind of act");
  const auto fields = fields_of(static_cast<Doing>(which));
  std::vector<const Act*> acts;
  std::vector<std::int64_t> numbers;
  for (std::size_t k = 0; k < journal.acts().size(); ++k) {
    const Act& act = journal.acts()[k];
    if (!act.stands || act.doing != static_cast<Doing>(which)) continue;
    acts.push_back(&act);
    numbers.push_back(static_cast<std::int64_t>(k + 1));
  }
  py::dict out;
  out["n"] = to_array(std::move(numbers));
  std::size_t text_slot = 0, number_slot = 0;
  for (const ActField& field : fields) {
    const py::str name(field.name.data(), field.name.size());
    if (field.text) {
      std::vector<std::int32_t> values;
      for (const Act* act : acts) values.push_back(act->texts[text_slot]);
      ++text_slot;
      out[name] = to_array(std::move(values));
    } else {
      std::vector<double> values;
      for (const Act* act : acts) values.push_back(act->numbers[number_slot]);
      ++number_slot;
      out[name] = to_array(std::move(values));
    }
  }
  return out;
}

}  // namespace

void bind_trace(py::module_& module) {
  using namespace py::literals;
  py::class_<Journal>(module, "Journal", "The acts of a trace file; texts are codes into texts.")
      .def(py::init<>())
      .def(
          "read",
          [](Journal& self, const py::bytes& text) {
            const std::string_view view(text);
            const py::gil_scoped_release released;
            return self.read(view);
          },
          "text"_a)
      .def_property_readonly("lines", &Journal::lines)
      .def_property_readonly("header", [](const Journal& self) { return py::bytes(self.header()); })
      .def_property_readonly("texts", &Journal::texts)
      .def_property_readonly("next_undone", &Journal::next_undone)
      .def_property_readonly("next_redone", &Journal::next_redone)
      .def("can_strike", &Journal::can_strike, "act"_a)
      .def("columns", &columns_of_acts, "word"_a);
  module.def("crc32", [](const py::bytes& bytes) { return crc32(std::string_view(bytes)); }, "bytes"_a);
  module.def("smooth", &smoothed, "time"_a, "place"_a, "covariance"_a, "rest"_a, "wanted"_a, "motion"_a);
  module.def("smooth_draws", &draws_of, "time"_a, "place"_a, "covariance"_a, "rest"_a, "wanted"_a, "motion"_a,
             "draws"_a, "seed"_a);
  module.def("strange_clicks", &strange, "time"_a, "place"_a, "covariance"_a, "rest"_a, "over"_a, "motion"_a);
  module.def("fit_offset", &offset_of, "men"_a, "error"_a, "motion"_a);
}
