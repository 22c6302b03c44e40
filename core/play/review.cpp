#include "play/review.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/error.hpp"
#include "play/line.hpp"
#include "play/roles.hpp"

namespace shortedge {

namespace {

constexpr double least_split = 0.5, widest_split = 3.0;  // yd

void refuse_doubtful(const std::vector<SnapLook>& looks) {
  std::size_t doubtful = 0, mirrored = 0, upfield = 0, along = 0, splits = 0;
  std::vector<double> medians;
  for (const SnapLook& look : looks) {
    const bool odd_splits = look.splits < least_split || look.splits > widest_split;
    doubtful += look.mirrored || look.passer_upfield || look.along || odd_splits;
    mirrored += look.mirrored;
    upfield += look.passer_upfield;
    along += look.along;
    splits += odd_splits;
    if (!std::isnan(look.splits)) medians.push_back(look.splits);
  }
  if (2 * doubtful <= looks.size()) return;
  std::sort(medians.begin(), medians.end());
  const std::string plays = std::to_string(looks.size());
  throw InputError(
      "y, direction or units look wrong: of " + plays + " plays LT stands right of RT in " + std::to_string(mirrored) +
      ", the passer upfield of the ball in " + std::to_string(upfield) +
      (along > 0 ? ", the line along the field in " + std::to_string(along) + " (x and y exchanged?)" : "") +
      ", neighbouring linemen under 0.5 or over 3 yd apart in " + std::to_string(splits) +
      (medians.empty() ? "" : " (median " + shown(medians[medians.size() / 2]) + " yd)") +
      "; mend units, origin, y or direction, or say orientation \"trust\"");
}

/// NaN of none.
double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const std::size_t n = values.size();
  return n == 0 ? nan : (values[(n - 1) / 2] + values[n / 2]) / 2;
}

}  // namespace

SnapLook look_at_snap(const Play& play, const Motion& motion) {
  std::array<Point, 6> line;
  line.fill(absent());
  for (std::size_t man = 0; man < play.men.size(); ++man) {
    line[static_cast<std::size_t>(play.men[man].slot)] = motion.at(0, man);
  }
  line[0] = absent();
  std::vector<double> splits;
  for (std::size_t slot = 2; slot < line.size(); ++slot) {
    const double split = distance(line[slot - 1], line[slot]);
    if (!std::isnan(split)) splits.push_back(split);
  }
  Point least(infinity, infinity), most(-infinity, -infinity);
  for (const Point& at : line) {
    if (!present(at)) continue;
    least = least.cwiseMin(at);
    most = most.cwiseMax(at);
  }
  const bool along = most.y() - least.y() > most.x() - least.x();
  return {line[1].x() > line[5].x(), motion.at(0, play.passer).y() < 0, along, median(splits)};
}

Game make_game(const GameInput& input, Orientation orientation) {
  Game game = assemble(input);
  const Roster roster(game.people, game.players.size());
  std::vector<SnapLook> looks;
  std::vector<Problem> found;
  for (const std::size_t row : game.measured()) {
    RawPlay raw = take_play(game, roster, game.snaps[row]);
    try {
      if (raw.play.time.empty()) throw InputError("no snap in range: no sample between snap and end");
      if (raw.play.time.size() > bounds::frames) {  // every man with a clock of his own
        throw InputError(std::to_string(raw.play.time.size()) + " frames; accepted: at most " +
                         std::to_string(bounds::frames));
      }
      const Motion motion = place_men(raw.play, raw.samples);
      find_roles(raw.play, motion);
      looks.push_back(look_at_snap(raw.play, motion));
      LineLook line = look_at_line(raw.play, motion);
      if (line.line != Line::whole)
        game.remarks.push_back({raw.play.play, std::move(line.says), line.line == Line::few});
    } catch (const InputError& problem) {
      found.push_back({raw.play.play, problem.what()});
    }
  }
  if (orientation == Orientation::check) refuse_doubtful(looks);
  game.problems.insert(game.problems.end(), found.begin(), found.end());

  std::vector<std::size_t> row_of(game.plays.size(), game.snaps.size());
  for (std::size_t row = game.snaps.size(); row-- > 0;) row_of[static_cast<std::size_t>(game.snaps[row].play)] = row;
  std::stable_sort(game.problems.begin(), game.problems.end(), [&](const Problem& a, const Problem& b) {
    return row_of[static_cast<std::size_t>(a.play)] < row_of[static_cast<std::size_t>(b.play)];
  });
  if (looks.empty()) {
    std::string reasons;
    for (std::size_t i = 0; i < std::min<std::size_t>(3, game.problems.size()); ++i) {
      const Problem& problem = game.problems[i];
      reasons += (i ? "; " : ": ") + game.plays[static_cast<std::size_t>(problem.play)] + ": " + problem.reason;
    }
    throw InputError("no play can be measured" + reasons);
  }
  return game;
}

}  // namespace shortedge
