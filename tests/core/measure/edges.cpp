#include "measure/edges.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "rush/corner.hpp"
#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;
using scenes::FrameScene, scenes::Random, scenes::Stage;

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

std::int32_t code(std::size_t man) { return static_cast<std::int32_t>(man); }

/// The row of rushers of one rusher in a frame.
std::size_t row_of(const Tables& tables, std::size_t rusher, std::size_t frame = 0) {
  const RushersTable& rushers = tables.rushers;
  for (std::size_t k = 0; k < rushers.rows(); ++k) {
    if (rushers.rusher[k] == code(rusher) && std::abs(rushers.time[k] - 0.1 * static_cast<double>(frame)) < 1e-9)
      return k;
  }
  FAIL("no such row");
  return 0;
}
double exposure_of(const Tables& tables, std::size_t rusher, std::size_t frame = 0) {
  return tables.rushers.outside_exposure[row_of(tables, rusher, frame)];
}

/// That the edge is nobody's.
void check_nobody(const EdgeRow& row, std::int32_t end) {
  CHECK(row.edge_man == end);
  CHECK(row.rusher == no_code);
  CHECK(std::isinf(row.outside_time));
  CHECK(row.exposure == 0);
  CHECK(std::isnan(row.corner_held));
  CHECK(row.short_edge == 0);
  CHECK_FALSE(row.engaged);
  CHECK(row.helpers == 0);
}

/// Looks of rushers made up, at five linemen and a back (men 0 to 5: LT, LG, C, RG, RT, a back outside the right guard,
/// in the wall, and another, 6, who is not).
struct Frame {
  FrameScene scene{Point(0, 5)};
  Wall wall;
  std::vector<RusherLook> looks;

  Frame() {
    scene.line().protector(Slot::none, {2.2, 2.4}).protector(Slot::none, {0.5, 4.5}).rusher({2.4, 1.4});
    find_wall(scene, Rules(), wall);
    scene.rushers.clear();
    REQUIRE(wall.men.size() == 6);
    REQUIRE(wall.men[wall.right].standing.man == 4);
  }
  /// A rusher whom that man has; nobody: free.
  Frame& rusher(std::optional<std::size_t> man, const Placed& placed, double exposure, double time = 1,
                bool engaged = true) {
    RusherLook& look = looks.emplace_back();
    look.rusher.man = 10 + looks.size();
    look.blocking.free = !man;
    if (man) look.blocking.blocker = scene.protectors[*man];
    look.blocking.placed = placed;
    look.blocking.engaged = engaged;
    look.outside_exposure = exposure;
    look.ways.outside_time = time;
    return *this;
  }
  /// Which of them the right edge belongs to, in the order they were given; -1: nobody. The edge man is his man, else
  /// the end.
  int right(double takeover = 0.3) const { return of_side(1, takeover); }
  int of_side(int side, double takeover = 0.3) const {
    const Edge found = find_edge(wall, looks, side, takeover);
    const std::optional<Standing>& man = found.rusher ? looks[*found.rusher].blocking.blocker : std::nullopt;
    CHECK(found.edge_man.man == (man ? man->man : side > 0 ? 4 : 0));
    return found.rusher ? static_cast<int>(*found.rusher) : -1;
  }
};

constexpr std::size_t right_guard = 3, right_tackle = 4, back = 5, hidden_back = 6;
constexpr Placed outside{1, false, true}, inside{1, false, false}, past{1, true, true}, past_inside{1, true, false},
    left_outside{-1, false, true}, no_side{0, false, false};

/// Section 5 once more, over what the rushers table says and the wall; who of them is past, outside or inside is found
/// from places alone.
struct Plain {
  struct One {
    std::size_t rusher, row;
    std::int32_t man;
    int side = 0;
    bool past = false, outside = false;
  };
  const Stage& stage;
  const Tables& tables;
  std::size_t frame;
  Scene scene{};
  Wall wall{};
  std::vector<One> all{};
  std::string why{};  ///< which sentence decided

