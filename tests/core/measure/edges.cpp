#include "measure/edges.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;
using scenes::Stage;

namespace {

struct EdgeRow {
  std::int32_t edge_man, rusher;
  double edge_width, edge_given, drift, corner_held, short_edge, outside_time, exposure;
  bool engaged;
  int helpers;
};

EdgeRow edge(const Tables& tables, Side side, std::size_t frame = 0) {
  const EdgesTable& edges = tables.edges;
  for (std::size_t k = 0; k < edges.rows(); ++k) {
    if (edges.side[k] != static_cast<std::int8_t>(side) ||
        std::abs(edges.time[k] - 0.1 * static_cast<double>(frame)) > 1e-9)
      continue;
    return {edges.edge_man[k], edges.rusher[k],       edges.edge_width[k], edges.edge_given[k],
            edges.drift[k],    edges.corner_held[k],  edges.short_edge[k], edges.outside_time[k],
            edges.exposure[k], edges.engaged[k] != 0, edges.helpers[k]};
  }
  FAIL("no such row");
  return {};
}

/// Outside exposure of a rusher in the first frame.
double exposure_of(const Tables& tables, std::size_t rusher) {
  for (std::size_t k = 0; k < tables.rushers.rows(); ++k) {
    if (tables.rushers.rusher[k] == static_cast<std::int32_t>(rusher)) return tables.rushers.outside_exposure[k];
  }
  return scenes::nan;
}

}  // namespace

TEST_CASE("with nobody on it the wall's end sets the edge") {
  Stage stage;
  stage.line();
  stage.rusher({{-0.6, 0.6}});  // on the centre's left: the centre has no side
  for (const Side side : {Side::left, Side::right}) {
    const EdgeRow row = edge(stage.measured(), side);
    CHECK(row.edge_man == (side == Side::left ? 1 : 5));
    CHECK(row.rusher == no_code);
    CHECK(std::isinf(row.outside_time));
    CHECK(row.exposure == 0);
    CHECK(std::isnan(row.corner_held));
    CHECK(row.short_edge == 0);
    CHECK_FALSE(row.engaged);
    CHECK(row.helpers == 0);
    CHECK(row.edge_width == Approx(3 + 1.04));
    CHECK(row.edge_given == 0);
    CHECK(row.drift == 0);
  }
}

TEST_CASE("the end man sets the edge until another man's exposure reaches takeover") {
  // A wide end stands off the right tackle; a man in the guard's gap comes nearer, step by step.
  int tackle = 0, guard = 0;
  for (double step = 0; step <= 1; step += 0.02) {
    Stage stage;
    stage.line();
    const auto wide = stage.rusher({{7, 0}});
    const auto inside = stage.rusher({{2.1 + step * 0.4, 0.8 + 2.2 * step}});
    const Tables tables = stage.measured();
    const double from_guard = distance(stage.places[inside][0], stage.places[4][0]);
    if (from_guard >= distance(stage.places[inside][0], stage.places[5][0])) continue;  // now the tackle's man
    const EdgeRow row = edge(tables, Side::right);
    const double his = exposure_of(tables, inside), end_mans = exposure_of(tables, wide);
    CAPTURE(step);
    if (his >= Rules().takeover && his > end_mans) {
      ++guard;
      CHECK(row.edge_man == 4);
      CHECK(row.rusher == static_cast<std::int32_t>(inside));
      CHECK(row.exposure == his);
      CHECK(row.edge_width == Approx(1.5 + 1.04));
    } else {
      ++tackle;
      CHECK(row.edge_man == 5);
      CHECK(row.rusher == static_cast<std::int32_t>(wide));
      CHECK(row.exposure == end_mans);
      CHECK(row.edge_width == Approx(3 + 1.04));
    }
  }
  CHECK(tackle > 3);
  CHECK(guard > 3);
}

TEST_CASE("a tackle out on a wide blitzer leaves the edge to the guard, and the edge is narrower") {
  // The trade's judgement (common practice, no source). Detached: more than 3.5 yd outside the guard.
  Stage stage;
  stage.passer({{0, 5}});
  stage.protector(Slot::LT, {{-3, 3}});
  stage.protector(Slot::LG, {{-1.5, 2}});
  stage.protector(Slot::C, {{0, 1.5}});
  const auto guard = stage.protector(Slot::RG, {{1.5, 2}});
  const auto tackle = stage.protector(Slot::RT, {{3, 3}, {4.9, 3}, {5.2, 3}});
  stage.rusher({{4, 1}, {5.8, 2}, {6.2, 2.2}});
  const Tables tables = stage.measured();
  CHECK(edge(tables, Side::right, 0).edge_man == static_cast<std::int32_t>(tackle));
  CHECK(edge(tables, Side::right, 0).edge_given == 0);
  CHECK(edge(tables, Side::right, 1).edge_given == Approx(-1.9));
  const EdgeRow out = edge(tables, Side::right, 2);
  CHECK(out.edge_man == static_cast<std::int32_t>(guard));
  CHECK(out.edge_given == Approx(1.5));
  CHECK(out.edge_width == Approx(1.5 + 1.04));
  CHECK(out.rusher == no_code);  // he is the tackle's man, who is no longer in the wall
  CHECK(tables.frames.pocket_width[2] == Approx(4.5));
  CHECK(edge(tables, Side::left, 2).edge_given == 0);
}

