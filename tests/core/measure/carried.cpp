#include "measure/carried.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

using namespace shortedge;
using doctest::Approx;

namespace {

constexpr double inf = std::numeric_limits<double>::infinity();

std::pair<double, double> carried(std::string_view table, std::string_view column, const BandNoise& noise,
                                  double recorded, double low, double high) {
  CarriedBand(table, column, noise).carry(recorded, low, high);
  return {low, high};
}

const CarriedFigure& figure(std::string_view column) {
  const auto is = [&](const CarriedFigure& one) { return one.column == column; };
  return *std::find_if(carried_figures().begin(), carried_figures().end(), is);
}

}  // namespace

TEST_CASE("the band is the recorded figure and two shares of the draws' width, linear in sigma between the table's") {
  const CarriedFigure& slack = figure("slack");
  for (std::size_t i = 0; i < carried_sigmas.size(); ++i) {
    const auto [low, high] = carried("rushers", "slack", {carried_sigmas[i]}, 10, 9, 11);
    CHECK(low == Approx(10 + 2 * slack.ends[i].low));
    CHECK(high == Approx(10 + 2 * slack.ends[i].high));
  }
  const auto [low, high] = carried("rushers", "slack", {0.15}, 10, 9, 11);
  CHECK(low == Approx(10 + slack.ends[2].low + slack.ends[3].low));
  CHECK(high == Approx(10 + slack.ends[2].high + slack.ends[3].high));
  CHECK(carried("rushers", "slack", {0.01}, 10, 9, 11) == carried("rushers", "slack", {0.05}, 10, 9, 11));
  CHECK(carried("rushers", "slack", {0.6}, 10, 9, 11) == carried("rushers", "slack", {0.25}, 10, 9, 11));
}

TEST_CASE("every figure's band goes about the recorded figure, and stays within its bounds") {
  CHECK(carried_figures().size() == 11);
  for (const CarriedFigure& one : carried_figures()) {
    CAPTURE(one.column);
    for (const CarriedEnd& end : one.ends) {
      CHECK(end.low < 0);
      CHECK(end.high > 0);
    }
    const auto [low, high] = carried(one.table, one.column, {0.05}, one.least, one.least, one.least + 0.5);
    CHECK(low == one.least);
    CHECK(high > one.least);
    if (!std::isfinite(one.greatest)) continue;
    CHECK(carried(one.table, one.column, {0.05}, one.greatest, one.greatest - 0.5, one.greatest).second ==
          one.greatest);
  }
}

TEST_CASE(
    "all others keep the band of the draws; so do a band of no width and an infinite one, and all while it is learnt") {
  const std::pair band(0.25, 2.0);
  CHECK(carried("rushers", "distance", {0.1}, 1, 0.25, 2) == band);
  CHECK(carried("frames", "slack", {0.1}, 1, 0.25, 2) == band);  // of another table
  CHECK(carried("rushers", "slack", {0.1, false, false}, 1, 0.25, 2) == band);
  CHECK(carried("rushers", "slack", {0.1}, 1, 1, 1) == std::pair(1.0, 1.0));
  CHECK(carried("rushers", "slack", {0.1}, inf, 1, inf) == std::pair(1.0, inf));
}

TEST_CASE("when a peak was has no band: with any noise, or with more than it bears") {
  const auto has = [](std::string_view column, double sigma) {
    return !std::isnan(carried("reps", column, {sigma}, 1, 0.5, 1.5).first);
  };
  CHECK(has("peak_cutoff_time", 0));
  CHECK(!has("peak_cutoff_time", 0.01));
  for (const UnheldFigure& one : unheld_figures()) {
    CHECK(has(one.column, std::isfinite(one.most_sigma) ? one.most_sigma : 1));
    CHECK((std::isinf(one.most_sigma) || !has(one.column, one.most_sigma + 0.01)));
  }
  CHECK(has("ground_given", 0.1));
  CHECK(!has("ground_given", 0.099));
  CHECK(has("ground_given", 0));
  CHECK(has("beat_time", 0.25));
}

TEST_CASE("no band where none holds: too much noise, and figures of recorded speeds") {
  const auto none = [](std::string_view table, std::string_view column, const BandNoise& noise) {
    const auto [low, high] = carried(table, column, noise, 1, 0.5, 1.5);
    CHECK(std::isnan(low) == std::isnan(high));
    return std::isnan(low);
  };
  CHECK(!none("rushers", "closest_in", {0.1}));
  CHECK(none("rushers", "closest_in", {0.11}));
  CHECK(none("reps", "foot_speed", {0.11}));
  CHECK(!none("rushers", "closest", {0.15}));
  CHECK(none("rushers", "closest", {0.16}));
  CHECK(!none("reps", "peak_outside", {0.25}));
  CHECK(none("reps", "peak_outside", {0.05, true}));
  CHECK(!none("rushers", "cutoff_ratio", {0.05, true}));
}