  Plain(const Stage& of, const Tables& measured, std::size_t at) : stage(of), tables(measured), frame(at) {
    look(stage.play, stage.motion, frame, scene);
    find_wall(scene, Rules(), wall);
    const Match match = stage.who_has_whom();
    for (const Rushing& rusher : scene.rushers) {
      One& one = all.emplace_back();
      one.rusher = rusher.man;
      one.row = row_of(tables, rusher.man, frame);
      one.man = match.man[rusher.index][frame];
      if (one.man == nobody) {
        one.side = rusher.at.x() - scene.passer.x() < 0 ? -1 : 1;
        const Point& end = end_of(one.side);
        one.outside = outside_line(rusher.at, end, scene.passer, one.side);
        continue;
      }
      const auto man = static_cast<std::size_t>(one.man);
      const auto at_frame = [&](std::size_t f, std::size_t who) { return stage.motion.at(f, who); };
      const auto side_in = [&](std::size_t f) { return side_of_man(stage.play, stage.motion, f, man, at_frame(f, 0)); };
      const auto is_past_in = [&](std::size_t f) {
        return (at_frame(f, rusher.man) - at_frame(f, 0)).norm() <= (at_frame(f, man) - at_frame(f, 0)).norm();
      };
      one.side = side_in(frame);
      one.past = is_past_in(frame);
      std::size_t first = frame;
      while (one.past && first > 0 && is_past_in(first - 1) && match.man[rusher.index][first - 1] == one.man) --first;
      const int side = side_in(first);
      one.outside = one.side != 0 && side != 0 &&
                    outside_line(at_frame(first, rusher.man), at_frame(first, man), at_frame(first, 0), side);
    }
  }
  const Point& end_of(int side) const { return wall.men[side < 0 ? wall.left : wall.right].standing.at; }
  std::int32_t end_man(int side) const { return code(wall.men[side < 0 ? wall.left : wall.right].standing.man); }
  static bool outside_line(const Point& r, const Point& man, const Point& q, int side) {
    const Point line = q - r, off = man - r;
    return -side * (line.x() * off.y() - line.y() * off.x()) <= 0;
  }
  bool in_wall(std::int32_t man) const {
    return std::any_of(wall.men.begin(), wall.men.end(),
                       [&](const WallMan& one) { return code(one.standing.man) == man; });
  }
  double exposure(const One& one) const { return tables.rushers.outside_exposure[one.row]; }

  template <class Which>
  const One* most_exposed(Which&& which) const {
    std::vector<const One*> found;
    for (const One& one : all) {
      if (which(one)) found.push_back(&one);
    }
    std::sort(found.begin(), found.end(), [&](const One* a, const One* b) {
      const auto key = [&](const One* one) {
        return std::tuple(-exposure(*one), tables.rushers.outside_time[one->row], one->rusher);
      };
      return key(a) < key(b);
    });
    return found.empty() ? nullptr : found[0];
  }

  const One* edge(int side) {
    const std::int32_t end = end_man(side);
    const auto takes = [&](const One& one) {
      if (one.side != side || !one.outside) return false;
      if (one.man == nobody) return exposure(one) >= Rules().takeover;
      if (one.past) return exposure(one) >= 0.2;
      const bool engaged = tables.rushers.engaged[one.row] != 0;
      return exposure(one) >= Rules().takeover && (one.man == end || (in_wall(one.man) && engaged));
    };
    const auto of_side = [&](const One& one) { return one.side == side && !(one.past && !one.outside); };
    if (const One* one = most_exposed(takes)) {
      why = one->man == nobody ? "free" : one->past ? "past" : one->man == end ? "end" : "engaged";
      return one;
    }
    if (const One* one = most_exposed([&](const One& of) { return of_side(of) && of.man == end; })) {
      why = one->outside ? "own" : "own, inside";
      return one;
    }
    if (std::any_of(all.begin(), all.end(), [&](const One& one) { return one.man == end; })) {
      why = "nobody: the end's is past inside or of no side";
      return nullptr;
    }
    const One* one = most_exposed([&](const One& of) {
      return of_side(of) && of.man != nobody && in_wall(of.man) &&
             stage.play.men[static_cast<std::size_t>(of.man)].slot == Slot::none;
    });
    why = one ? "back" : "nobody";
    return one;
  }
};

}  // namespace

