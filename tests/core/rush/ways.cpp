#include "rush/ways.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "geometry/speed_profile.hpp"
#include "oracles.hpp"
#include "rush/corner.hpp"
#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;

namespace {

/// At full speed at once and round every turn: time is length.
Rules unhindered() {
  Rules rules;
  rules.vmax = 2;
  rules.tau = 1e-9;
  rules.a_lat = 1e12;
  rules.a_brake = 1e12;
  rules.reach = 1;
  rules.arm = 0;
  return rules;
}

/// As these places alone tell it; nobody else is there.
Rush rush_at(const Point& rusher, const Point& velocity, const Point& blocker, const Point& passer, int side) {
  const Placed placed = placed_now(rusher, blocker, passer, side);
  return {rusher, velocity, passer, placed, placed.past ? std::nullopt : std::optional(blocker)};
}
Ways round_him(const Point& rusher, const Point& velocity, const Point& blocker, const Point& passer, int side,
               const Rules& rules) {
  return ways_round(rush_at(rusher, velocity, blocker, passer, side), rules);
}

/// One way round a man, and what of it there is to run: the definition once more, by angles, and its time on a grid.
struct PlainWay {
  double turn = 0, length = 0, time = 0;
};
PlainWay plain_way(Point rusher, const Point& velocity, const Point& man, const Point& passer, double reach, int hand,
                   const Rules& rules) {
  const double r = std::min(reach, (passer - man).norm());
  if ((rusher - man).norm() < r) rusher = man + r / (rusher - man).norm() * (rusher - man);
  const double to_rusher = (rusher - man).norm(), to_passer = (passer - man).norm();
  const auto angle = [&](const Point& at) { return std::atan2(at.y() - man.y(), at.x() - man.x()); };
  double swept = std::fmod(hand * (angle(passer) - angle(rusher)) + 4 * pi, 2 * pi);
  const auto tangent = [&](double range) { return std::acos(std::min(1.0, r / range)); };
  PlainWay way;
  way.turn = swept - tangent(to_rusher) - tangent(to_passer);
  std::vector<Piece> pieces{{(passer - rusher).norm(), rules.vmax}};
  Point sets_out = (passer - rusher).normalized();
  if (way.turn <= 1e-9) {
    way.turn = 0;
    way.length = pieces[0].length;
  } else {
    const double entry = std::sqrt(std::max(0.0, to_rusher * to_rusher - r * r)),
                 exit = std::sqrt(std::max(0.0, to_passer * to_passer - r * r));
    const double rho = way.turn < pi ? r + rules.bow / (1 / std::cos(way.turn / 2) - 1) : r;
    pieces = {
        {entry, rules.vmax}, {r * way.turn, std::min(rules.vmax, std::sqrt(rules.a_lat * rho))}, {exit, rules.vmax}};
    way.length = entry + r * way.turn + exit;
    const double rim =
        angle(rusher) + hand * tangent(to_rusher);  // where he comes to the circle, and along it from there
    sets_out = hand * Point(-std::sin(rim), std::cos(rim));
  }
  double arm = rules.arm;
  for (std::size_t k = pieces.size(); k-- > 0;) {
    const double cut = std::min(arm, pieces[k].length);
    pieces[k].length -= cut;
    arm -= cut;
  }
  std::erase_if(pieces, [](const Piece& piece) { return piece.length < 1e-9; });
  const double start = std::max(0.0, std::isnan(velocity.x()) ? 0.0 : velocity.dot(sets_out));
  way.time = pieces.empty() ? 0 : oracles::grid_time(pieces, start, {{rules.vmax, rules.tau}, rules.a_brake}, 4000);
  return way;
}

bool same(double a, double b) { return a == b || (std::isnan(a) && std::isnan(b)); }
bool same(const Ways& a, const Ways& b) {
  return same(a.outside_time, b.outside_time) && same(a.outside_bend, b.outside_bend) &&
         same(a.inside_time, b.inside_time);
}

}  // namespace

