// The simulator: formations and assumptions come as they are, results go as counts and arrays.

#include "arrays.hpp"
#include "base/error.hpp"
#include "settings.hpp"
#include "study/simulated.hpp"
#include "work.hpp"

using namespace shortedge;
using namespace shortedge::python;

namespace {

Point place_of(const py::handle& value) {
  const auto [u, v] = py::cast<std::pair<double, double>>(value);
  return {u, v};
}

TakesSnap taken(const std::string& takes) {
  return chosen<TakesSnap>(takes, "passer",
                           {{"under", TakesSnap::under}, {"pistol", TakesSnap::pistol}, {"gun", TakesSnap::gun}});
}

/// Protectors as (place, slot, job, man, kick_speed, run_speed, tau, order), rushers as (place, inside, path,
/// top_speed, tau, plan, wait).
Formation make_formation(const std::string& takes, const py::object& passer, const py::list& protectors,
                         const py::list& rushers, double roll, double fake, int slide) {
  Formation formation;
  formation.takes = taken(takes);
  formation.passer = place_of(passer);
  for (const py::handle& item : protectors) {
    const auto man = py::cast<py::tuple>(item);
    Protector protector;
    protector.at = place_of(man[0]);
    protector.slot = chosen<Slot>(
        py::cast<std::string>(man[1]), "slot",
        {{"", Slot::none}, {"LT", Slot::LT}, {"LG", Slot::LG}, {"C", Slot::C}, {"RG", Slot::RG}, {"RT", Slot::RT}});
    protector.job = chosen<Job>(py::cast<std::string>(man[2]), "job",
                                {{"block", Job::block}, {"zone", Job::zone}, {"chip", Job::chip}});
    protector.man = py::cast<std::int32_t>(man[3]);
    protector.kick_speed = py::cast<double>(man[4]);
    protector.run_speed = py::cast<double>(man[5]);
    protector.tau = py::cast<double>(man[6]);
    protector.order = chosen<SetOrder>(
        py::cast<std::string>(man[7]), "order",
        {{"", SetOrder::drop}, {"jump", SetOrder::jump}, {"45", SetOrder::angle}, {"vertical", SetOrder::vertical}});
    formation.protectors.push_back(protector);
  }
  for (const py::handle& item : rushers) {
    const auto man = py::cast<py::tuple>(item);
    Rusher rusher;
    rusher.at = place_of(man[0]);
    rusher.inside = py::cast<bool>(man[1]);
    for (const py::handle& place : py::cast<py::list>(man[2])) rusher.path.push_back(place_of(place));
    rusher.top_speed = py::cast<double>(man[3]);
    rusher.tau = py::cast<double>(man[4]);
    rusher.plan = chosen<RushPlan>(py::cast<std::string>(man[5]), "plan",
                                   {{"", RushPlan::drawn},
                                    {"outside", RushPlan::outside},
                                    {"power", RushPlan::power},
                                    {"inside", RushPlan::inside}});
    rusher.wait = py::cast<double>(man[6]);
    formation.rushers.push_back(rusher);
  }
  formation.roll = roll;
  formation.fake = fake;
  formation.slide = slide;
  formation.validate();
  return formation;
}

/// Of each protector: -1 left, 0 the centre, +1 right.
std::vector<int> sides(const Formation& formation) {
  std::vector<int> sides;
  for (const Protector& protector : formation.protectors) sides.push_back(side_of(protector));
  return sides;
}

/// s after the snap: when a drop tops as planned.
double planned_top(const std::string& takes, const py::object& passer, double roll, double fake, double depth,
                   const Assumptions& assumptions) {
  Formation formation;
  formation.takes = taken(takes);
  formation.passer = place_of(passer);
  formation.roll = roll;
  formation.fake = fake;
  return PasserDrop(formation, assumptions, depth).top_time();
}

py::dict to_dict(const Outcomes& of) {
  constexpr double shares[] = {0.1, 0.5, 0.9};
  py::dict out;
  out["arrived"] = of.arrived;
  out["pressure"] = of.pressure;
  out["hurried"] = of.hurried;
  out["hips"] = of.hips;
  out["hips_early"] = of.hips_early;
  const auto quantiles = [&](const char* name, const Counts& counts) {
    py::list list;
    for (const double share : shares) list.append(counts.quantile(share));
    out[name] = list;
  };
  quantiles("hips_time", of.hips_time);
  quantiles("arrival_time", of.arrival_time);
  quantiles("cutoff", of.cutoff);
  quantiles("exposure", of.exposure);
  return out;
}

/// By the clock: hold, its spread, share of second reads, what one takes; else time, spread, per yard.
using Throws = std::tuple<bool, std::vector<double>>;
ThrowPlan plan(const Throws& throws) {
  const auto& [clock, of] = throws;
  if (of.size() != (clock ? 4u : 3u)) throw InputError("a throw has " + std::to_string(of.size()) + " numbers");
  if (!clock) return ThrowPlan::by_time(of[0], of[1], of[2]);
  ThrowPlan plan;
  plan.hold = of[0], plan.hold_spread = of[1], plan.second_read = of[2], plan.second_takes = of[3];
  return plan;
}

/// None when it was stopped.
py::object depth(const Formation& formation, const Assumptions& assumptions, const Throws& throws, double depth,
                 std::uint64_t seed, std::uint64_t draws, double step, unsigned threads, const py::object& progress) {
  const Case of{formation, assumptions, plan(throws), depth};
  const auto result = at_work<std::optional<DepthResult>>(
      progress, [&](const Progress& ask) { return study_depth(of, {seed, draws, step}, threads, ask); });
  if (!result) return py::none();
  py::dict out = to_dict(result->play);
  out["depth"] = result->depth;
  out["top_time"] = result->top_time;
  out["draws"] = result->draws;
  py::list men;
  for (const Outcomes& man : result->protectors) men.append(to_dict(man));
  out["protectors"] = men;
  return out;
}

/// (5, 4): arrived, pressure, hurried, hips, hips_early; neither, first alone, second alone, both. None when it was
/// stopped.
py::object pair(const std::tuple<Formation, Assumptions, Throws, double>& first,
                const std::tuple<Formation, Assumptions, Throws, double>& second, std::uint64_t seed,
                std::uint64_t draws, double step, unsigned threads, const py::object& progress) {
  const auto side = [](const auto& of) {
    return Case{std::get<0>(of), std::get<1>(of), plan(std::get<2>(of)), std::get<3>(of)};
  };
  const Case one = side(first), other = side(second);
  const auto result = at_work<std::optional<Pairing>>(
      progress, [&](const Progress& ask) { return study_pair(one, other, {seed, draws, step}, threads, ask); });
  if (!result) return py::none();
  std::vector<std::int64_t> flat;
  for (const auto& outcome : *result) {
    for (const std::uint64_t count : outcome) flat.push_back(static_cast<std::int64_t>(count));
  }
  return to_array(std::move(flat)).reshape({5, 4});
}

/// One rep, filmed `every` s. number None: nothing left to chance.
py::dict rep(const Formation& formation, const Assumptions& assumptions, const Throws& throws, double depth,
             std::uint64_t seed, const std::optional<std::uint64_t>& number, double after, double every, double step) {
  const ThrowPlan throw_plan = plan(throws);
  throw_plan.validate();
  assumptions.validate();
  if (!(every >= step && every <= 1))
    throw InputError("every is " + shown(every) + " s; accepted: " + shown(step) + " to 1");
  if (!(after >= 0 && after <= 10)) throw InputError("after is " + shown(after) + " s; accepted: 0 to 10");
  const PasserDrop drop(formation, assumptions, depth);
  RepSimulator simulator(formation, assumptions, drop, step);
  const Draw drawn = number ? draw(formation, assumptions, seed, *number) : no_chance(formation, assumptions);
  Film film;
  film.every = every;
  const RepRecord& record = simulator.run(drawn, throw_plan.at(depth, drop.top_time(), drawn.passer), after, &film);
  const auto by_frame = [&](const std::vector<Point>& values) {
    return to_array(std::span<const Point>(values))
        .reshape({static_cast<py::ssize_t>(film.time.size()), py::ssize_t{-1}, py::ssize_t{2}});
  };
  py::dict out;
  out["throw_time"] = record.throw_time;
  out["top_time"] = record.top_time;
  out["end"] = record.end;
  out["place"] = by_frame(film.place);
  out["velocity"] = by_frame(film.velocity);
  out["time"] = to_array(std::move(film.time));
  const auto gathered = [](const auto& records, std::size_t count, auto&& value) {
    std::vector<double> values;
    for (std::size_t i = 0; i < count; ++i) values.push_back(value(records[i]));
    return to_array(std::move(values));
  };
  const std::size_t protectors = formation.protectors.size(), rushers = formation.rushers.size();
  const auto of_protectors = [&](const char* name, double ProtectorRecord::* member) {
    out[name] = gathered(record.protectors, protectors, [&](const ProtectorRecord& of) { return of.*member; });
  };
  of_protectors("engaged", &ProtectorRecord::engaged);
  of_protectors("hips", &ProtectorRecord::hips);
  of_protectors("peak_cutoff", &ProtectorRecord::peak_cutoff);
  of_protectors("peak_cutoff_time", &ProtectorRecord::peak_cutoff_time);
  of_protectors("peak_exposure", &ProtectorRecord::peak_exposure);
  out["arrival"] = gathered(record.rushers, rushers, [](const RusherRecord& of) { return of.arrival; });
  out["pressure"] = gathered(record.rushers, rushers, [](const RusherRecord& of) { return of.pressure; });
  out["hurried"] = gathered(record.rushers, rushers, [](const RusherRecord& of) { return of.hurried; });
  return out;
}

}  // namespace