TEST_CASE("with nobody on it the wall's end sets the edge: a rusher on the centre is no edge") {
  Stage stage;
  stage.line();
  stage.rusher({{-0.6, 0.6}});
  for (const Side side : {Side::left, Side::right}) {
    const EdgeRow row = edge(stage.measured(), side);
    check_nobody(row, side == Side::left ? 1 : 5);
    CHECK(row.edge_width == Approx(3 + 1.04));
    CHECK(row.edge_given == 0);
    CHECK(row.drift == 0);
  }
}

TEST_CASE("the end man sets the edge until another man's exposure reaches takeover, and that man is engaged") {
  // A wide end stands off the right tackle; a man in the guard's gap comes nearer, step by step.
  int tackle = 0, guard = 0;
  for (double step = 0; step <= 1; step += 0.02) {
    Stage stage;
    stage.line();
    const auto wide = stage.rusher({{7, 0}});
    const auto inner = stage.rusher({{2.1 + step * 0.4, 0.8 + 2.2 * step}});
    stage.has[wide] = 5;
    stage.has[inner] = 4;
    const Tables tables = stage.measured();
    const double range = distance(stage.places[inner][0], stage.places[4][0]);
    const bool not_past = distance(stage.places[inner][0], Point(0, 5)) > distance(stage.places[4][0], Point(0, 5));
    const EdgeRow row = edge(tables, Side::right);
    const double his = exposure_of(tables, inner), end_mans = exposure_of(tables, wide);
    CAPTURE(step);
    if (!not_past) continue;
    if (his >= Rules().takeover && range <= Rules().meet) {
      ++guard;
      CHECK(his > end_mans);
      CHECK(row.edge_man == 4);
      CHECK(row.rusher == code(inner));
      CHECK(row.exposure == his);
      CHECK(row.edge_width == Approx(1.5 + 1.04));
    } else {
      ++tackle;
      CHECK(row.edge_man == 5);
      CHECK(row.rusher == code(wide));
      CHECK(row.exposure == end_mans);
      CHECK(row.edge_width == Approx(3 + 1.04));
    }
  }
  CHECK(tackle > 3);
  CHECK(guard > 3);
}

TEST_CASE("a rusher takes the edge outside his man: past him with 0.2, before him with takeover, free with takeover") {
  // Past: whoever his man is, in the wall or not.
  for (const std::size_t man : {right_guard, right_tackle, back, hidden_back}) {
    CAPTURE(man);
    CHECK(Frame().rusher(man, past, 0.2).right() == 0);
    CHECK(Frame().rusher(right_tackle, inside, 0).rusher(man, past, 0.2).right() == 1);
    const double less = std::nextafter(0.2, 0);
    CHECK(Frame().rusher(right_tackle, inside, 0).rusher(man, past, less).right() == (man == right_tackle ? 1 : 0));
  }
  // Not past: the end's own, engaged or not; another's in the wall when engaged.
  const auto beside = [](std::size_t man, double exposure, bool engaged) {
    return Frame().rusher(right_tackle, inside, 0.1).rusher(man, outside, exposure, 1, engaged).right();
  };
  CHECK(beside(right_guard, 0.3, true) == 1);
  CHECK(beside(right_guard, std::nextafter(0.3, 0), true) == 0);
  CHECK(beside(right_guard, 0.9, false) == 0);
  CHECK(beside(back, 0.3, true) == 1);
  CHECK(beside(back, 0.9, false) == 0);
  CHECK(beside(hidden_back, 0.9, true) == 0);  // not in the wall
  CHECK(Frame().rusher(right_guard, outside, 0.9).rusher(right_tackle, outside, 0.95, 1, false).right() == 1);
  CHECK(Frame().rusher(right_guard, outside, 0.9).rusher(right_tackle, outside, 0.85, 1, false).right() == 0);
  // Free: outside the wall's end and takeover.
  CHECK(Frame().rusher(right_tackle, inside, 0.1).rusher(std::nullopt, past, 0.3).right() == 1);
  CHECK(Frame().rusher(right_tackle, inside, 0.1).rusher(std::nullopt, past, std::nextafter(0.3, 0)).right() == 0);
  CHECK(Frame().rusher(std::nullopt, past, 0.29).right() == -1);
  CHECK(Frame().rusher(std::nullopt, past_inside, 0.9).right() == -1);
  // takeover is a rule; shown is not.
  CHECK(Frame().rusher(right_tackle, inside, 0.1).rusher(right_guard, outside, 0.5).right(0.6) == 0);
  CHECK(Frame().rusher(right_tackle, inside, 0.1).rusher(right_guard, outside, 0.1).right(0.1) == 1);
  CHECK(Frame().rusher(right_tackle, inside, 0).rusher(right_guard, past, 0.25).right(0.6) == 1);
  CHECK(Frame().rusher(right_tackle, inside, 0).rusher(right_guard, past, 0.15).right(0.1) == 0);
}