TEST_CASE("both ways round a man in the middle are the taut string") {
  // Round r 1 from (-2, 0) to (2, 0): 2 sqrt(3) + pi/3 = 4.511299 (computed). The men stand so that nobody is past.
  const Rules rules = unhindered();
  const Point rusher(-2, 1e-3), blocker(0, 0), passer(2, 0);
  for (const int side : {-1, 1}) {
    const WayRound way = way_past(rusher, blocker, passer, side, 1);
    CHECK(way.length() == Approx(4.511299).epsilon(1e-3));
    CHECK(time_of(way, {0, 0}, rules) == Approx(way.length() / 2).epsilon(1e-8));
    CHECK(degrees(way.turn) == Approx(60).epsilon(2e-3));
  }
}

TEST_CASE("straight, quarter circle, straight at the speeds a runner can hold") {
  // 5 m from rest, a quarter circle of 1.5 m at 6 m/s^2 sideways, 5 m; 4 m/s^2 forward, 5 backward: computed,
  // 1.704344 + pi/4 + 1 s. Steady acceleration is the limit of a great vmax = a tau.
  Rules rules;
  rules.tau = 1e8;
  rules.vmax = 4 * rules.tau;
  rules.a_lat = 6;
  rules.a_brake = 5;
  rules.bow = 0;
  rules.arm = 0;
  const WayRound way{5, pi / 2, 1.5, 5, {0, 0}, {5, 0}, {6.5, 1.5}, {1, 0}};
  CHECK(time_of(way, {0, 0}, rules) == Approx(3.489742).epsilon(2e-7));
  rules.arm = 5;  // he has arrived where the last straight begins
  CHECK(time_of(way, {0, 0}, rules) == Approx(1.704344 + pi / 4).epsilon(3e-7));
  // Running wide: on a right angle 1/(sec 45 - 1) = sqrt(2) + 1 times the bow is added to the radius.
  rules.arm = 0;
  Rules wide = rules;
  wide.bow = 0.25;
  rules.a_lat = 6 * (1.5 + 0.25 * (std::sqrt(2.0) + 1)) / 1.5;
  CHECK(time_of(way, {0, 0}, wide) == Approx(time_of(way, {0, 0}, rules)).epsilon(1e-12));
}

TEST_CASE("the last arm's length need not be run") {
  const Rules rules = unhindered();
  Rules arm = rules;
  arm.arm = 0.8;
  const WayRound straight = straight_way({0, 0}, {3, 4});
  CHECK(time_of(straight, {0, 0}, rules) == Approx(2.5).epsilon(1e-8));
  CHECK(time_of(straight, {0, 0}, arm) == Approx(2.1).epsilon(1e-8));
  CHECK(time_of(straight_way({0, 0}, {0, 0.8}), {0, 0}, arm) == 0);
  CHECK(time_of(straight_way({0, 0}, {0, 0.5}), {0, 0}, arm) == 0);
}

TEST_CASE("he sets out with the part of his velocity that goes his way") {
  const Rules rules;
  const WayRound straight = straight_way({0, 0}, {0, 8});
  const double rest = time_of(straight, {0, 0}, rules);
  CHECK(rest == Approx(Sprint{rules.vmax, rules.tau}.time_over(8 - rules.arm, 0)).epsilon(1e-12));
  CHECK(time_of(straight, {5, 0}, rules) == rest);   // across
  CHECK(time_of(straight, {3, -6}, rules) == rest);  // away
  CHECK(time_of(straight, absent(), rules) == rest);
  CHECK(time_of(straight, {3, 4}, rules) ==
        Approx(Sprint{rules.vmax, rules.tau}.time_over(8 - rules.arm, 4)).epsilon(1e-12));
  CHECK(time_of(straight, {0, 30}, rules) == Approx((8 - rules.arm) / rules.vmax).epsilon(1e-12));
}

