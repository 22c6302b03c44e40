#include "study/break_even.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "rush/cutoff.hpp"
#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;

namespace {

constexpr double scan_step = 0.01, scan_end = 60;  // yd

struct Case {
  Point rusher, blocker, passer;
  double k;
  double ratio(double depth) const { return cutoff_ratio(rusher, blocker, {passer.x(), depth}); }
  double depth() const { return break_even_depth(rusher, blocker, passer, k); }
};

Case random_case(scenes::Random& random) {
  return {{random.number(-8, 8), random.number(-3, 4)},
          {random.number(-5, 5), random.number(-1, 5)},
          {random.number(-2, 2), random.number(0, 6)},
          random.number(0.1, 1.3)};
}

double bisected(const Case& at, double low, double high) {
  for (int i = 0; i < 200; ++i) {
    const double middle = (low + high) / 2;
    (at.ratio(middle) >= at.k ? high : low) = middle;
  }
  return high;
}

/// The first bracket of a scan from the passer's depth, bisected; infinite where the scan meets none.
double by_scan(const Case& at, double from, double to, double step) {
  for (double low = from; low < to; low += step) {
    if (at.ratio(low + step) >= at.k) return bisected(at, low, low + step);
  }
  return infinity;
}

}  // namespace

TEST_CASE("the table of alignments and men") {
  // Tackle at (3.2, 0.7), rusher w yd outside him at v = -0.9, passer from (0, 1): computed by bisection, printed to a
  // tenth of a yard. Rows w = 2, 3, 4; speed ratios 0.35 to 0.75.
  constexpr double ratios[] = {0.35, 0.45, 0.55, 0.65, 0.75};
  constexpr double depths[3][5] = {
      {7.8, 10.5, 15.1, 26.4, 107.4}, {6.1, 7.9, 10.5, 14.9, 25.3}, {5.6, 7.3, 9.4, 12.8, 19.3}};
  for (int row = 0; row < 3; ++row) {
    for (int column = 0; column < 5; ++column) {
      CAPTURE(row);
      CAPTURE(column);
      const double depth = break_even_depth({5.2 + row, -0.9}, {3.2, 0.7}, {0, 1}, ratios[column]);
      CHECK(std::abs(depth - depths[row][column]) <= 0.05);
    }
  }
}

TEST_CASE("it is the first depth of a fine scan at which the ratio is reached") {
  scenes::Random random(701);
  int found = 0, none = 0, already = 0, narrow = 0;
  for (int i = 0, n = scenes::cases(3000, 60000); i < n; ++i) {
    const Case at = random_case(random);
    CAPTURE(i);
    const double depth = at.depth();
    CHECK(std::isnan(depth) == (at.ratio(at.passer.y()) >= at.k));
    if (std::isnan(depth)) {
      ++already;
      continue;
    }
    const double scanned = by_scan(at, at.passer.y(), scan_end, scan_step);
    if (scanned == infinity && !(depth < scan_end)) {
      ++none;
      continue;
    }
    if (depth < scanned - 1e-7) {  // the ratio is over it for less than a step: a finer scan sees it
      ++narrow;
      CHECK(by_scan(at, depth - scan_step, depth + scan_step, 1e-6) == Approx(depth).epsilon(1e-7));
      continue;
    }
    ++found;
    CHECK(depth == Approx(scanned).epsilon(1e-7));
  }
  CHECK(found > 500);
  CHECK(none > 200);
  CHECK(already > 200);
  CHECK(narrow < 30);
}

TEST_CASE("the ratio there is the speed ratio, whatever the branch") {
  scenes::Random random(702);
  int sine = 0, distances = 0, beyond = 0;
  for (int i = 0; i < 20000; ++i) {
    const Case at = random_case(random);
    const double depth = at.depth();
    if (!std::isfinite(depth)) continue;
    CAPTURE(i);
    CHECK(at.ratio(depth) == Approx(at.k).epsilon(1e-8));
    CHECK(depth >= at.passer.y());
    const Point spot(at.passer.x(), depth);
    const bool on_distances = std::abs(distance(at.blocker, spot) / distance(at.rusher, spot) - at.k) < 1e-7;
    distances += on_distances;
    sine += !on_distances;
    beyond += at.k > 1;
  }
  CHECK(sine > 1000);
  CHECK(distances > 1000);
  CHECK(beyond > 100);
}