TEST_CASE("inside his man, past him inside, of the other side or of no side he takes no edge") {
  for (const Placed& placed :
       {inside, past_inside, left_outside, Placed{-1, true, true}, no_side, Placed{0, true, false}}) {
    CHECK(Frame().rusher(right_guard, placed, 0.9).right() == -1);
    CHECK(Frame().rusher(back, placed, 0.9).rusher(right_tackle, outside, 0.1).right() == 1);
  }
  // Of the left he takes the left one.
  CHECK(Frame().rusher(0, left_outside, 0.9).of_side(-1) == 0);
  CHECK(Frame().rusher(right_guard, Placed{-1, true, true}, 0.9).of_side(-1) == 0);
  CHECK(Frame().rusher(right_guard, past, 0.9).of_side(-1) == -1);
}

TEST_CASE(
    "the edge is the most exposed one's of those who take it; of equals the quicker outside way, then the lower id") {
  CHECK(Frame()
            .rusher(right_tackle, outside, 0.4)
            .rusher(std::nullopt, past, 0.5)
            .rusher(right_guard, past, 0.45)
            .right() == 1);
  CHECK(Frame().rusher(right_tackle, outside, 0.5, 0.9).rusher(right_guard, past, 0.5, 0.8).right() == 1);
  CHECK(Frame().rusher(right_tackle, outside, 0.5, 0.8).rusher(right_guard, past, 0.5, 0.8).right() == 0);
  // Who takes it comes before the end's own, be he more exposed: past with 0.25 before 0.29 that is not enough.
  CHECK(Frame().rusher(right_tackle, outside, 0.29).rusher(right_guard, past, 0.25).right() == 1);
}

TEST_CASE("else it is the end's own rusher's, of that side and not past inside, the most exposed of several") {
  CHECK(Frame().rusher(right_tackle, outside, 0).right() == 0);
  CHECK(Frame().rusher(right_tackle, inside, 0).right() == 0);
  CHECK(Frame().rusher(right_tackle, past, 0.1).right() == 0);
  CHECK(Frame().rusher(right_tackle, past_inside, 0.9).right() == -1);
  CHECK(Frame().rusher(right_tackle, no_side, 0.9).right() == -1);
  CHECK(Frame().rusher(right_tackle, left_outside, 0.9).right() == -1);
  CHECK(Frame().rusher(right_tackle, outside, 0.1).rusher(right_tackle, inside, 0.15).right() == 1);
  CHECK(Frame().rusher(right_tackle, outside, 0, 3).rusher(right_tackle, inside, 0, 2).right() == 1);
  CHECK(Frame().rusher(right_tackle, outside, 0, 2).rusher(right_tackle, inside, 0, 2).right() == 0);
  CHECK(Frame().rusher(right_tackle, past_inside, 0).rusher(right_tackle, inside, 0).right() == 1);
}