TEST_CASE("past him the way on the side he is on is the straight line, and the other is gone") {
  const Rules rules;
  const Point passer(0, 7), man(0, 1);
  for (const int side : {-1, 1}) {
    for (const double u : {-1.0, 1.0}) {
      // His line passes right of the man when he comes from the right: outside of one of the right side.
      const Point rusher(u, 5);
      const double straight = time_of(straight_way(rusher, passer), {0, 0}, rules);
      const Ways past = round_him(rusher, {0, 0}, man, passer, side, rules);
      const bool outside = u * side > 0;
      CAPTURE(side);
      CAPTURE(u);
      CHECK((outside ? past.outside_time : past.inside_time) == straight);
      CHECK(std::isinf(outside ? past.inside_time : past.outside_time));
      CHECK(same(past.outside_bend, outside ? 0 : scenes::nan));
      CHECK(exposure(past.outside_time, rules) == (outside ? exposure(straight, rules) : 0));
    }
  }
  // Of a man without a side he is inside.
  const Ways center = round_him({1, 5}, {0, 0}, man, passer, 0, rules);
  CHECK(center.inside_time == time_of(straight_way({1, 5}, passer), {0, 0}, rules));
  CHECK(std::isnan(center.outside_time));
  CHECK(std::isnan(center.outside_bend));
  // As he was when he got past, wherever he is now: inside, and now right of a man of the right side.
  const Ways inside = ways_round({{1, 5}, {0, 0}, passer, {1, true, false}, std::nullopt}, rules);
  CHECK(std::isinf(inside.outside_time));
  CHECK(std::isnan(inside.outside_bend));
  CHECK(inside.inside_time == center.inside_time);
  CHECK(exposure(inside.outside_time, rules) == 0);
}

TEST_CASE("on the passer's man, on the man himself") {
  const Rules rules;
  const Point passer(0, 7);
  const Ways on_passer = ways_round({{1, 1}, {0, 0}, passer, {-1, false, true}, passer}, rules);
  CHECK(on_passer.outside_bend == 0);
  CHECK(on_passer.outside_time == time_of(straight_way({1, 1}, passer), {0, 0}, rules));
  CHECK(on_passer.inside_time == on_passer.outside_time);
  const Ways on_him = round_him({0, 2 - 1e-10}, {0, 0}, {0, 2}, passer, 1, rules);
  CHECK(std::isinf(on_him.outside_time));
  CHECK(std::isinf(on_him.inside_time));
  CHECK(std::isnan(on_him.outside_bend));
  CHECK(exposure(on_him.outside_time, rules) == 0);
}

TEST_CASE("a blocker with no side has two inside ways, and the quicker counts") {
  const Rules rules;
  const Ways center = round_him({0.4, 0}, {0, 0}, {0, 2}, {0, 7}, 0, rules);
  const Ways right = round_him({0.4, 0}, {0, 0}, {0, 2}, {0, 7}, 1, rules);
  CHECK(std::isnan(center.outside_time));
  CHECK(std::isnan(center.outside_bend));
  CHECK(right.outside_time < right.inside_time);
  CHECK(center.inside_time == right.outside_time);
  CHECK(round_him({-0.4, 0}, {0, 0}, {0, 2}, {0, 7}, 0, rules).inside_time ==
        Approx(center.inside_time).epsilon(1e-12));
}

