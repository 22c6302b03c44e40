// One play from raw columns to its reps: nothing breaks, and the tables' figures keep to their ranges.

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>
#include <numeric>
#include <string>
#include <vector>

#include "base/error.hpp"
#include "measure/measure.hpp"
#include "play/review.hpp"
#include "reps/reps.hpp"
#include "target.hpp"

using namespace shortedge;
using fuzz::must, fuzz::Source;

namespace {

struct Columns {
  std::vector<std::string> plays{"a", "b"}, players;
  std::vector<std::int32_t> play, player, snap_play{0}, person, person_play;
  std::vector<double> time, x, y, vx, vy, ball_x{50}, ball_y{26}, direction{1}, snap_time{10}, throw_time, end_time,
      film_time;
  std::vector<Unit> unit;
  std::vector<std::string> position;
  std::vector<Role> role;

  GameInput input() const {
    GameInput game;
    game.plays = plays;
    game.players = players;
    game.tracks = {play, player, time, x, y, vx, vy, {}, {}, {}};
    game.snaps = {snap_play, ball_x, ball_y, direction, snap_time, throw_time, end_time, film_time};
    game.people = {person, person_play, unit, position, role};
    return game;
  }
};

double odd_number(Source& source) {
  constexpr double huge = std::numeric_limits<double>::max(), tiny = std::numeric_limits<double>::denorm_min();
  constexpr double odd[]{shortedge::nan, infinity, -infinity, huge, -huge, tiny, -0.0, 1e9, 10, 50, 26};
  return odd[source.byte() % std::size(odd)];
}

/// Up to fourteen men, each on a line or a bend; then some values are spoiled.
Columns columns(Source& source) {
  static const char* const words[]{"QB", "LT", "LG", "C", "RG", "RT", "TE", "RB", "DE", "T", "G", "OL", "", "qb"};
  Columns out;
  const int men = source.whole(0, 14), frames = source.whole(1, 24);
  const double step = source.whole(0, 3) ? 0.1 : source.number(0, 0.5);
  const bool velocity = source.whole(0, 1);
  out.direction[0] = source.whole(0, 1) ? 1 : -1;
  if (source.whole(0, 1)) out.throw_time = {10 + source.number(-0.5, 3)};
  if (source.whole(0, 3) == 0) out.end_time = {10 + source.number(-0.5, 3)};
  if (source.whole(0, 3) == 0) out.film_time = {source.number(0, 100)};
  const bool people_play = source.whole(0, 3) == 0, roles = source.whole(0, 1);
  for (int man = 0; man < men; ++man) {
    const bool usual = source.whole(0, 3) != 0;
    out.players.push_back(std::string("p").append(std::to_string(man)));
    out.person.push_back(man);
    if (people_play) out.person_play.push_back(source.whole(-1, 1));
    const bool attacks = man < 7;
    out.unit.push_back((usual ? attacks : source.whole(0, 1) != 0) ? Unit::offense : Unit::defense);
    out.position.emplace_back(words[usual ? (attacks ? man : 8) : source.whole(0, std::size(words) - 1)]);
    if (roles) out.role.push_back(usual ? Role::unset : static_cast<Role>(source.whole(-1, 3)));
    const double line[]{0, -3.2, -1.6, 0, 1.6, 3.2, 5};
    double u = attacks ? line[man] : source.number(-8, 8), v = attacks ? (man ? 1 : 5) : -1;
    if (!usual) {
      u = source.number(-12, 12);
      v = source.number(-6, 12);
    }
    const double du = source.number(-8, 8), dv = source.number(-8, 8), bend = source.number(-6, 6);
    const int from = source.whole(0, 7) ? 0 : source.whole(0, frames),
              to = source.whole(0, 7) ? frames : source.whole(0, frames);
    for (int frame = from; frame < to; ++frame) {
      const double since = (frame - 3) * step, moving = std::max(0.0, since);
      const double at_u = u + du * moving * 0.5, at_v = v + dv * moving * 0.5 + bend * moving * moving * 0.5;
      out.play.push_back(0);
      out.player.push_back(man);
      out.time.push_back(10 + since);
      out.x.push_back(50 - out.direction[0] * at_v);
      out.y.push_back(26 - out.direction[0] * at_u);
      if (velocity) {
        out.vx.push_back(-out.direction[0] * dv * 0.5);
        out.vy.push_back(-out.direction[0] * du * 0.5);
      }
    }
  }
  std::vector<double>* numbers[]{&out.time,      &out.x,          &out.y,        &out.vx,
                                 &out.vy,        &out.ball_x,     &out.ball_y,   &out.direction,
                                 &out.snap_time, &out.throw_time, &out.end_time, &out.film_time};
  std::vector<std::int32_t>* codes[]{&out.play, &out.player, &out.snap_play, &out.person, &out.person_play};
  for (int k = source.whole(0, 3) ? 0 : source.whole(0, 6); k > 0; --k) {
    if (source.whole(0, 1)) {
      std::vector<double>& column = *numbers[source.byte() % std::size(numbers)];
      const std::size_t at = source.word();
      const double value = odd_number(source);
      if (!column.empty()) column[at % column.size()] = value;
    } else {
      std::vector<std::int32_t>& column = *codes[source.byte() % std::size(codes)];
      const std::size_t at = source.word();
      const int value = source.whole(-2, 15);
      if (!column.empty()) column[at % column.size()] = value;
    }
  }
  return out;
}

bool between(double value, double low, double high) { return std::isnan(value) || (value >= low && value <= high); }

void check(const Tables& tables, const Rules& rules) {
  constexpr double slack = 1e-9;
  const FramesTable& frames = tables.frames;
  for (std::size_t row = 0; row < frames.rows(); ++row) {
    const bool ok = frames.status[row] == static_cast<std::int8_t>(Status::ok);
    for (const auto* column : {&frames.pocket_width, &frames.pocket_depth, &frames.pocket_area, &frames.passer_room}) {
      must(ok == !std::isnan((*column)[row]), "a figure of the pocket stands in ok frames and in no other");
    }
    if (!ok) continue;
    must(frames.pocket_width[row] >= 0 && frames.pocket_area[row] >= 0, "a pocket has no less than no width and area");
    must(frames.passer_room[row] >= -slack && frames.passer_room[row] <= frames.pocket_area[row] + 1e-6,
         "his room is part of the pocket");
    for (const auto* column : {&frames.exposure_left, &frames.exposure_inside, &frames.exposure_right}) {
      must((*column)[row] >= 0 && (*column)[row] <= 1, "an exposure is 0 to 1");
    }
  }
  const EdgesTable& edges = tables.edges;
  for (std::size_t row = 0; row < edges.rows(); ++row) {
    must(between(edges.corner_held[row], 0, 2 * rules.reach + slack), "a corner held is 0 to 2 reach");
    must(between(edges.short_edge[row], 0, rules.reach + slack), "a short edge is 0 to reach");
    must(edges.exposure[row] >= 0 && edges.exposure[row] <= 1 && edges.outside_time[row] >= 0, "an exposure is 0 to 1");
  }
  const RushersTable& rushers = tables.rushers;
  for (std::size_t row = 0; row < rushers.rows(); ++row) {
    must(rushers.distance[row] >= 0 && rushers.path_length[row] >= rushers.distance[row] - slack,
         "a path is at least as long as the straight line");
    must(between(rushers.bearing[row], -180, 180) && between(rushers.approach_angle[row], 0, 180), "an angle is one");
    must(between(rushers.cutoff_ratio[row], 0, infinity), "a ratio is not negative");
    must(between(rushers.closest[row], 0, rushers.distance[row] + slack) &&
             between(rushers.closest_in[row], 0, infinity),
         "the closest point is no farther than he is");
    must(between(rushers.outside_exposure[row], 0, 1) && between(rushers.inside_exposure[row], 0, 1),
         "an exposure is 0 to 1");
  }
}

template <class Tables>
std::string bits(const Tables& tables) {
  std::string all;
  Tables::for_each(tables, [&]<class Table>(const Table& table) {
    Table::for_each(table, [&](const ColumnInfo&, const auto& column) {
      must(column.size() == table.rows(), "the columns of a table are as long as each other");
      all.append(reinterpret_cast<const char*>(column.data()), column.size() * sizeof column[0]);
    });
  });
  return all;
}

template <class T>
void reorder(std::vector<T>& column, const std::vector<std::size_t>& order) {
  if (column.size() != order.size()) return;
  std::vector<T> sorted;
  for (const std::size_t row : order) sorted.push_back(column[row]);
  column = std::move(sorted);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  Source source(data, size);
  Columns columns = ::columns(source);
  const Rules rules;
  Tables tables;
  RepTables reps;
  try {
    const Game game = make_game(columns.input(), source.whole(0, 3) ? Orientation::trust : Orientation::check);
    tables = measure_game(game, rules, 1);
    reps = reps_of_game(game, rules, 1);
  } catch (const InputError& error) {
    must(std::strlen(error.what()) > 0, "a refusal says why");
    return 0;
  }
  check(tables, rules);
  for (std::size_t row = 0; row < reps.reps.rows(); ++row) {
    must(reps.reps.start[row] <= reps.reps.end[row], "a rep ends after it starts");
    must(reps.reps.island_seconds[row] >= 0 && reps.reps.short_edge_seconds[row] >= 0,
         "a length of time is not negative");
    must(between(reps.reps.peak_outside[row], 0, 1) && between(reps.reps.peak_inside[row], 0, 1),
         "an exposure is 0 to 1");
  }
  const std::string before = bits(tables) + bits(reps);

  // The order of rows does not matter.
  std::vector<std::size_t> order(columns.time.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::reverse(order.begin(), order.end());
  std::rotate(order.begin(), order.begin() + static_cast<std::ptrdiff_t>(order.size() / 3), order.end());
  for (auto* column : {&columns.play, &columns.player}) reorder(*column, order);
  for (auto* column : {&columns.time, &columns.x, &columns.y, &columns.vx, &columns.vy}) reorder(*column, order);
  const Game again = make_game(columns.input(), Orientation::trust);
  must(bits(measure_game(again, rules, 1)) + bits(reps_of_game(again, rules, 1)) == before,
       "rows in another order give the same bits");
  return 0;
}
