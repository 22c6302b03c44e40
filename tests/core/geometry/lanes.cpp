#include "geometry/lanes.hpp"

#include <doctest/doctest.h>

#include <array>
#include <bit>
#include <cstdint>

#include "rush/closest.hpp"
#include "rush/cutoff.hpp"
#include "scenes.hpp"
#include "simulate/drive.hpp"

using namespace shortedge;

namespace {

using Numbers = std::array<double, lanes>;
using Points = std::array<Point, lanes>;

/// Ordinary numbers, and now and then one that rules stumble over.
double odd_number(scenes::Random& random) {
  constexpr std::array odd{0.0, -0.0, 1.0, scenes::infinity, -scenes::infinity, scenes::nan};
  if (random.whole(0, 3) == 0) return odd[static_cast<std::size_t>(random.whole(0, static_cast<int>(odd.size()) - 1))];
  return random.number(-3, 3);
}

Wide wide(const Numbers& numbers) {
  Wide result;
  for (std::size_t lane = 0; lane < lanes; ++lane) result[lane] = numbers[lane];
  return result;
}

WidePoint wide(const Points& points) {
  WidePoint result;
  for (std::size_t lane = 0; lane < lanes; ++lane) result.set(lane, points[lane]);
  return result;
}

bool same_bits(double a, double b) {
  return (std::isnan(a) && std::isnan(b)) || std::bit_cast<std::uint64_t>(a) == std::bit_cast<std::uint64_t>(b);
}

}  // namespace

TEST_CASE("each lane is what the number alone is, to the bit, odd ones among them") {
  scenes::Random random(131);
  for (int i = 0; i < 5000; ++i) {
    Numbers a, b, c;
    for (std::size_t lane = 0; lane < lanes; ++lane) {
      a[lane] = odd_number(random), b[lane] = odd_number(random), c[lane] = std::fmax(b[lane], odd_number(random));
    }
    const Wide x = wide(a), y = wide(b), z = wide(c);
    const Wide least = smaller(x, y), most = larger(x, y), size = size_of(x), from = signed_as(size_of(x), y);
    const Wide kept = bounded(x, y, z), roots = root(x), chosen = blend(x < y, x, y);
    const WideMask equal = x == y, holes = unknown(x), fewer = x <= y, differ = x != y;
    const Wide powers = exponential(x), logs = logarithm(size_of(x)), cosines = cosine(x), angles = arc_tangent(x, y);
    bool some = false;
    for (std::size_t lane = 0; lane < lanes; ++lane) {
      const double p = a[lane], q = b[lane];
      CHECK(same_bits((x + y)[lane], p + q));
      CHECK(same_bits((x - y)[lane], p - q));
      CHECK(same_bits((x * y)[lane], p * q));
      CHECK(same_bits((x / y)[lane], p / q));
      CHECK(same_bits(roots[lane], std::sqrt(p)));
      CHECK(same_bits(least[lane], std::min(p, q)));
      CHECK(same_bits(most[lane], std::max(p, q)));
      if (q <= c[lane]) CHECK(same_bits(kept[lane], std::clamp(p, q, c[lane])));
      CHECK(same_bits(size[lane], std::abs(p)));
      CHECK(same_bits(from[lane], std::copysign(p, q)));
      CHECK(same_bits(chosen[lane], p < q ? p : q));
      CHECK(same_bits(powers[lane], std::exp(p)));
      CHECK(same_bits(logs[lane], std::log(std::abs(p))));
      CHECK(same_bits(cosines[lane], std::cos(p)));
      CHECK(same_bits(angles[lane], std::atan2(p, q)));
      CHECK(equal[lane] == (p == q ? -1 : 0));
      CHECK(differ[lane] == (p != q ? -1 : 0));
      CHECK(fewer[lane] == (p <= q ? -1 : 0));
      CHECK(holes[lane] == (std::isnan(p) ? -1 : 0));
      some = some || p == q;
    }
    CHECK(any(equal) == some);
  }
}

TEST_CASE("what holds in one lane alone holds in some") {
  for (std::size_t lane = 0; lane < lanes; ++lane) {
    WideMask mask;
    CHECK_FALSE(any(mask));
    mask[lane] = -1;
    CHECK(any(mask));
    CHECK(any(~mask));
  }
}

TEST_CASE("lanes are laid down and taken up as they are") {
  alignas(Wide) Numbers numbers, back;
  for (std::size_t lane = 0; lane < lanes; ++lane) numbers[lane] = 1.5 * static_cast<double>(lane);
  Wide::load(numbers.data()).store(back.data());
  CHECK(back == numbers);
  const Wide each = Wide::each([&](std::size_t lane) { return numbers[lane]; });
  for (std::size_t lane = 0; lane < lanes; ++lane) CHECK(each[lane] == numbers[lane]);
}

TEST_CASE("what no lane chooses is not worked out, and what is, once") {
  for (int chosen = 0; chosen < 1 << lanes; ++chosen) {
    WideMask mask;
    for (std::size_t lane = 0; lane < lanes; ++lane) mask[lane] = chosen >> lane & 1 ? -1 : 0;
    int yes = 0, no = 0;
    const Wide result = choose(mask, [&] { return Wide(++yes); }, [&] { return Wide(-++no); });
    CHECK(yes == (chosen != 0));
    CHECK(no == (chosen != (1 << lanes) - 1));
    for (std::size_t lane = 0; lane < lanes; ++lane) CHECK(result[lane] == (mask[lane] ? 1 : -1));
  }
}

TEST_CASE("rules that are shared give each lane what they give a man alone") {
  scenes::Random random(132);
  for (int i = 0; i < 5000; ++i) {
    Points one, other;
    Numbers vmax, tau, goal;
    for (std::size_t lane = 0; lane < lanes; ++lane) {
      one[lane] = random.point(4), other[lane] = random.point(4);
      if (random.whole(0, 3) == 0) one[lane] *= 0.05;  // slower than a direction is known, or men on one spot
      if (random.whole(0, 9) == 0) one[lane] = {0, 0};
      if (random.whole(0, 9) == 0) other[lane] = one[lane];
      vmax[lane] = random.number(1, 10), tau[lane] = random.number(0.5, 1.5), goal[lane] = other[lane].norm();
    }
    const LegsOf<Wide> legs{wide(vmax), wide(tau), 6.6, 5.5, 0.15};
    const WidePoint driven = drive(wide(one), wide(other), legs);
    const CutOffOf<Wide> cut = cut_off(wide(one), wide(other), wide(goal));
    const ClosestOf<Wide> closest = closest_approach(wide(other), wide(one));
    for (std::size_t lane = 0; lane < lanes; ++lane) {
      const Point alone = drive(one[lane], other[lane], Legs{vmax[lane], tau[lane], 6.6, 5.5, 0.15});
      CHECK(same_bits(driven.u[lane], alone.x()));
      CHECK(same_bits(driven.v[lane], alone.y()));
      const CutOff his = cut_off(one[lane], other[lane], goal[lane]);
      CHECK(same_bits(cut.ratio[lane], his.ratio));
      CHECK(same_bits(cut.from_rusher[lane], his.from_rusher));
      const Closest near = closest_approach(other[lane], one[lane]);
      CHECK(same_bits(closest.distance[lane], near.distance));
      CHECK(same_bits(closest.in[lane], near.in));
    }
  }
}