TEST_CASE("with a man between, past or free, the way is the quicker of the two round his body, by the taut string") {
  // At full speed at once and round every turn the quicker is the shorter: the shortest way clear of one disc, which is
  // found along the corners of polygons about it.
  scenes::Random random(68);
  Rules rules = unhindered();
  rules.body = 0.56;
  const double inner = std::cos(pi / 60);
  int bent = 0;
  for (int i = 0, n = scenes::cases(60, 2000); i < n; ++i) {
    const Point rusher(random.number(-1, 1), random.number(-1, 1)), passer(random.number(-1, 1), random.number(5, 8));
    const Point man = rusher + random.number(0.2, 0.8) * (passer - rusher) + random.point(0.5);
    const oracles::Scenery scenery{rusher, passer, {{man, std::min(rules.body, distance(passer, man))}}};
    if (distance(rusher, man) < 0.57) continue;
    CAPTURE(i);
    for (const bool outside : {true, false}) {
      const int side = random.whole(0, 1) ? 1 : -1;
      const Ways ways = ways_round({rusher, {0, 0}, passer, {side, true, outside}, man}, rules);
      const double length = 2 * (outside ? ways.outside_time : ways.inside_time);
      CHECK(length <= oracles::polygon_path(scenery, 1 / inner, 1 - 1e-9) + 1e-6);
      CHECK(length >= oracles::polygon_path(scenery, 1, inner - 1e-9) - 1e-6);
      CHECK(std::isinf(outside ? ways.inside_time : ways.outside_time));
      CHECK(std::isnan(ways.outside_bend) == !outside);
      bent += length > distance(rusher, passer) + 1e-3;
    }
  }
  CHECK(bent > 60);
}

TEST_CASE("round a man between by hand: the body's circle, on the side he stands less in the way of") {
  // Straight back 8 yd, a man 4 yd off and 0.2 to the right of the line, body 0.56: to the left. Each tangent is
  // sqrt(16.04 - 0.3136); the turn is 180 degrees less 2 (acos(0.56 / sqrt(16.04)) + atan2(0.2, 4)).
  Rules rules = unhindered();
  rules.body = 0.56;
  const double tangent = std::sqrt(16.04 - 0.3136);
  const double turn = pi - 2 * (std::acos(0.56 / std::sqrt(16.04)) + std::atan2(0.2, 4));
  const Ways left = ways_round({{0, 0}, {0, 0}, {0, 8}, {1, true, true}, Point(0.2, 4)}, rules);
  CHECK(left.outside_time == Approx((2 * tangent + 0.56 * turn) / 2).epsilon(1e-7));
  CHECK(left.outside_bend == Approx(degrees(turn)).epsilon(1e-7));
  // From the other side it is the same; from inside, the same again.
  const Ways right = ways_round({{0, 0}, {0, 0}, {0, 8}, {-1, true, false}, Point(-0.2, 4)}, rules);
  CHECK(right.inside_time == Approx(left.outside_time).epsilon(1e-7));
  // It is the body that counts, and never the reach; and nearer than it to the passer, the circle shrinks to him.
  rules.reach = 3;
  CHECK(ways_round({{0, 0}, {0, 0}, {0, 8}, {1, true, true}, Point(0.2, 4)}, rules).outside_time == left.outside_time);
  const Ways at_him = ways_round({{0, 0}, {0, 0}, {0, 8}, {1, true, true}, Point(0, 7.7)}, rules);
  CHECK(at_him.outside_time ==
        Approx((std::sqrt(7.7 * 7.7 - 0.09) + 0.3 * (pi - std::acos(0.3 / 7.7))) / 2).epsilon(1e-7));
}

TEST_CASE("quicker is not shorter: who already runs to one side goes round on it") {
  // A man half across the line: the shorter way is left, but he comes running to the right.
  const Rules rules;
  const Point rusher(0, 0), passer(0, 6), man(0.05, 0.8), velocity(6, 2);
  const auto way = [&](int hand) { return plain_way(rusher, velocity, man, passer, rules.body, hand, rules); };
  REQUIRE(way(-1).length < way(1).length);
  REQUIRE(way(1).time < way(-1).time - 0.02);
  const Ways found = ways_round({rusher, velocity, passer, {1, true, true}, man}, rules);
  CHECK(found.outside_time == Approx(way(1).time).epsilon(1e-3));
  CHECK(found.outside_bend == Approx(degrees(way(1).turn)).epsilon(1e-9));
}

