// Another project's use of the installed library: a ring in Boost.Geometry's hands, one hand-made frame measured, the
// results on disk and back.

#include <boost/geometry.hpp>
#include <cmath>
#include <cstdio>
#include <filesystem>

#include "file/results_file.hpp"
#include "geometry/ring.hpp"
#include "match/match.hpp"
#include "measure/measure.hpp"

using namespace shortedge;

namespace {

bool all_right = true;

void expect(const char* what, double found, double wanted) {
  std::printf("%s %.6g\n", what, found);
  if (std::abs(found - wanted) < 1e-9) return;
  std::printf("  expected %.6g\n", wanted);
  all_right = false;
}

}  // namespace

int main() {
  const Ring ring{{0, 0}, {4, 0}, {4, 1}, {1, 1}, {1, 3}, {0, 3}};
  Point center;
  boost::geometry::centroid(ring, center);
  Ring hull;
  boost::geometry::convex_hull(ring, hull);
  expect("centroid u", center.x(), 1.5);
  expect("centroid v", center.y(), 1.0);
  expect("hull area", area(hull), 9.0);

  // A passer five yards deep behind five linemen, and an end outside the right tackle.
  Play play;
  play.play = 0;
  play.time = {0};
  Motion motion;
  const auto add = [&](Role role, Slot slot, const Point& at) {
    Man man{static_cast<std::int32_t>(play.men.size()), role == Role::rusher ? Unit::defense : Unit::offense,
            Position::other};
    man.role = role;
    man.slot = slot;
    if (role == Role::passer) play.passer = play.men.size();
    if (role == Role::protector) play.protectors.push_back(play.men.size());
    if (role == Role::protector) play.offense.push_back(play.men.size());
    if (role == Role::rusher) play.rushers.push_back(play.men.size());
    play.men.push_back(man);
    motion.place.push_back(at);
    motion.velocity.push_back(Point(0, 0));
  };
  add(Role::passer, Slot::none, {0, 5});
  add(Role::protector, Slot::LT, {-3, 3});
  add(Role::protector, Slot::LG, {-1.5, 2});
  add(Role::protector, Slot::C, {0, 1.5});
  add(Role::protector, Slot::RG, {1.5, 2});
  add(Role::protector, Slot::RT, {3, 3});
  add(Role::rusher, Slot::none, {4, 2});
  motion.men = play.men.size();

  Results results;
  measure(play, motion, match_play(play, motion, results.rules), results.rules, results.tables);
  results.game = "invented";
  results.library_version = "consumer";
  results.plays = {"1"};
  results.players = {"QB", "LT", "LG", "C", "RG", "RT", "RE"};
  expect("pocket width", results.tables.frames.pocket_width.at(0), 6);
  expect("pocket depth", results.tables.frames.pocket_depth.at(0), 3.5);
  expect("nearest rusher", results.tables.frames.nearest_rusher.at(0), 5);

  const auto path = std::filesystem::temp_directory_path() / "shortedge_consumer.h5";
  write_results(results, path);
  expect("read back", read_results(path).tables.frames.pocket_depth.at(0), 3.5);
  std::filesystem::remove(path);
  std::printf("exposure of the right edge %.3f\n", results.tables.frames.exposure_right.at(0));
  return all_right ? 0 : 1;
}
