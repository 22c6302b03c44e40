#include "reps/technique.hpp"

#include <doctest/doctest.h>

#include "acted.hpp"

using namespace shortedge;
using scenes::Acted, scenes::stands;

namespace {

constexpr std::array<double, 5> line{-3, -1.5, 0, 1.5, 3};
constexpr std::array<Slot, 5> slots{Slot::LT, Slot::LG, Slot::C, Slot::RG, Slot::RT};

/// Five linemen at those places across, a tight end where he is given, and the rusher.
Aligned at_snap(double u, double v, double tight_end = scenes::nan, double mirror = 1) {
  Acted stage;
  stage.back(stands(0, 7));
  for (std::size_t k = 0; k < line.size(); ++k) stage.blocks(slots[k], stands(line[k], 0.75));
  if (!std::isnan(tight_end)) stage.add(Role::other, Slot::none, stands(mirror * tight_end, 0.75), Position::TE);
  const std::size_t rusher = stage.rushes(stands(mirror * u, v));
  stage.act(0.1);
  return aligned(stage.play, stage.motion, rusher);
}

/// A right tackle or guard (or their like on the left) who is at (back, out) from his stance at contact.
SetLook set_to(Slot slot, double back, double out) {
  Acted stage;
  stage.back(stands(0, 7));
  const double side = slot == Slot::LT || slot == Slot::LG ? -1 : 1;
  const std::size_t man =
      stage.blocks(slot, scenes::along({{0, {3 * side, 0.75}}, {1, {(3 + out) * side, 0.75 + back}}}));
  stage.act(1);
  return set_of(stage.play, stage.motion, man, stage.play.frames() - 1);
}

}  // namespace

// The common numbering (coaching pages citing Christensen and Peterson): even is head up, odd the outside shade, i the
// inside shade, 7 the inside shade of the tight end, 1 either shade of the centre. Others exist.
TEST_CASE("a rusher's technique is the common numbering, on either side") {
  struct Case {
    double u, v, tight_end;
    Technique technique;
  };
  const double none = scenes::nan;
  for (const Case& of : std::initializer_list<Case>{
           {0, -1, none, Technique::t0},
           {0.2, -1, none, Technique::t0},
           {0.25, -1, none, Technique::t1},
           {1.25, -1, none, Technique::t2i},
           {1.5, -1, none, Technique::t2},
           {1.75, -1, none, Technique::t3},
           {2.75, -1, none, Technique::t4i},
           {2.875, -1, none, Technique::t4},
           {3.125, -1, none, Technique::t4},
           {3.25, -1, none, Technique::t5},
           {4.5, -1, none, Technique::t5},
           {4.5625, -1, none, Technique::wide},
           {4.25, -1, 4.5, Technique::t7},
           {4.5, -1, 4.5, Technique::t6},
           {5, -1, 4.5, Technique::t9},
           {6, -1, 4.5, Technique::t9},
           {6.0625, -1, 4.5, Technique::wide},
           {5, -1, 5.0625, Technique::wide},  // a tight end split wider than 2 yd is not attached
           {3, -2.5, none, Technique::t4},
           {3, -2.5625, none, Technique::off},
           {9, -3, none, Technique::off}}) {
    CAPTURE(of.u);
    CAPTURE(of.v);
    CAPTURE(of.tight_end);
    const Aligned right = at_snap(of.u, of.v, of.tight_end), left = at_snap(of.u, of.v, of.tight_end, -1);
    CHECK(right.technique == of.technique);
    CHECK(left.technique == of.technique);
    const bool sided = of.technique != Technique::t0 && of.technique != Technique::off;
    CHECK(right.side == (sided ? Side::right : Side::none));
    CHECK(left.side == (sided ? Side::left : Side::none));
  }
}