TEST_CASE("of two ways that take the same time the shorter counts") {
  // Within an arm of the passer nothing is left to run either way.
  const Rules rules;
  const Point rusher(0, 6.3), passer(0, 7), man(0.1, 6.6);
  const PlainWay one = plain_way(rusher, {0, 0}, man, passer, rules.body, 1, rules),
                 other = plain_way(rusher, {0, 0}, man, passer, rules.body, -1, rules);
  REQUIRE(other.length < one.length - 0.1);
  REQUIRE(one.turn > other.turn + 0.1);
  Rules far = rules;
  far.arm = 3;
  for (const int side : {-1, 1}) {
    const Ways found = ways_round({rusher, {0, 0}, passer, {side, true, true}, man}, far);
    CHECK(found.outside_time == 0);
    CHECK(found.outside_bend == Approx(degrees(other.turn)).epsilon(1e-6));
  }
}

TEST_CASE("the ways of a rusher, written down once more by angles and on a grid") {
  scenes::Random random(69);
  int before = 0, past = 0, with_man = 0, no_side = 0;
  for (int i = 0, n = scenes::cases(1500, 20000); i < n; ++i) {
    Rules rules;
    if (random.whole(0, 3) == 0)
      rules.a_lat = random.number(2, 10), rules.a_brake = random.number(2, 10), rules.arm = random.number(0, 1.5);
    if (random.whole(0, 3) == 0)
      rules.reach = random.number(0.3, 1.5), rules.body = random.number(0.2, 0.8), rules.bow = random.number(0.05, 0.6);
    const Point passer(random.number(-1, 1), random.number(5, 9)), rusher(random.number(-5, 5), random.number(-1, 6));
    const Point velocity = random.whole(0, 9) ? random.point(8) : absent();
    Rush rush{rusher,
              velocity,
              passer,
              {random.whole(-1, 1), random.whole(0, 1) == 1, random.whole(0, 1) == 1},
              std::nullopt};
    rush.placed.outside = rush.placed.outside && rush.placed.side != 0;
    if (!rush.placed.past) rush.around = rusher + random.point(2.5);
    if (rush.placed.past && random.whole(0, 1))
      rush.around = rusher + random.number(0.1, 0.9) * (passer - rusher) + random.point(0.7);
    const double radius = rush.placed.past ? rules.body : rules.reach;
    const auto way = [&](int hand) {
      if (rush.around) return plain_way(rusher, velocity, *rush.around, passer, radius, hand, rules);
      return plain_way(rusher, velocity, passer, passer, 0, hand, rules);  // a circle of nothing: the straight line
    };
    const PlainWay right = way(1), left = way(-1);
    const Ways found = ways_round(rush, rules);
    CAPTURE(i);
    const auto close = [](double a, double b) { return std::abs(a - b) < 3e-3; };
    const int side = rush.placed.side;
    const PlainWay& quicker = right.time < left.time ? right : left;
    if (!rush.placed.past) {
      const PlainWay &outside = side < 0 ? left : right, &inside = side < 0 ? right : left;
      CHECK(close(found.inside_time, side == 0 ? quicker.time : inside.time));
      if (side != 0) CHECK(close(found.outside_time, outside.time));
      if (side != 0) CHECK(std::abs(found.outside_bend - degrees(outside.turn)) < 1e-4);
    } else if (rush.placed.outside) {
      CHECK(close(found.outside_time, quicker.time));
      CHECK(std::isinf(found.inside_time));
      if (std::abs(right.time - left.time) > 0.01) CHECK(std::abs(found.outside_bend - degrees(quicker.turn)) < 1e-4);
      if (!rush.around) CHECK(found.outside_bend == 0);
    } else {
      CHECK(close(found.inside_time, quicker.time));
      if (side != 0) CHECK(std::isinf(found.outside_time));
      CHECK(std::isnan(found.outside_bend));
    }
    if (side == 0) CHECK(std::isnan(found.outside_time));
    if (side == 0) CHECK(std::isnan(found.outside_bend));
    before += !rush.placed.past;
    past += rush.placed.past;
    with_man += rush.placed.past && rush.around && (right.turn > 0 || left.turn > 0);
    no_side += side == 0;
  }
  CHECK(before > 300);
  CHECK(past > 300);
  CHECK(with_man > 200);
  CHECK(no_side > 200);
}