void bind_simulate(py::module_& module) {
  using namespace py::literals;
  bind_settings<Assumptions>(
      module, "Assumptions", "assumption",
      "What the simulator assumes of the men. Any of them by name; the rest keep their defaults.\n"
      "Raises InputError for an unknown name or a value outside its bounds.");
  py::class_<Formation>(module, "Formation", "A formation as the compiled side holds it.")
      .def(py::init(&make_formation), "takes"_a, "passer"_a, "protectors"_a, "rushers"_a, "roll"_a, "fake"_a, "slide"_a)
      .def_property_readonly("sides", &sides);
  module.def("planned_top", &planned_top, "takes"_a, "passer"_a, "roll"_a, "fake"_a, "depth"_a, "assumptions"_a);
  module.def("simulate_depth", &depth, "formation"_a, "assumptions"_a, "throws"_a, "depth"_a, "seed"_a, "draws"_a,
             "step"_a, "threads"_a, "progress"_a);
  module.def("simulate_pair", &pair, "first"_a, "second"_a, "seed"_a, "draws"_a, "step"_a, "threads"_a, "progress"_a);
  module.def("simulate_rep", &rep, "formation"_a, "assumptions"_a, "throws"_a, "depth"_a, "seed"_a, "number"_a,
             "after"_a, "every"_a, "step"_a);
}