TEST_CASE("mirrored, moved and scaled it is as it must be") {
  scenes::Random random(703);
  for (int i = 0; i < 5000; ++i) {
    const Case at = random_case(random);
    const double depth = at.depth();
    CAPTURE(i);
    const auto same = [&](const Case& other, double wanted) {
      if (std::isnan(depth)) {
        CHECK(std::isnan(other.depth()));
      } else if (std::isinf(depth)) {
        CHECK(std::isinf(other.depth()));
      } else {
        CHECK(other.depth() == Approx(wanted).epsilon(1e-6));
      }
    };
    CHECK((at.ratio(at.passer.y()) < at.k) == !std::isnan(depth));
    same({scenes::mirrored(at.rusher), scenes::mirrored(at.blocker), scenes::mirrored(at.passer), at.k}, depth);
    const Point by(random.number(-20, 20), random.number(-20, 20));
    if (std::abs(at.ratio(at.passer.y()) - at.k) < 1e-9) continue;
    same({at.rusher + by, at.blocker + by, at.passer + by, at.k}, depth + by.y());
    same({2 * at.rusher, 2 * at.blocker, 2 * at.passer, at.k}, 2 * depth);
  }
}

TEST_CASE("degenerate places") {
  CHECK(std::isnan(break_even_depth({3, 0}, {3, 0}, {0, 1}, 0.5)));  // on the blocker the ratio is 1 everywhere
  CHECK(std::isnan(break_even_depth({3, 0}, {3, 0}, {0, 1}, 1)));
  CHECK(std::isinf(break_even_depth({3, 0}, {3, 0}, {0, 1}, 1.2)));
  CHECK(std::isnan(break_even_depth({0, 1}, {3, 0}, {0, 1}, 5)));     // on the passer it is infinite
  CHECK(std::isinf(break_even_depth({0, -1}, {0, 0}, {0, 1}, 0.1)));  // straight before him it is 0 at every depth
  CHECK(std::isinf(break_even_depth({0, -1}, {0.2, 0}, {0, 3}, 0.5)));
  // The passer goes past a rusher straight behind him: he is reached on the way, where |PQ| = k |RQ|.
  CHECK(break_even_depth({0, 8}, {0, 2}, {0, 3}, 1) == Approx(5));
  CHECK(break_even_depth({0, 8}, {0, 2}, {0, 3}, 0.5) == Approx(4));
  CHECK(break_even_depth({0, 8}, {0, 2}, {0, 3}, 2) == Approx(6));
  for (const double k : {0.0, -0.5, scenes::nan}) CHECK(std::isnan(break_even_depth({6, -1}, {3, 0}, {0, 1}, k)));
  CHECK(std::isnan(break_even_depth(absent(), {3, 0}, {0, 1}, 0.5)));
  CHECK(std::isnan(break_even_depth({6, -1}, absent(), {0, 1}, 0.5)));
  CHECK(std::isnan(break_even_depth({6, -1}, {3, 0}, absent(), 0.5)));
}

TEST_CASE("wider and slower means shallower") {
  // The trade's judgement (common practice, no source): a wide alignment is harder on the man who must reach it.
  double wider = infinity;
  for (const double w : {2.0, 3.0, 4.0}) {
    double slower = infinity;
    for (const double k : {0.75, 0.65, 0.55, 0.45, 0.35}) {
      const double depth = break_even_depth({3.2 + w, -0.9}, {3.2, 0.7}, {0, 1}, k);
      CHECK(depth < slower);
      slower = depth;
    }
    const double depth = break_even_depth({3.2 + w, -0.9}, {3.2, 0.7}, {0, 1}, 0.5);
    CHECK(depth < wider);
    wider = depth;
  }
}