TEST_CASE("else, when the end has nobody, the back's who took it for him; else nobody's") {
  CHECK(Frame().rusher(back, outside, 0.1).right() == 0);
  CHECK(Frame().rusher(back, inside, 0.1, 1, false).right() == 0);
  CHECK(Frame().rusher(back, past_inside, 0.1).right() == -1);
  CHECK(Frame().rusher(back, no_side, 0.1).right() == -1);
  CHECK(Frame().rusher(back, left_outside, 0.1).right() == -1);
  CHECK(Frame().rusher(right_guard, outside, 0.1).right() == -1);  // a lineman
  CHECK(Frame().rusher(hidden_back, outside, 0.1).right() == -1);  // not in the wall
  CHECK(Frame().rusher(back, inside, 0, 3).rusher(back, outside, 0, 2).right() == 1);
  CHECK(Frame().rusher(back, outside, 0.05).rusher(back, inside, 0.1).right() == 1);
  // The end has somebody, though that is no edge: the back's rusher is none either.
  CHECK(Frame().rusher(back, outside, 0.1).rusher(right_tackle, past_inside, 0).right() == -1);
  CHECK(Frame().rusher(back, outside, 0.1).rusher(right_tackle, no_side, 0.1).right() == -1);
  CHECK(Frame().rusher(back, outside, 0.1).rusher(right_tackle, inside, 0).right() == 1);
  CHECK(Frame().right() == -1);
}

TEST_CASE("a free rusher is outside when the wall's end is not outside of his line") {
  Frame frame;
  const Point end(3, 3), passer(0, 5);
  for (const int side : {-1, 1}) {
    const Point at(3 * side, 3);
    CHECK(outside_the_wall(frame.wall, Point(6 * side, 3), passer, side));
    CHECK_FALSE(outside_the_wall(frame.wall, Point(4 * side, 0), passer, side));
    CHECK(outside_the_wall(frame.wall, at + 2 * (at - passer), passer, side));  // on it
  }
  CHECK(end == frame.scene.protectors[right_tackle].at);
  CHECK(outside_the_wall(Wall(), {1, 1}, passer, 1));
  CHECK(outside_the_wall(Wall(), {-1, 1}, passer, -1));
}

TEST_CASE("a free rusher has the edge of the wall's end, and nobody's corner is short") {
  Stage stage;
  stage.line();
  const auto free = stage.rusher({{4.2, 4.6}});
  stage.has[free] = nobody;
  const auto other = stage.rusher({{4.4, 1.2}});
  stage.has[other] = 5;
  const Tables tables = stage.measured();
  const EdgeRow row = edge(tables, Side::right);
  REQUIRE(exposure_of(tables, free) > 0.3);
  CHECK(row.rusher == code(free));
  CHECK(row.edge_man == 5);
  CHECK(std::isnan(row.corner_held));
  CHECK(std::isnan(row.short_edge));
  CHECK(row.exposure == exposure_of(tables, free));
  CHECK(row.outside_time == tables.rushers.outside_time[row_of(tables, free)]);
  CHECK(row.edge_width == Approx(3 + 1.04));
  CHECK_FALSE(row.engaged);
  // Up the middle he is free and inside: no edge; the tackle's own has it.
  stage.places[free] = {{1.5, 3.4}};
  CHECK(edge(stage.measured(), Side::right).rusher == code(other));
  CHECK(stage.measured().frames.exposure_inside[0] > 0.3);
}

TEST_CASE("who beat his man inside is no edge, though he runs behind him; he is told inside") {
  Stage stage;
  stage.line();
  // Across the tackle's face, past him inside, and behind him to the outside.
  const auto end = stage.rusher({{3.4, 1.8}, {1.9, 3.4}, {2, 4.6}, {2.6, 6}});
  stage.has[end] = 5;
  const Tables tables = stage.measured();
  CHECK(edge(tables, Side::right, 0).rusher == code(end));
  for (const std::size_t frame : {std::size_t{1}, std::size_t{2}, std::size_t{3}}) {
    CAPTURE(frame);
    REQUIRE(tables.rushers.cutoff_ratio[row_of(tables, end, frame)] >= 1);
    check_nobody(edge(tables, Side::right, frame), 5);
    CHECK(tables.frames.exposure_inside[frame] > 0.3);
    CHECK(tables.frames.exposure_right[frame] == 0);
  }
  // Straight to that place he would be outside.
  Stage straight;
  straight.line();
  const auto he = straight.rusher({{4.4, 2.4}, {2.6, 6}});
  straight.has[he] = 5;
  CHECK(edge(straight.measured(), Side::right, 1).rusher == code(he));
  CHECK(edge(straight.measured(), Side::right, 1).short_edge == Approx(1.04));
}

