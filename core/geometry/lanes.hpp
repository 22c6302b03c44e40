#pragma once
/// Numbers side by side: the same arithmetic for several cases at once, in the vector registers of the machine.
///
/// The compiler's own vectors are used (GCC and Clang have them); where registers are narrower it works them in pieces.
/// Each lane is rounded as a number alone is, so a lane's result is the same bits whatever is in the others, however
/// wide the registers. A rule that numbers and lanes share is written once, with choose() for its branches.

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <concepts>
#include <cstddef>
#include <cstdint>
#include <type_traits>
#include <utility>

#include "geometry/point.hpp"

#define SHORTEDGE_INLINED [[gnu::always_inline]] inline

// A function that works in lanes is compiled for newer vector registers too, and the right one taken when the program
// starts, where the compiler and the C library can. The arithmetic is the same. All it calls is inlined, lambdas too:
// how vectors are passed depends on the registers (so not where the compiler inlines as it likes: without optimization,
// or for size). Sanitizers cannot watch the choice being made, and coverage would count what is not chosen
// (SHORTEDGE_NO_CLONES).
#if defined(__OPTIMIZE__) && !defined(__OPTIMIZE_SIZE__) && !defined(SHORTEDGE_NO_CLONES) && defined(__x86_64__) && \
    defined(__GLIBC__) && defined(__GNUC__) && !defined(__clang__) && !defined(__SANITIZE_ADDRESS__) &&             \
    !defined(__SANITIZE_THREAD__)
#define SHORTEDGE_BY_REGISTERS __attribute__((flatten, target_clones("arch=x86-64-v4", "arch=x86-64-v3", "default")))
#else
#define SHORTEDGE_BY_REGISTERS
#endif

namespace shortedge {

#if defined(__x86_64__)
inline constexpr std::size_t lanes = 4;
#else
inline constexpr std::size_t lanes = 2;  // what registers of other machines hold
#endif

/// The compiler's vector of `lanes` numbers, aligned whatever registers the code is built for.
template <class T, class V>
struct alignas(lanes * sizeof(T)) Lanes {
  V all{};

  SHORTEDGE_INLINED T operator[](std::size_t lane) const { return reinterpret_cast<const T*>(&all)[lane]; }
  SHORTEDGE_INLINED T& operator[](std::size_t lane) { return reinterpret_cast<T*>(&all)[lane]; }
};
using WholeVector = std::int64_t __attribute__((vector_size(lanes * sizeof(std::int64_t))));
using WholePair = std::int64_t __attribute__((vector_size(2 * sizeof(std::int64_t))));
using NumberPair = double __attribute__((vector_size(2 * sizeof(double))));
using NumberVector = double __attribute__((vector_size(lanes * sizeof(double))));

/// Whole numbers, or whether something holds: -1 in a lane where it does, 0 where it does not.
struct WideMask : Lanes<std::int64_t, WholeVector> {
  SHORTEDGE_INLINED friend WideMask operator&(const WideMask& a, const WideMask& b) { return {{a.all & b.all}}; }
  SHORTEDGE_INLINED friend WideMask operator|(const WideMask& a, const WideMask& b) { return {{a.all | b.all}}; }
  SHORTEDGE_INLINED friend WideMask operator-(const WideMask& a, const WideMask& b) { return {{a.all - b.all}}; }
  SHORTEDGE_INLINED friend WideMask operator~(const WideMask& a) { return {{~a.all}}; }
  SHORTEDGE_INLINED friend WideMask operator==(const WideMask& a, const WideMask& b) { return {{a.all == b.all}}; }
  SHORTEDGE_INLINED friend WideMask operator!=(const WideMask& a, const WideMask& b) { return {{a.all != b.all}}; }
  SHORTEDGE_INLINED friend WideMask operator==(const WideMask& a, std::int64_t b) { return {{a.all == b}}; }
  SHORTEDGE_INLINED friend WideMask operator!=(const WideMask& a, std::int64_t b) { return {{a.all != b}}; }
  SHORTEDGE_INLINED friend WideMask operator>(const WideMask& a, std::int64_t b) { return {{a.all > b}}; }
  SHORTEDGE_INLINED WideMask& operator|=(const WideMask& other) { return *this = *this | other; }
  SHORTEDGE_INLINED WideMask& operator&=(const WideMask& other) { return *this = *this & other; }
  SHORTEDGE_INLINED WideMask& operator-=(const WideMask& other) { return *this = *this - other; }
};

/// A number goes with every lane.
struct Wide : Lanes<double, NumberVector> {
  SHORTEDGE_INLINED Wide() = default;
  SHORTEDGE_INLINED Wide(double value) : Lanes{NumberVector{} + value} {}
  SHORTEDGE_INLINED static Wide of(const NumberVector& vector) {
    Wide result;
    result.all = vector;
    return result;
  }
  /// number(lane) in each lane.
  template <class Number>
  SHORTEDGE_INLINED static Wide each(Number&& number) {
    return [&]<std::size_t... lane>(std::index_sequence<lane...>) __attribute__((always_inline)) {
      return of(NumberVector{number(lane)...});
    }(std::make_index_sequence<lanes>());
  }
  /// The numbers from `first` on, which is aligned as the lanes are.
  SHORTEDGE_INLINED static Wide load(const double* first) { return of(*reinterpret_cast<const NumberVector*>(first)); }
  SHORTEDGE_INLINED void store(double* first) const { *reinterpret_cast<NumberVector*>(first) = all; }

