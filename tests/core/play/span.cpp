#include "play/span.hpp"

#include <doctest/doctest.h>

#include "acted.hpp"

using namespace shortedge;
using doctest::Approx;
using scenes::Acted, scenes::along, scenes::Path, scenes::stands;

namespace {

double leaves(const Path& passer, double end = 4) {
  Acted stage;
  stage.back(passer);
  stage.act(end);
  return leaves_at(stage.play, stage.motion);
}

}  // namespace

// Speeds below are wide of 1.5 yd/s; the velocity at a corner of a path is the mean of both sides.
TEST_CASE("the passer leaves when a sideways run begins that carries him two yards") {
  for (const double side : {-1.0, 1.0}) {
    CAPTURE(side);
    CHECK(leaves(along({{1, {0, 7}}, {2, {4 * side, 7}}})) == Approx(1));
    CHECK(leaves(along({{1, {0, 7}}, {2, {4 * side, 10}}})) == Approx(1));     // and back, for depth
    CHECK(leaves(along({{1, {0, 7}}, {1.45, {1.8 * side, 7}}})) == infinity);  // a slide of 1.8 yd
    CHECK(leaves(along({{1, {0, 7}}, {3, {2.8 * side, 7}}})) == infinity);     // a slow one, 1.4 yd/s
    // A slide, a stop, a run: the run counts from its own start.
    CHECK(leaves(along({{1, {0, 7}}, {1.4, {1.6 * side, 7}}, {2, {1.6 * side, 7}}, {3, {6 * side, 7}}})) == Approx(2));
    // There and back again: neither way carries him two yards.
    CHECK(leaves(along({{1, {0, 7}}, {1.4, {1.6 * side, 7}}, {1.8, {0, 7}}, {2.2, {1.6 * side, 7}}})) == infinity);
  }
}

TEST_CASE("a run that begins with the snap is the play's design, not leaving") {
  CHECK(leaves(along({{0.3, {0, 2}}, {2, {8, 6}}})) == infinity);
  CHECK(leaves(along({{0.35, {0, 2}}, {2, {8, 6}}})) == Approx(0.35));
}

TEST_CASE("the passer leaves when an upfield run begins that takes him across the line") {
  CHECK(leaves(along({{1, {0, 7}}, {3, {0, -1}}})) == Approx(1));
  CHECK(leaves(along({{1, {0, 7}}, {2.5, {0, 1}}})) == infinity);  // a step up
  // He steps up, stops, and then runs.
  CHECK(leaves(along({{1, {0, 7}}, {1.5, {0, 5}}, {2, {0, 5}}, {3.5, {0, -1}}})) == Approx(2));
  CHECK(leaves(along({{0.1, {0, 1}}, {1, {0, -2}}})) == Approx(0.1));  // a sneak, however early
}

TEST_CASE("the earlier of two ways to leave counts") {
  const double at = leaves(along({{1, {0, 7}}, {2, {4, 7}}, {2.2, {4, 7}}, {4, {4, -2}}}));
  CHECK(at == Approx(1));
}

TEST_CASE("reps end with the throw, or when the passer leaves before it, or the play's end") {
  Acted stage;
  stage.back(along({{2, {0, 7}}, {3, {4, 7}}}));
  stage.act(4, 20, 1.5);
  CHECK(rep_span(stage.play, stage.motion).end == Approx(1.5));
  CHECK(rep_span(stage.play, stage.motion).frames == 31);
  CHECK(rep_span(stage.play, stage.motion).thrown == 31);
  stage.act(4, 20, 3.5);
  CHECK(rep_span(stage.play, stage.motion).end == Approx(2));
  CHECK(rep_span(stage.play, stage.motion).frames == 41);
  CHECK(rep_span(stage.play, stage.motion).thrown == 71);  // pressure still counts to the throw
  stage.act(1.8, 20);
  CHECK(rep_span(stage.play, stage.motion).end == Approx(1.8));
  CHECK(rep_span(stage.play, stage.motion).frames == stage.play.frames());
  CHECK(rep_span(stage.play, stage.motion).thrown == stage.play.frames());
}