TEST_CASE("what the passer gives by drifting is his own share") {
  Stage stage;
  stage.passer({{0, 5}, {0.8, 5.5}});
  for (const auto& [slot, at] : scenes::five_linemen()) stage.protector(slot, {at});
  const Tables tables = stage.measured();
  const EdgeRow right = edge(tables, Side::right, 1), left = edge(tables, Side::left, 1);
  CHECK(right.drift == Approx(0.8));
  CHECK(right.edge_given == Approx(0.8));
  CHECK(right.edge_width == Approx(2.2 + 1.04));
  CHECK(left.drift == Approx(-0.8));
  CHECK(left.edge_given == Approx(-0.8));
}

TEST_CASE("a rusher nobody is before takes the edge, whoever his nearest man is") {
  Stage stage;
  stage.line();
  const auto free = stage.rusher({{2.2, 4.6}});  // nearer the passer than the tackle, his nearest man
  const EdgeRow row = edge(stage.measured(), Side::right);
  CHECK(row.rusher == static_cast<std::int32_t>(free));
  CHECK(row.edge_man == 5);
  CHECK(row.corner_held == 0);
  CHECK(row.short_edge == Approx(1.04));
  CHECK(row.exposure > 0.3);
}

TEST_CASE("past his man a rusher keeps the edge, far off as the end's own, near though his man is out of the wall") {
  Stage far;
  far.passer({{0, 8}});
  for (const auto& [slot, at] : scenes::five_linemen()) far.protector(slot, {at + Point(0.2 * at.x(), 0)});
  const auto beside = far.rusher({{4.6, 4.1}});  // a little nearer the passer than the tackle, six yards off
  const Tables tables = far.measured();
  REQUIRE(tables.rushers.cutoff_ratio[0] >= 1);
  REQUIRE(exposure_of(tables, beside) < Rules().takeover);
  CHECK(edge(tables, Side::right).rusher == static_cast<std::int32_t>(beside));

  // Past the tackle outside in the first frame; then the tackle rides him past the passer.
  Stage near;
  near.passer({{0, 5}});
  for (const auto& [slot, at] : scenes::five_linemen()) {
    near.protector(slot, slot == Slot::RT ? std::vector<Point>{at, Point(1, 7.5)} : std::vector<Point>{at});
  }
  const auto past = near.rusher({{2.9, 4.6}, {1, 6.5}});
  near.has[past] = 5;
  const EdgeRow row = edge(near.measured(), Side::right, 1);
  CHECK(row.rusher == static_cast<std::int32_t>(past));
  CHECK(row.edge_man == 5);
  CHECK(row.corner_held == 0);
  CHECK(near.measured().frames.wall_right[1] == 4);  // the tackle, behind the passer, is out of the wall
}

TEST_CASE("of the edge's figures the rusher's are his") {
  Stage stage;
  stage.line();
  const auto end = stage.rusher({{3.8, 2.4}});
  stage.man(Role::other, Slot::none, {{4.4, 1.8}});  // a chip
  const Tables tables = stage.measured();
  const EdgeRow row = edge(tables, Side::right);
  const RushersTable& rushers = tables.rushers;
  REQUIRE(rushers.rows() == 1);
  CHECK(row.rusher == static_cast<std::int32_t>(end));
  CHECK(row.outside_time == rushers.outside_time[0]);
  CHECK(row.exposure == rushers.outside_exposure[0]);
  CHECK(row.corner_held == rushers.corner_held[0]);
  CHECK(row.short_edge == rushers.short_edge[0]);
  CHECK(row.engaged);
  CHECK(row.helpers == 1);
  CHECK(tables.frames.exposure_right[0] == row.exposure);
  CHECK(tables.frames.exposure_left[0] == 0);
}

TEST_CASE("of equals the quicker way round, then the lower id") {
  // Both beyond the horizon: exposure 0 and 0, so the way's time decides.
  Stage stage;
  stage.line();
  stage.rusher({{14, -8}});
  const auto nearer = stage.rusher({{13, -7}});
  const Tables far = stage.measured();
  REQUIRE(exposure_of(far, nearer) == 0);
  CHECK(edge(far, Side::right).rusher == static_cast<std::int32_t>(nearer));

  Stage twins;
  twins.line();
  const auto lower = twins.rusher({{4.5, 1.5}});
  twins.rusher({{4.5, 1.5}});
  CHECK(edge(twins.measured(), Side::right).rusher == static_cast<std::int32_t>(lower));
}
