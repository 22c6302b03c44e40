#include "measure/bands.hpp"

#include <doctest/doctest.h>

#include <numeric>

#include "scenes.hpp"

using namespace shortedge;
using scenes::contains, scenes::refusal;

namespace {

double of(std::vector<double> values, double p) { return quantile(values, p); }

std::vector<double> counted(std::size_t n) {
  std::vector<double> values(n);
  std::iota(values.rbegin(), values.rend(), 1.0);  // n ... 1: order does not matter
  return values;
}

EdgesTable edges(const std::vector<std::pair<double, Side>>& rows) {
  EdgesTable table;
  for (const auto& [time, side] : rows) {
    EdgesTable::Row row;
    row.play = 0;
    row.time = time;
    row.side = code(side);
    table.add(row);
  }
  return table;
}

}  // namespace

// Weibull 1939: the k-th of n has k / (n + 1) below it.
TEST_CASE("a quantile is a place among n + 1") {
  CHECK(of(counted(19), 0.05) == doctest::Approx(1).epsilon(1e-12));
  CHECK(of(counted(19), 0.95) == doctest::Approx(19).epsilon(1e-12));
  CHECK(of(counted(99), 0.05) == doctest::Approx(5).epsilon(1e-12));
  CHECK(of(counted(99), 0.95) == doctest::Approx(95).epsilon(1e-12));
  CHECK(of(counted(100), 0.05) == doctest::Approx(5.05).epsilon(1e-12));
  CHECK(of(counted(100), 0.5) == doctest::Approx(50.5).epsilon(1e-12));
}

TEST_CASE("a further draw is within the quantiles as often as they say") {
  scenes::Random random(5);
  const int cases = scenes::cases(20000, 200000);
  int below = 0, above = 0;
  for (int i = 0; i < cases; ++i) {
    std::vector<double> values(39);
    for (double& value : values) value = random.number(0, 1);
    const double further = random.number(0, 1);
    below += further < of(values, 0.05);
    above += further > of(values, 0.95);
  }
  const double four_errors = 4 * std::sqrt(0.05 * 0.95 / cases);
  CHECK(std::abs(below / double(cases) - 0.05) < four_errors);
  CHECK(std::abs(above / double(cases) - 0.05) < four_errors);
}

TEST_CASE("few values: the outermost") {
  CHECK(of({3}, 0.05) == 3);
  CHECK(of({4, 2}, 0.05) == 2);
  CHECK(of({4, 2}, 0.95) == 4);
}

TEST_CASE("infinite values") {
  CHECK(of({infinity, infinity, infinity}, 0.05) == infinity);
  CHECK(of({1, 2, infinity}, 0.05) == 1);
  CHECK(of({1, 2, infinity}, 0.5) == 2);
  CHECK(of({1, 2, infinity}, 0.6) == infinity);  // between 2 and infinity
  CHECK(of({1, 2, infinity}, 0.95) == infinity);
}

TEST_CASE("rows are matched by their keys; a row that is not there is none") {
  const EdgesTable recorded = edges({{0, Side::left}, {0, Side::right}, {0.1, Side::left}, {0.1, Side::right}});
  CHECK(matched_rows(recorded, recorded) == std::vector<std::int32_t>{0, 1, 2, 3});
  CHECK(matched_rows(recorded, edges({{0.1, Side::left}, {0.1, Side::right}, {0.2, Side::left}})) ==
        std::vector<std::int32_t>{-1, -1, 0, 1});
  CHECK(matched_rows(recorded, EdgesTable()) == std::vector<std::int32_t>(4, -1));
  CHECK(matched_rows(EdgesTable(), recorded).empty());
}

TEST_CASE("of equal keys the first is held against the first") {
  const EdgesTable twice = edges({{0, Side::left}, {0.1, Side::left}, {0, Side::left}});
  CHECK(matched_rows(twice, edges({{0.1, Side::left}, {0, Side::left}})) == std::vector<std::int32_t>{1, 0, -1});
}

TEST_CASE("noise that makes no sense is refused") {
  const auto refused = [](const Noise& noise) { return refusal([&] { noise.validate(); }); };
  CHECK(refused({0, 2, 0}).empty());
  CHECK(refused({0.1, 2000, 1}).empty());
  CHECK(contains(refused({-0.1, 100, 1}), "noise is -0.1; accepted: yd per axis, 0 or more"));
  CHECK(contains(refused({scenes::nan, 100, 1}), "noise is nan"));
  CHECK(contains(refused({infinity, 100, 1}), "noise is inf"));
  CHECK(contains(refused({0.1, 1, 1}), "draws is 1; accepted: 2 to 2000"));
  CHECK(contains(refused({0.1, 2001, 1}), "draws is 2001"));
}
