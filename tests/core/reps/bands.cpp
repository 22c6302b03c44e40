#include "reps/bands.hpp"

#include <doctest/doctest.h>

#include "reps/told.hpp"

using namespace shortedge;

TEST_CASE("bands of reps: hardly any noise moves nothing, more of it widens them, and what is lost is said") {
  const Game game = scenes::Input(told::dropback(3.0, false)).game(Orientation::trust);
  const RepTables reps = reps_of_game(game, {}, 1);
  const auto column = [](const RepBands& bands, std::string_view name) {
    std::vector<double> values;
    BandTable<RepsTable>::for_each(bands.reps, [&](const ColumnInfo& info, const auto& of) {
      if constexpr (std::is_same_v<std::decay_t<decltype(of)>, std::vector<double>>) {
        if (info.name == name) values = of;
      }
    });
    CAPTURE(name);
    REQUIRE(!values.empty());
    return values;
  };

  const RepBands still = rep_bands_of_game(game, {}, {1e-9, 20, 3}, 1);
  const auto end_low = column(still, "end_low"), end_high = column(still, "end_high"),
             outcome = column(still, "outcome_agree");
  const auto depth_low = column(still, "set_depth_low"), depth_high = column(still, "set_depth_high");
  REQUIRE(end_low.size() == reps.reps.rows());
  for (std::size_t row = 0; row < end_low.size(); ++row) {
    CAPTURE(row);
    CHECK(outcome[row] == 1);
    CHECK(end_low[row] == doctest::Approx(reps.reps.end[row]));
    CHECK(end_high[row] == doctest::Approx(reps.reps.end[row]));
    CHECK(std::isnan(depth_low[row]) == std::isnan(reps.reps.set_depth[row]));
    if (std::isnan(depth_low[row])) continue;
    CHECK(depth_low[row] == doctest::Approx(reps.reps.set_depth[row]).epsilon(1e-6));
    CHECK(depth_high[row] == doctest::Approx(reps.reps.set_depth[row]).epsilon(1e-6));
  }

  const RepBands noisy = rep_bands_of_game(game, {}, {0.15, 60, 3}, 1),
                 wild = rep_bands_of_game(game, {}, {1.0, 60, 3}, 1);
  const auto low = column(noisy, "ground_given_low"), high = column(noisy, "ground_given_high");
  double calm = 0, upset = 0;
  for (std::size_t row = 0; row < low.size(); ++row) {
    if (!std::isnan(low[row])) CHECK(low[row] < high[row]);
    for (const RepBands* bands : {&noisy, &wild}) {
      const double agree = column(*bands, "outcome_agree")[row];
      CHECK(agree >= 0);
      CHECK(agree <= 1);
      (bands == &noisy ? calm : upset) += agree;
    }
  }
  CHECK(calm > upset);  // a yard of noise leaves few outcomes as they are
  // The same draws on any number of threads.
  CHECK(column(rep_bands_of_game(game, {}, {0.15, 60, 3}, 3), "ground_given_low").size() == low.size());
  const auto again = column(rep_bands_of_game(game, {}, {0.15, 60, 3}, 3), "outcome_agree");
  CHECK(again == column(noisy, "outcome_agree"));

  CHECK_THROWS_AS(rep_bands_of_game(game, {}, {-1, 60, 3}), InputError);
  CHECK_THROWS_AS(rep_bands_of_game(game, {}, {0.1, 1, 3}), InputError);
}