TEST_CASE("exposure says how soon: 1 at once, 0 from the horizon on") {
  Rules rules;
  CHECK(exposure(0, rules) == 1);
  CHECK(exposure(0.75, rules) == Approx(0.5));
  CHECK(exposure(1.5, rules) == 0);
  CHECK(exposure(scenes::infinity, rules) == 0);
  CHECK(std::isnan(exposure(scenes::nan, rules)));
}

TEST_CASE("identities of the ways round") {
  scenes::Random random(66);
  const Rules rules;
  int bent = 0;
  for (int i = 0; i < 5000; ++i) {
    const Point rusher = random.point(6), blocker = random.point(6), passer = random.point(6),
                velocity = random.point(7);
    const int side = random.whole(0, 1) ? 1 : -1;
    const Ways ways = round_him(rusher, velocity, blocker, passer, side, rules);
    CAPTURE(i);
    CHECK(ways.outside_time >= 0);
    CHECK(ways.inside_time >= 0);
    // Mirrored, left is right.
    const Ways mirror = round_him(scenes::mirrored(rusher), scenes::mirrored(velocity), scenes::mirrored(blocker),
                                  scenes::mirrored(passer), -side, rules);
    const auto alike = [](double a, double b) { return a == b || std::abs(a - b) < 1e-7; };
    CHECK(alike(mirror.outside_time, ways.outside_time));
    CHECK(alike(mirror.inside_time, ways.inside_time));
    // The other side's outside is this side's inside, and the other way about.
    const Ways other = round_him(rusher, velocity, blocker, passer, -side, rules);
    CHECK(other.inside_time == ways.outside_time);
    CHECK(other.outside_time == ways.inside_time);
    // One way, and only one, is gone when he is past.
    CHECK(std::isinf(ways.outside_time) + std::isinf(ways.inside_time) == is_past(rusher, blocker, passer));
    // Never quicker than all the way at top speed, nor than the length allows.
    if (!is_past(rusher, blocker, passer) && distance(rusher, blocker) > rules.reach) {
      const double direct = std::max(0.0, distance(rusher, passer) - rules.arm);
      CHECK(ways.outside_time >= direct / rules.vmax - 1e-9);
    }
    bent += ways.outside_bend > 0;
  }
  CHECK(bent > 1000);
}

TEST_CASE("a grazing turn costs nothing") {
  // The straight line just misses or just touches the blocker's circle: no jump in time between the two.
  const Rules rules;
  const auto time = [&](double blocker_u) {
    return round_him({0, 0}, {0, 5}, {blocker_u, 4}, {0, 9}, -1, rules).outside_time;
  };
  const double touching = rules.reach;
  CHECK(round_him({0, 0}, {0, 5}, {touching + 1e-6, 4}, {0, 9}, -1, rules).outside_bend == 0);
  CHECK(round_him({0, 0}, {0, 5}, {touching - 1e-6, 4}, {0, 9}, -1, rules).outside_bend > 0);
  CHECK(std::abs(time(touching - 1e-6) - time(touching + 1e-6)) < 1e-5);
}

TEST_CASE("rusher and tackle held, a deeper drop straightens the way round") {
  // The trade's judgement (common practice, no source).
  double before = 360;
  for (const double depth : {5.0, 6.0, 7.0, 8.0, 9.0, 10.0}) {
    const double bend = round_him({4.2, 2.5}, {0, 0}, {3.2, 3.5}, {0, depth}, 1, Rules()).outside_bend;
    CHECK(bend < before);
    before = bend;
  }
}

TEST_CASE("without a bow a turn of next to nothing is held as any turn on that radius") {
  Rules rules;
  rules.bow = 0;
  for (const double turn : {1e-12, 1e-9, 1e-6, 1.0, 3.0}) {
    CHECK(arc_speed(2, turn, rules) == Approx(std::sqrt(2 * rules.a_lat)).epsilon(1e-12));
  }
  rules.bow = 0.25;
  CHECK(arc_speed(2, 1e-9, rules) > 1e3);  // with one it costs nothing
}