TEST_CASE("with no throw reps end when a defender, rusher or not, is within a yard of the passer") {
  const Path comes = along({{0, {0, -3}}, {2, {0, 7}}});  // 5 yd/s: within 1 yd from 1.8 s on
  Acted stage;
  stage.back(stands(0, 7));
  const std::size_t rusher = stage.rushes(comes);
  stage.act(3, 20);
  CHECK(rep_span(stage.play, stage.motion).end == Approx(1.8));
  CHECK(rep_span(stage.play, stage.motion).frames == 37);
  stage.act(3, 20, 2.5);
  CHECK(rep_span(stage.play, stage.motion).end == Approx(2.5));  // a throw under his nose is still the end
  // Whether he counts by then tells nothing: roles hang on the end of reps, never it on them.
  stage.act(3, 20);
  stage.play.men[rusher].counts_from = 38;
  CHECK(rep_span(stage.play, stage.motion).end == Approx(1.8));
  stage.play.men[rusher].counts_to = 10;
  CHECK(rep_span(stage.play, stage.motion).end == Approx(1.8));
  stage.play.men[rusher].role = Role::other;
  stage.play.rushers.clear();
  CHECK(rep_span(stage.play, stage.motion).end == Approx(1.8));
  // The offence's own men may come as near as they like.
  stage.play.men[rusher].unit = Unit::offense;
  CHECK(rep_span(stage.play, stage.motion).end == Approx(3));
}

TEST_CASE("a yard off is near enough, and of several the first to come counts") {
  const auto end = [](std::vector<Path> defenders, const Path& passer = stands(0, 7)) {
    Acted stage;
    stage.back(passer);
    for (Path& path : defenders) stage.rushes(std::move(path));
    stage.act(3, 20);
    return rep_span(stage.play, stage.motion).end;
  };
  CHECK(end({stands(1, 7)}) == 0);
  CHECK(end({stands(1.0001, 7)}) == Approx(3));
  CHECK(end({along({{2, {5, 7}}, {2.1, {0.5, 7}}}), along({{1, {5, 7}}, {1.1, {0.5, 7}}}), stands(9, 9)}) ==
        Approx(1.1));
  // Men or a passer who are not there are near nobody.
  CHECK(end({scenes::from(1.5, stands(0.5, 7))}) == Approx(1.5));
  CHECK(end({stands(0.5, 7)}, [](double time) { return time > 0.99 ? Point(0, 7) : absent(); }) == Approx(1));
  CHECK(end({}) == Approx(3));
}

TEST_CASE("the spot is where the passer tops his drop, else where he is at the end") {
  Acted stage;
  stage.back(along({{0, {0, 1}}, {2, {0, 7}}, {2.5, {0, 7}}, {3, {0, 6}}}));
  stage.act(3, 20, 3);
  const RepSpan span = rep_span(stage.play, stage.motion);
  CHECK(span.spot.y() == Approx(7));
  CHECK(span.pressure_from == Approx(0.8));  // from under centre: at 3 yd, which he reaches at 2/3 s, but from 0.8 s on
  stage.act(1.5, 20, 1.5);                   // thrown while he still drops: no top
  CHECK(rep_span(stage.play, stage.motion).spot.y() == Approx(5.5));

  Acted slow;
  slow.back(along({{0, {0, 1}}, {3, {0, 7}}}));
  slow.act(3, 20, 3);
  CHECK(rep_span(slow.play, slow.motion).pressure_from == Approx(1));  // 3 yd deep at 1 s
}

TEST_CASE("a passer whose tracks end early has his spot where he was last seen") {
  Acted stage;
  stage.back([](double time) { return time < 1.01 ? Point(1, 7) : absent(); });
  stage.act(2, 20);
  CHECK(rep_span(stage.play, stage.motion).spot == Point(1, 7));
  stage.paths[0] = [](double) { return absent(); };
  stage.act(2, 20);
  CHECK(!present(rep_span(stage.play, stage.motion).spot));
}

TEST_CASE("pressure counts from 0.8 s, from under centre not before the passer is three yards deep") {
  Acted stage;
  stage.back(along({{0, {0, 1}}, {3, {0, 7}}}));  // 2 yd/s: 3 yd deep at 1 s
  stage.act(3);
  CHECK(rep_span(stage.play, stage.motion).pressure_from == Approx(1));
  stage.paths[0] = stands(0, 1);
  stage.act(3);
  CHECK(rep_span(stage.play, stage.motion).pressure_from == infinity);
  stage.paths[0] = stands(0, 5);
  stage.act(3);
  CHECK(rep_span(stage.play, stage.motion).pressure_from == 0.8);
}