  SHORTEDGE_INLINED friend Wide operator+(const Wide& a, const Wide& b) { return of(a.all + b.all); }
  SHORTEDGE_INLINED friend Wide operator-(const Wide& a, const Wide& b) { return of(a.all - b.all); }
  SHORTEDGE_INLINED friend Wide operator*(const Wide& a, const Wide& b) { return of(a.all * b.all); }
  SHORTEDGE_INLINED friend Wide operator/(const Wide& a, const Wide& b) { return of(a.all / b.all); }
  SHORTEDGE_INLINED friend Wide operator-(const Wide& a) { return of(-a.all); }
  SHORTEDGE_INLINED friend WideMask operator<(const Wide& a, const Wide& b) { return {{a.all < b.all}}; }
  SHORTEDGE_INLINED friend WideMask operator<=(const Wide& a, const Wide& b) { return {{a.all <= b.all}}; }
  SHORTEDGE_INLINED friend WideMask operator>(const Wide& a, const Wide& b) { return {{a.all > b.all}}; }
  SHORTEDGE_INLINED friend WideMask operator>=(const Wide& a, const Wide& b) { return {{a.all >= b.all}}; }
  SHORTEDGE_INLINED friend WideMask operator==(const Wide& a, const Wide& b) { return {{a.all == b.all}}; }
  SHORTEDGE_INLINED friend WideMask operator!=(const Wide& a, const Wide& b) { return {{a.all != b.all}}; }
  SHORTEDGE_INLINED Wide& operator+=(const Wide& other) { return *this = *this + other; }
};

/// A number alone, or one in every lane; whether something holds of it; the number that belongs to a point.
template <class N>
concept AnyNumber = std::same_as<N, double> || std::same_as<N, Wide>;
template <class N>
using MaskOf = decltype(std::declval<const N&>() < std::declval<const N&>());
template <class P>
using NumberOf = std::remove_cvref_t<decltype(std::declval<const P&>().norm())>;

SHORTEDGE_INLINED WideMask whole(std::int64_t value) { return {{WholeVector{} + value}}; }

SHORTEDGE_INLINED bool any(bool mask) { return mask; }
SHORTEDGE_INLINED bool any(const WideMask& mask) {
#if defined(__SSE2__)
  // Signs of two lanes at a time: the compiler would take every lane out by itself.
  const auto pairs = std::bit_cast<std::array<WholePair, lanes / 2>>(mask.all);
  WholePair some = pairs[0];
  for (std::size_t pair = 1; pair < lanes / 2; ++pair) some |= pairs[pair];
  return __builtin_ia32_movmskpd(std::bit_cast<NumberPair>(some)) != 0;
#else
  std::int64_t all = 0;
  for (std::size_t lane = 0; lane < lanes; ++lane) all |= mask.all[lane];
  return all != 0;
#endif
}

SHORTEDGE_INLINED Wide blend(const WideMask& mask, const Wide& yes, const Wide& no) {
  return Wide::of(mask.all ? yes.all : no.all);
}
SHORTEDGE_INLINED WideMask blend(const WideMask& mask, const WideMask& yes, const WideMask& no) {
  return {{mask.all ? yes.all : no.all}};
}

SHORTEDGE_INLINED double blend(bool mask, double yes, double no) { return mask ? yes : no; }
SHORTEDGE_INLINED bool is_not(bool mask) { return !mask; }
SHORTEDGE_INLINED WideMask is_not(const WideMask& mask) { return ~mask; }

/// What is chosen in no lane is not worked out.
template <class Yes, class No>
SHORTEDGE_INLINED auto choose(bool mask, Yes&& yes, No&& no) {
  return mask ? yes() : no();
}
template <class Yes, class No>
SHORTEDGE_INLINED auto choose(const WideMask& mask, Yes&& yes, No&& no) {
  decltype(yes()) chosen{}, other{};
  if (any(mask)) chosen = yes();
  if (any(~mask)) other = no();
  return blend(mask, chosen, other);
}

// As std::min, std::max and std::clamp have them.
SHORTEDGE_INLINED double smaller(double a, double b) { return std::min(a, b); }
SHORTEDGE_INLINED double larger(double a, double b) { return std::max(a, b); }
SHORTEDGE_INLINED double bounded(double a, double least, double most) { return std::clamp(a, least, most); }
SHORTEDGE_INLINED Wide smaller(const Wide& a, const Wide& b) { return blend(b < a, b, a); }
SHORTEDGE_INLINED Wide larger(const Wide& a, const Wide& b) { return blend(a < b, b, a); }
SHORTEDGE_INLINED Wide bounded(const Wide& a, const Wide& least, const Wide& most) {
  return blend(a < least, least, blend(most < a, most, a));
}

SHORTEDGE_INLINED double root(double a) { return std::sqrt(a); }
SHORTEDGE_INLINED Wide root(const Wide& a) {
  Wide result;
  for (std::size_t lane = 0; lane < lanes; ++lane) result.all[lane] = __builtin_sqrt(a.all[lane]);
  return result;
}
// Of the C library, lane after lane: one does not wait for the other.
SHORTEDGE_INLINED double exponential(double a) { return std::exp(a); }
SHORTEDGE_INLINED double logarithm(double a) { return std::log(a); }
SHORTEDGE_INLINED double cosine(double a) { return std::cos(a); }
SHORTEDGE_INLINED double arc_tangent(double y, double x) { return std::atan2(y, x); }
SHORTEDGE_INLINED Wide exponential(const Wide& a) {
  return Wide::each([&](std::size_t lane) { return std::exp(a[lane]); });
}
SHORTEDGE_INLINED Wide logarithm(const Wide& a) {
  return Wide::each([&](std::size_t lane) { return std::log(a[lane]); });
}
SHORTEDGE_INLINED Wide cosine(const Wide& a) {
  return Wide::each([&](std::size_t lane) { return std::cos(a[lane]); });
}
SHORTEDGE_INLINED Wide arc_tangent(const Wide& y, const Wide& x) {
  return Wide::each([&](std::size_t lane) { return std::atan2(y[lane], x[lane]); });
}

SHORTEDGE_INLINED double size_of(double a) { return std::abs(a); }
SHORTEDGE_INLINED Wide size_of(const Wide& a) {
  return Wide::of(reinterpret_cast<NumberVector>(reinterpret_cast<WholeVector>(a.all) & whole(INT64_MAX).all));
}
/// `size`, not below 0, with the sign of `of`.
SHORTEDGE_INLINED Wide signed_as(const Wide& size, const Wide& of) {
  const WholeVector sign = reinterpret_cast<WholeVector>(of.all) & whole(INT64_MIN).all;
  return Wide::of(reinterpret_cast<NumberVector>(reinterpret_cast<WholeVector>(size.all) | sign));
}
SHORTEDGE_INLINED bool unknown(double a) { return std::isnan(a); }
SHORTEDGE_INLINED WideMask unknown(const Wide& a) { return ~(size_of(a) <= infinity); }

/// A point of each lane.
struct WidePoint {
  Wide u{}, v{};