TEST_CASE("on an unbalanced line the side a man stood on counts, whatever slot he is listed in") {
  // Three right of the centre, the left tackle outermost, and one left of him.
  const auto at = [](double u, double mirror, double tight_end = scenes::nan) {
    Acted stage;
    stage.back(stands(0, 7));
    const std::pair<Slot, double> men[] = {
        {Slot::LG, -1.5}, {Slot::C, 0.0}, {Slot::RG, 1.5}, {Slot::RT, 3.0}, {Slot::LT, 4.5}};
    for (const auto& [slot, place] : men) stage.blocks(slot, stands(mirror * place, 0.75));
    if (!std::isnan(tight_end)) stage.add(Role::other, Slot::none, stands(mirror * tight_end, 0.75), Position::TE);
    const std::size_t rusher = stage.rushes(stands(mirror * u, -1));
    stage.act(0.1);
    return aligned(stage.play, stage.motion, rusher);
  };
  for (const double mirror : {-1.0, 1.0}) {
    CAPTURE(mirror);
    const Side strong = mirror > 0 ? Side::right : Side::left, weak = mirror > 0 ? Side::left : Side::right;
    CHECK(at(5, mirror).technique == Technique::t5);
    CHECK(at(5, mirror).side == strong);
    CHECK(at(4.1, mirror).technique == Technique::t4i);
    CHECK(at(4.1, mirror).side == strong);
    CHECK(at(6.1, mirror).technique == Technique::wide);
    CHECK(at(6.1, mirror).side == strong);
    CHECK(at(-2.5, mirror).technique == Technique::t3);
    CHECK(at(-2.5, mirror).side == weak);
    CHECK(at(-3.1, mirror).technique == Technique::wide);
    CHECK(at(-3.1, mirror).side == weak);
    // A tight end beside the outer tackle, and one behind the inner: outside the guard both.
    CHECK(at(6.4, mirror, 6).technique == Technique::t9);
    CHECK(at(6.4, mirror, 6).side == strong);
  }
}

TEST_CASE("who is not there at the snap has no technique, nor has anybody without a line") {
  CHECK(at_snap(scenes::nan, -1).technique == Technique::none);
  Acted stage;
  stage.back(stands(0, 7));
  stage.add(Role::other, Slot::none, stands(4.5, 0.75), Position::TE);  // attached to nobody
  const std::size_t rusher = stage.rushes(stands(3, -1));
  stage.act(0.1);
  CHECK(aligned(stage.play, stage.motion, rusher).technique == Technique::none);
  CHECK(aligned(stage.play, stage.motion, rusher).side == Side::none);
}

TEST_CASE("a set is named by how far back and outward it goes") {
  struct Case {
    double back, out;
    Set type;
  };
  for (const Case& of : std::initializer_list<Case>{{1, 0, Set::jump},
                                                    {1.4375, 4, Set::jump},
                                                    {-0.5, 1, Set::jump},
                                                    {1.5, 0, Set::vertical},
                                                    {3, 1.25, Set::vertical},
                                                    {3, -1, Set::vertical},
                                                    {3, 1.5, Set::forty_five},
                                                    {2, 2, Set::forty_five},
                                                    {2, 3, Set::forty_five},
                                                    {2, 3.0625, Set::kick_out},
                                                    {1.5, 4, Set::kick_out}}) {
    CAPTURE(of.back);
    CAPTURE(of.out);
    for (const Slot slot : {Slot::LT, Slot::LG, Slot::RG, Slot::RT}) {
      const SetLook look = set_to(slot, of.back, of.out);
      CHECK(look.type == of.type);
      CHECK(look.depth == doctest::Approx(of.back));
      // Straight back is 0, straight outward 90: a point at that angle and as far away is where he is.
      const double far = std::hypot(of.back, of.out);
      CHECK(far * std::cos(radians(look.angle)) == doctest::Approx(of.back));
      CHECK(far * std::sin(radians(look.angle)) == doctest::Approx(of.out));
    }
  }
}

TEST_CASE("centres and men of no slot have no set, nor has one who is not there") {
  for (const Slot slot : {Slot::C, Slot::none}) {
    CHECK(set_to(slot, 3, 0).type == Set::none);
    CHECK(std::isnan(set_to(slot, 3, 0).depth));
  }
  Acted stage;
  stage.back(stands(0, 7));
  const std::size_t man = stage.blocks(Slot::RT, scenes::from(0.5, stands(3, 2)));
  stage.act(1);
  CHECK(set_of(stage.play, stage.motion, man, 0).type == Set::none);
  CHECK(set_of(stage.play, stage.motion, man, 20).type == Set::none);  // from where he set is not known
  CHECK(std::isnan(set_of(stage.play, stage.motion, man, 20).angle));
}