TEST_CASE("a tackle out of the wall sets the edge when he is beaten, the guard when he is not") {
  // The tackle kicks out to a wide man, more than 3.5 yd outside the guard.
  Stage stage;
  stage.passer({{0, 5}});
  for (const auto& [slot, at] : scenes::five_linemen()) {
    stage.protector(slot,
                    slot == Slot::RT ? std::vector<Point>{at, Point(5.2, 3), Point(5.2, 3)} : std::vector<Point>{at});
  }
  const auto wide = stage.rusher({{4, 1}, {6.2, 2.4}, {4.6, 4.6}}), inner = stage.rusher({{1.9, 0.9}});
  stage.has[wide] = 5;
  stage.has[inner] = 4;
  const Tables tables = stage.measured();
  REQUIRE(tables.frames.wall_right[1] == 4);
  CHECK(edge(tables, Side::right, 1).edge_man == 4);  // the end is the guard, and the guard's own man has the edge
  CHECK(edge(tables, Side::right, 1).rusher == code(inner));
  CHECK(edge(tables, Side::right, 1).edge_width == Approx(1.5 + 1.04));
  const EdgeRow beaten = edge(tables, Side::right, 2);
  REQUIRE(exposure_of(tables, wide, 2) >= 0.2);
  CHECK(beaten.rusher == code(wide));
  CHECK(beaten.edge_man == 5);
  CHECK(beaten.edge_width == Approx(5.2 + 1.04));
  CHECK(beaten.edge_given == Approx(3 - 5.2));
  CHECK(beaten.short_edge == Approx(1.04));
}