  SHORTEDGE_INLINED Wide dot(const WidePoint& other) const { return u * other.u + v * other.v; }
  SHORTEDGE_INLINED Wide squaredNorm() const { return dot(*this); }
  SHORTEDGE_INLINED Wide norm() const { return root(squaredNorm()); }
  SHORTEDGE_INLINED Point lane(std::size_t l) const { return {u[l], v[l]}; }
  SHORTEDGE_INLINED void set(std::size_t l, const Point& point) { u[l] = point.x(), v[l] = point.y(); }
};

template <class P>
SHORTEDGE_INLINED P origin() {
  if constexpr (std::same_as<P, Point>) {
    return {0, 0};
  } else {
    return {};
  }
}

SHORTEDGE_INLINED WidePoint splat(const Point& point) { return {point.x(), point.y()}; }
SHORTEDGE_INLINED WidePoint operator+(const WidePoint& a, const WidePoint& b) { return {a.u + b.u, a.v + b.v}; }
SHORTEDGE_INLINED WidePoint operator-(const WidePoint& a, const WidePoint& b) { return {a.u - b.u, a.v - b.v}; }
SHORTEDGE_INLINED WidePoint operator-(const WidePoint& a) { return {-a.u, -a.v}; }
SHORTEDGE_INLINED WidePoint operator*(const Wide& a, const WidePoint& b) { return {a * b.u, a * b.v}; }
SHORTEDGE_INLINED WidePoint operator*(const WidePoint& b, const Wide& a) { return {b.u * a, b.v * a}; }
SHORTEDGE_INLINED WidePoint operator/(const WidePoint& a, const Wide& b) { return {a.u / b, a.v / b}; }
SHORTEDGE_INLINED Wide cross(const WidePoint& a, const WidePoint& b) { return a.u * b.v - a.v * b.u; }
SHORTEDGE_INLINED WidePoint quarter_turn(const WidePoint& a) { return {-a.v, a.u}; }
SHORTEDGE_INLINED WidePoint blend(const WideMask& mask, const WidePoint& yes, const WidePoint& no) {
  return {blend(mask, yes.u, no.u), blend(mask, yes.v, no.v)};
}

}  // namespace shortedge
