#pragma once
/// Plays told for the tests of reps, and their rows by the names of the men.

#include "reps/reps.hpp"
#include "scenes.hpp"

namespace told {

using namespace shortedge;

/// A row of reps with its words.
struct Row : RepsTable::Row {
  Outcome outcome = Outcome::uncovered;
  BeatSide beat_side = BeatSide::none;
  Technique technique = Technique::none;
  Side technique_side = Side::none;
  Set set_type = Set::none;
  Lane lane = Lane::none;
};

/// Five linemen who stand and a passer 7.5 yd deep.
inline scenes::Script line() {
  scenes::Script script;
  script.men = {scenes::offense("QB", scenes::stands(0, 7.5)),    scenes::offense("LT", scenes::stands(-3, 0.8)),
                scenes::offense("LG", scenes::stands(-1.5, 0.8)), scenes::offense("C", scenes::stands(0, 0.5)),
                scenes::offense("RG", scenes::stands(1.5, 0.8)),  scenes::offense("RT", scenes::stands(3, 0.8))};
  return script;
}

inline scenes::Actor* man(scenes::Script& script, std::string_view name) {
  return &*std::find_if(script.men.begin(), script.men.end(),
                        [&](const scenes::Actor& actor) { return actor.name == name; });
}

/// Left and right swapped: paths, names and positions.
inline std::string swapped(std::string name) {
  for (const char* from : {"LT", "LG", "LE", "LDT", "RT", "RG", "RE", "RDT"}) {
    if (name == from) {
      name[0] = name[0] == 'L' ? 'R' : 'L';
      break;
    }
  }
  return name;
}
inline void reflect(scenes::Script& script) {
  for (scenes::Actor& actor : script.men) {
    actor.name = swapped(actor.name);
    actor.position = swapped(actor.position);
    actor.path = [path = actor.path](double time) { return scenes::mirrored(path(time)); };
  }
}

/// Five men and a back against four: the left tackle holds, the left guard is walked back with the centre's help, the
/// right guard has nobody, the right tackle is beaten round the corner, a blitzer comes free, and the back is
/// out on a route. All of it is invented.
inline scenes::Script dropback(double throw_time, bool mirror) {
  using scenes::along, scenes::offense, scenes::defense;
  scenes::Script script = line();
  *man(script, "LT") = offense("LT", along({{0, {-3, 0.8}}, {1, {-4, 4}}}));
  *man(script, "LG") = offense("LG", along({{0, {-1.5, 0.8}}, {0.8, {-1.5, 2}}, {1.2, {-1.5, 2}}, {2.6, {-1.2, 4.2}}}));
  *man(script, "C") = offense("C", along({{0, {0, 0.5}}, {1, {-0.6, 1.8}}, {1.4, {-0.6, 1.8}}, {2, {-0.5, 2.6}}}));
  *man(script, "RG") = offense("RG", along({{0, {1.5, 0.8}}, {1, {1.5, 2.2}}}));
  *man(script, "RT") = offense("RT", along({{0, {3, 0.8}}, {1, {4, 3.5}}}));
  script.men.push_back(offense("RB", along({{0, {-2.5, 6}}, {2.8, {-9, 3}}})));
  script.men.push_back(defense("LE", along({{0, {-5, -1}}, {1, {-4.6, 3.2}}})));
  script.men.push_back(
      defense("LDT", along({{0, {-1.5, -1}}, {1, {-1.5, 1.1}}, {1.2, {-1.5, 1.1}}, {2.6, {-1.2, 3.3}}})));
  script.men.push_back(defense("RE", along({{0, {5, -1}}, {1, {4.9, 2.8}}, {1.4, {5.2, 4.2}}, {2.4, {1.2, 7.2}}})));
  script.men.push_back(defense("WLB", along({{0, {9, -1}}, {1.5, {9, 5}}, {2.8, {1.5, 8.5}}})));
  script.throw_time = throw_time;
  script.end_time = 3;
  if (mirror) reflect(script);
  return script;
}

/// A game of one play, its reps, and its rows by the names the play was told with, reflected or not.
struct Told {
  Game game;
  RepTables tables;
  const RepsTable& reps = tables.reps;
  bool mirror = false;

  explicit Told(Game of) : game(std::move(of)), tables(reps_of_game(game, {}, 1)) {}
  explicit Told(const scenes::Script& script, bool reflected = false)
      : Told(scenes::Input(script).game(Orientation::trust)) {
    mirror = reflected;
  }
  Told(const Told&) = delete;
  Told& operator=(const Told&) = delete;

  std::string name(std::int32_t player) const {
    return player < 0 ? "" : game.players[static_cast<std::size_t>(player)];
  }
  std::string swapped(const std::string& of) const { return mirror ? told::swapped(of) : of; }
  Side side(Side of) const { return mirror == (of == Side::left) ? Side::right : Side::left; }

  /// The rows of one protector.
  std::vector<std::size_t> rows(const std::string& protector) const {
    std::vector<std::size_t> found;
    for (std::size_t row = 0; row < reps.rows(); ++row) {
      if (name(reps.protector[row]) == swapped(protector)) found.push_back(row);
    }
    return found;
  }
  /// The one row of these two; of nobody: "".
  Row rep(const std::string& protector, const std::string& rusher) const {
    std::vector<std::size_t> found;
    for (const std::size_t row : rows(protector)) {
      if (name(reps.rusher[row]) == swapped(rusher)) found.push_back(row);
    }
    CAPTURE(protector);
    CAPTURE(rusher);
    REQUIRE(found.size() == 1);
    const std::size_t k = found[0];
    Row row;
    row.start = reps.start[k];
    row.end = reps.end[k];
    row.leverage = reps.leverage[k];
    row.contact_time = reps.contact_time[k];
    row.hips_time = reps.hips_time[k];
    row.helped = reps.helped[k];
    row.island_seconds = reps.island_seconds[k];
    row.beat_time = reps.beat_time[k];
    row.pressure = reps.pressure[k];
    row.pressure_time = reps.pressure_time[k];
    row.ball_out = reps.ball_out[k];
    row.peak_outside = reps.peak_outside[k];
    row.peak_outside_time = reps.peak_outside_time[k];
    row.short_edge_seconds = reps.short_edge_seconds[k];
    row.ground_given = reps.ground_given[k];
    row.nearest_rusher_min = reps.nearest_rusher_min[k];
    row.peak_film_time = reps.peak_film_time[k];
    row.contact_film_time = reps.contact_film_time[k];
    row.beat_film_time = reps.beat_film_time[k];
    row.outcome = static_cast<Outcome>(reps.outcome[k]);
    row.beat_side = static_cast<BeatSide>(reps.beat_side[k]);
    row.technique = static_cast<Technique>(reps.technique[k]);
    row.technique_side = static_cast<Side>(reps.technique_side[k]);
    row.set_type = static_cast<Set>(reps.set_type[k]);
    row.lane = static_cast<Lane>(reps.lane[k]);
    return row;
  }
};

}  // namespace told