TEST_CASE("the ways of many men are each man's own, to the bit, however many they are") {
  scenes::Random random(67);
  for (int i = 0; i < 200; ++i) {
    Rules rules;
    for (double* rule : {&rules.arm, &rules.bow, &rules.reach}) *rule = random.whole(0, 3) ? *rule : 0;
    if (random.whole(0, 3) == 0) {
      rules.vmax = random.number(3, 12), rules.tau = random.number(0.2, 2);
      rules.a_lat = random.number(1, 10), rules.a_brake = random.number(1, 10);
    }
    std::vector<Rush> rushes(static_cast<std::size_t>(random.whole(0, 75)));
    for (Rush& rush : rushes) {
      const Point rusher = random.point(6), passer = random.point(6);
      Point man = random.point(6), velocity = random.point(7);
      if (random.whole(0, 1)) man = rusher + random.point(1.2);
      if (random.whole(0, 9) == 0) velocity = absent();
      if (random.whole(0, 19) == 0) man = rusher;
      if (random.whole(0, 19) == 0) man = passer;
      rush = rush_at(rusher, velocity, man, passer, random.whole(-1, 1));
      // Past, and another man between; or past for what was seen before.
      if (rush.placed.past && random.whole(0, 1)) rush.around = rusher + random.point(3);
      if (random.whole(0, 4) == 0) rush.placed = {random.whole(-1, 1), true, random.whole(0, 1) == 1};
    }
    std::vector<Ways> ways(rushes.size());
    ways_round(rushes, rules, ways);
    for (std::size_t k = 0; k < rushes.size(); ++k) {
      CAPTURE(i);
      CAPTURE(k);
      CHECK(same(ways[k], ways_round(rushes[k], rules)));
    }
  }
}

TEST_CASE("the ways that are drawn are those that are timed, and a way that is gone is not drawn") {
  scenes::Random random(70);
  int drawn = 0, gone = 0;
  for (int i = 0; i < 3000; ++i) {
    const Rules rules;
    const Point rusher = random.point(5), passer = random.point(5);
    const Point man = random.whole(0, 19) ? Point(rusher + random.point(3)) : rusher;
    Rush rush = rush_at(rusher, random.point(7), man, passer, random.whole(-1, 1));
    if (rush.placed.past && random.whole(0, 1))
      rush.around = rusher + random.number(0, 1) * (passer - rusher) + random.point(0.6);
    const Ways ways = ways_round(rush, rules);
    const DrawnWays both = drawn_ways(rush, rules);
    CAPTURE(i);
    CHECK(both.outside.has_value() == std::isfinite(ways.outside_time));
    CHECK(both.inside.has_value() == std::isfinite(ways.inside_time));
    if (both.outside) {
      CHECK(time_of(both.outside->way, rush.velocity, rules) == Approx(ways.outside_time).epsilon(1e-12));
      CHECK(degrees(both.outside->way.turn) == Approx(ways.outside_bend).epsilon(1e-12));
    }
    if (both.inside) CHECK(time_of(both.inside->way, rush.velocity, rules) == Approx(ways.inside_time).epsilon(1e-12));
    for (const std::optional<DrawnWay>& way : {both.outside, both.inside}) {
      gone += !way;
      if (!way || !(way->way.turn > 0)) continue;
      ++drawn;
      // The arc is on the circle about that man, from one end to the other on the hand that is told.
      CHECK(way->around == *rush.around);
      CHECK(distance(way->way.on, way->around) == Approx(way->way.radius));
      const Point from = way->way.on - way->around, to = way->way.off - way->around;
      const double swept = std::atan2(cross(from, to), from.dot(to)) * way->turn;
      CHECK(std::abs(std::remainder(swept - way->way.turn, 2 * pi)) < 1e-6);
    }
  }
  CHECK(drawn > 500);
  CHECK(gone > 500);
}