TEST_CASE("a back takes the edge for a tackle who has nobody") {
  Stage stage;
  stage.line();
  const auto runner = stage.protector(Slot::none, {{2.4, 3.1}});
  const auto blitzer = stage.rusher({{3, 2}});
  stage.has[blitzer] = code(runner);
  const EdgeRow row = edge(stage.measured(), Side::right);
  CHECK(row.rusher == code(blitzer));
  CHECK(row.edge_man == code(runner));
  CHECK(row.edge_width == Approx(2.4 + 1.04));
  // With a man on the tackle who does not take it, the edge is that one's.
  const auto end = stage.rusher({{6, -2}});
  stage.has[end] = 5;
  REQUIRE(exposure_of(stage.measured(), blitzer) < 0.3);
  CHECK(edge(stage.measured(), Side::right).rusher == code(end));
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

TEST_CASE("every figure of every edge, by section 5 written down once more") {
  Random random(76);
  std::map<std::string, int> decided;
  int out_of_wall = 0, rows = 0;
  for (int i = 0, n = scenes::cases(1500, 20000); i < n; ++i) {
    CAPTURE(i);
    Stage stage;
    const auto moving = [&](const Point& at, double spread) {
      return std::vector<Point>{at, at + random.point(spread), at + random.point(spread)};
    };
    stage.passer(moving({random.number(-0.5, 0.5), random.number(5, 8)}, 0.6));
    for (const auto& [slot, at] : scenes::five_linemen()) {
      const bool kicks_out = random.whole(0, 7) == 0 && (slot == Slot::LT || slot == Slot::RT);
      const Point to = kicks_out ? Point(at.x() * random.number(1.5, 2.2), at.y() + 1) : Point(at + random.point(0.8));
      std::vector<Point> places = moving(to, 0.6);
      if (random.whole(0, 14) != 0) stage.protector(slot, places);
    }
    for (int k = random.whole(0, 2); k > 0; --k)
      stage.protector(Slot::none, moving({random.number(-4, 4), random.number(2, 5)}, 0.8));
    for (int k = random.whole(0, 4); k > 0; --k) {
      std::vector<Point> places{{random.number(-6, 6), random.number(-1, 3)}};
      for (int frame = 1; frame < 3; ++frame)
        places.push_back(places.back() + random.number(0.1, 0.6) * (Point(0, 6) - places.back()) + random.point(1.2));
      const auto rusher = stage.rusher(places);
      if (random.whole(0, 2)) continue;  // the nearest has him
      const auto& men = stage.play.protectors;
      stage.has[rusher] = random.whole(0, 2)
                              ? code(men[static_cast<std::size_t>(random.whole(0, static_cast<int>(men.size()) - 1))])
                              : nobody;
    }
    const Tables tables = stage.measured();
    std::array<double, 2> stood{scenes::nan, scenes::nan};
    std::size_t edge_rows = 0;
    for (std::size_t frame = 0; frame < 3; ++frame) {
      CAPTURE(frame);
      if (tables.frames.status[frame] != static_cast<std::int8_t>(Status::ok)) continue;
      Plain plain(stage, tables, frame);
      const Point& passer = stage.places[0][frame];
      for (const int side : {-1, 1}) {
        CAPTURE(side);
        edge_rows += 1;
        ++rows;
        const EdgeRow row = edge(tables, side < 0 ? Side::left : Side::right, frame);
        const Plain::One* one = plain.edge(side);
        ++decided[plain.why];
        double& line = stood.at(side > 0 ? 1 : 0);
        if (std::isnan(line)) line = plain.end_of(side).x() * side;
        const std::int32_t man = one && one->man != nobody ? one->man : plain.end_man(side);
        CHECK(row.edge_man == man);
        const double out = (stage.motion.at(frame, static_cast<std::size_t>(man)).x() - passer.x()) * side;
        CHECK(row.edge_width == Approx(out + 1.04).epsilon(1e-12));
        CHECK(row.edge_given == Approx(line - out).epsilon(1e-9));
        CHECK(row.drift == Approx((passer.x() - stage.places[0][0].x()) * side).epsilon(1e-12));
        out_of_wall += !plain.in_wall(man);
        if (!one) {
          check_nobody(row, man);
          continue;
        }
        const RushersTable& rushers = tables.rushers;
        const auto same = [](double a, double b) { return a == b || (std::isnan(a) && std::isnan(b)); };
        CHECK(row.rusher == code(one->rusher));
        CHECK(same(row.corner_held, rushers.corner_held[one->row]));
        CHECK(same(row.short_edge, rushers.short_edge[one->row]));
        CHECK(std::isnan(row.short_edge) == (one->man == nobody));
        CHECK(row.outside_time == rushers.outside_time[one->row]);
        CHECK(row.exposure == rushers.outside_exposure[one->row]);
        CHECK(row.engaged == (rushers.engaged[one->row] != 0));
        CHECK(row.helpers == rushers.helpers[one->row]);
      }
      double inside_exposure = 0;
      for (const Plain::One& one : plain.all)
        inside_exposure = std::fmax(inside_exposure, tables.rushers.inside_exposure[one.row]);
      CHECK(tables.frames.exposure_inside[frame] == inside_exposure);
      CHECK(tables.frames.exposure_left[frame] == edge(tables, Side::left, frame).exposure);
      CHECK(tables.frames.exposure_right[frame] == edge(tables, Side::right, frame).exposure);
    }
    CHECK(tables.edges.rows() == edge_rows);
  }
  CHECK(rows > scenes::cases(1500, 20000) * 4);
  CHECK(out_of_wall > 20);
  for (const char* why : {"free", "past", "end", "engaged", "own", "own, inside", "back", "nobody",
                          "nobody: the end's is past inside or of no side"}) {
    CAPTURE(why);
    CHECK(decided[why] > 20);
  }
  CHECK(decided.size() == 9);
}
