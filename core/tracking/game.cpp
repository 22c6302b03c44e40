#include "tracking/game.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <tuple>
#include <utility>

#include "base/error.hpp"
#include "base/tolerances.hpp"
#include "base/units.hpp"

namespace shortedge {

namespace {

struct Conversion {
  double scale, x0, y0;
  bool y_down;

  explicit Conversion(const Placement& placement)
      : scale(placement.length == Placement::Length::metre  ? 1 / metres_per_yard
              : placement.length == Placement::Length::foot ? 1 / feet_per_yard
                                                            : 1),
        x0(placement.origin == Placement::Origin::center ? field_length / 2 : 0),
        y0(placement.origin == Placement::Origin::center ? field_width / 2 : 0),
        y_down(placement.y == Placement::Y::down) {}

  double length(double value) const { return value * scale; }
  double x(double value) const { return length(value) + x0; }
  double y(double value) const {
    const double from_origin = y_down ? -length(value) : length(value);
    return from_origin + (y0 > 0 ? y0 : y_down ? field_width : 0);
  }
  double vy(double value) const { return y_down ? -length(value) : length(value); }
};

void same_length(const char* table, std::size_t rows,
                 std::initializer_list<std::pair<const char*, std::size_t>> columns) {
  for (const auto& [name, length] : columns) {
    if (length != rows) {
      throw InputError(std::string("table ") + table + ", column " + name + ": " + std::to_string(length) +
                       " rows, where the table has " + std::to_string(rows));
    }
  }
}

void codes_in_range(const char* table, const char* column, std::span<const std::int32_t> codes, std::size_t names,
                    std::int32_t least) {
  for (std::size_t row = 0; row < codes.size(); ++row) {
    if (codes[row] < least || codes[row] >= static_cast<std::int64_t>(names)) {
      throw InputError(std::string("table ") + table + ", column " + column + ", row " + std::to_string(row) +
                       (codes[row] < 0 ? ": no value, and one is needed" : ": a code beyond its list of names"));
    }
  }
}

void check_names(const char* what, std::span<const std::string> names) {
  for (const std::string& name : names) {
    if (name.size() > bounds::name_bytes) {
      throw InputError(std::string(what) + ": found a name of " + std::to_string(name.size()) +
                       " bytes; accepted: at most " + std::to_string(bounds::name_bytes));
    }
  }
}

void check(const GameInput& input) {
  check_names("the game's name", {&input.name, 1});
  check_names("column play", input.plays);
  check_names("column player", input.players);
  check_names("table people, column position", input.people.position);
  const auto& [tracks, snaps, people] = std::tie(input.tracks, input.snaps, input.people);
  for (auto [table, rows] : {std::pair("tracks", tracks.play.size()), std::pair("snaps", snaps.play.size()),
                             std::pair("people", people.player.size())}) {
    if (rows == 0) throw InputError(std::string("table ") + table + " is empty");
  }
  const auto optional = [](std::size_t length, std::size_t rows) { return length == 0 ? rows : length; };
  const std::size_t track_rows = tracks.play.size(), snap_rows = snaps.play.size(), people_rows = people.player.size();
  same_length("tracks", track_rows,
              {{"player", tracks.player.size()},
               {"time", tracks.time.size()},
               {"x", tracks.x.size()},
               {"y", tracks.y.size()},
               {"vx", optional(tracks.vx.size(), track_rows)},
               {"vy", optional(tracks.vy.size(), track_rows)}});
  if (tracks.vx.empty() != tracks.vy.empty()) throw InputError("table tracks: one of vx and vy without the other");
  same_length("tracks", track_rows,
              {{"sd_x", optional(tracks.sd_x.size(), track_rows)},
               {"sd_y", optional(tracks.sd_y.size(), track_rows)},
               {"corr_xy", optional(tracks.corr_xy.size(), track_rows)}});
  if (tracks.sd_x.empty() != tracks.sd_y.empty() || (tracks.sd_x.empty() && !tracks.corr_xy.empty())) {
    throw InputError("table tracks: one of sd_x and sd_y without the other");
  }
  for (const auto& [name, values, most] :
       {std::tuple("sd_x", tracks.sd_x, infinity), std::tuple("sd_y", tracks.sd_y, infinity),
        std::tuple("corr_xy", tracks.corr_xy, 1.0)}) {
    const double least = most == 1.0 ? -1.0 : 0.0;
    for (std::size_t row = 0; row < values.size(); ++row) {
      if (std::isnan(values[row]) || (values[row] >= least && values[row] <= most && std::isfinite(values[row])))
        continue;
      throw InputError(std::string("table tracks, column ") + name + ", row " + std::to_string(row) + ": " +
                       shown(values[row]) + (most == 1.0 ? "; accepted: -1 to 1" : "; accepted: 0 or more"));
    }
  }
  same_length("snaps", snap_rows,
              {{"direction", snaps.direction.size()},
               {"snap_time", snaps.snap_time.size()},
               {"throw_time", optional(snaps.throw_time.size(), snap_rows)},
               {"end_time", optional(snaps.end_time.size(), snap_rows)},
               {"film_time", optional(snaps.film_time.size(), snap_rows)}});
  if (input.ball == no_code)
    same_length("snaps", snap_rows, {{"ball_x", snaps.ball_x.size()}, {"ball_y", snaps.ball_y.size()}});
  same_length("people", people_rows,
              {{"play", optional(people.play.size(), people_rows)},
               {"unit", people.unit.size()},
               {"position", people.position.size()},
               {"role", optional(people.role.size(), people_rows)}});
  for (const KeptColumn& kept : input.kept_snaps) same_length("snaps", snap_rows, {{kept.name.c_str(), kept.rows()}});
  for (const KeptColumn& kept : input.kept_people)
    same_length("people", people_rows, {{kept.name.c_str(), kept.rows()}});

  codes_in_range("tracks", "play", tracks.play, input.plays.size(), 0);
  codes_in_range("tracks", "player", tracks.player, input.players.size(), no_code);
  codes_in_range("snaps", "play", snaps.play, input.plays.size(), 0);
  codes_in_range("people", "player", people.player, input.players.size(), 0);
  codes_in_range("people", "play", people.play, input.plays.size(), no_code);
  for (std::size_t row = 0; row < track_rows; ++row) {
    if (!std::isfinite(tracks.time[row])) {
      throw InputError("table tracks, column time, row " + std::to_string(row) + ": " + shown(tracks.time[row]) +
                       "; every row needs a time");
    }
  }
  for (std::size_t row = 0; row < snap_rows; ++row) {
    if (std::abs(snaps.direction[row]) != 1) {
      throw InputError("table snaps, column direction, play " + input.plays[static_cast<std::size_t>(snaps.play[row])] +
                       ": " + shown(snaps.direction[row]) + "; accepted: 1 (the offence attacks +x), -1");
    }
  }
}

std::vector<Person> take_people(const GameInput& input) {
  const PeopleInput& from = input.people;
  std::vector<Person> people;
  people.reserve(from.player.size());
  for (std::size_t row = 0; row < from.player.size(); ++row) {
    people.push_back({from.player[row], from.play.empty() ? no_code : from.play[row], from.unit[row],
                      from.position[row], from.role.empty() ? Role::unset : from.role[row]});
    const Person& person = people.back();
    const bool of_defense = person.unit == Unit::defense;
    if ((of_defense && (person.role == Role::passer || person.role == Role::protector)) ||
        (!of_defense && person.role == Role::rusher)) {
      throw InputError(
          "table people, player " + input.players[static_cast<std::size_t>(person.player)] +
          ": role and unit disagree; accepted: passer, protector or other for the offense, rusher or other "
          "for the defense");
    }
  }
  std::vector<const Person*> order(people.size());
  std::transform(people.begin(), people.end(), order.begin(), [](const Person& person) { return &person; });
  const auto key = [](const Person* person) { return std::pair(person->play, person->player); };
  std::stable_sort(order.begin(), order.end(), [&](auto* a, auto* b) { return key(a) < key(b); });
  for (std::size_t i = 1; i < order.size(); ++i) {
    const Person &a = *order[i - 1], &b = *order[i];
    if (key(&a) != key(&b) || std::tie(a.unit, a.position, a.role) == std::tie(b.unit, b.position, b.role)) continue;
    throw InputError("table people: player " + input.players[static_cast<std::size_t>(a.player)] + " stands twice" +
                     (a.play == no_code ? std::string() : " in play " + input.plays[static_cast<std::size_t>(a.play)]) +
                     " with different unit, position or role");
  }
  return people;
}

/// Rows in the order of their codes (0 to `codes` - 1), rows of one code as they were: by counting, as tables mostly
/// come frame by frame and a comparing sort would take long to put that in the order of men.
std::vector<std::size_t> by_code(const std::vector<std::size_t>& rows, std::span<const std::int32_t> code,
                                 std::size_t codes) {
  std::vector<std::size_t> place(codes + 1, 0), ordered(rows.size());
  for (const std::size_t row : rows) ++place[static_cast<std::size_t>(code[row]) + 1];
  std::partial_sum(place.begin(), place.end(), place.begin());
  for (const std::size_t row : rows) ordered[place[static_cast<std::size_t>(code[row])]++] = row;
  return ordered;
}

/// Rows of tracks in order of play, player, time, then x and y; those left out are counted.
std::vector<std::size_t> order_rows(const GameInput& input, const Roster& roster, Dropped& dropped) {
  const TracksInput& tracks = input.tracks;
  std::vector<std::size_t> rows;
  rows.reserve(tracks.play.size());
  bool sorted = true;
  const auto who = [&](std::size_t row) { return std::pair(tracks.play[row], tracks.player[row]); };
  const auto when = [&](std::size_t row) { return std::tuple(tracks.time[row], tracks.x[row], tracks.y[row]); };
  struct Known {
    std::int32_t play = no_code;
    bool listed = false;
  };
  std::vector<Known> known(input.players.size());  // whether people has him, for the play last asked about
  for (std::size_t row = 0; row < tracks.play.size(); ++row) {
    const std::int32_t player = tracks.player[row];
    if (player == no_code) {
      ++dropped.no_player;
      continue;
    }
    if (player != input.ball) {
      Known& his = known[static_cast<std::size_t>(player)];
      if (his.play != tracks.play[row]) his = {tracks.play[row], roster.find(tracks.play[row], player) != nullptr};
      if (!his.listed) {
        ++dropped.not_in_people;
        continue;
      }
    }
    if (std::isnan(tracks.x[row]) || std::isnan(tracks.y[row])) {
      ++dropped.missing;
      continue;
    }
    if (!rows.empty() && who(row) < who(rows.back())) sorted = false;
    rows.push_back(row);
  }
  if (!sorted) {
    rows = by_code(rows, tracks.player, input.players.size());
    rows = by_code(rows, tracks.play, input.plays.size());
  }
  const auto earlier = [&](std::size_t a, std::size_t b) { return when(a) < when(b); };
  for (auto begin = rows.begin(); begin != rows.end();) {
    const auto end = std::find_if(begin, rows.end(), [&](std::size_t row) { return who(row) != who(*begin); });
    if (!std::is_sorted(begin, end, earlier)) std::sort(begin, end, earlier);
    begin = end;
  }
  return rows;
}

/// The ball at the snap from its own samples: the one at that time, else between two of them.
std::pair<double, double> ball_place(const Tracks& ball, double time) {
  const auto after = std::lower_bound(ball.time.begin(), ball.time.end(), time - tolerance::time);
  const auto at = static_cast<std::size_t>(after - ball.time.begin());
  if (after != ball.time.end() && *after <= time + tolerance::same_frame + tolerance::time)
    return {ball.x[at], ball.y[at]};
  if (after == ball.time.begin() || after == ball.time.end() ||
      ball.time[at] - ball.time[at - 1] > tolerance::longest_gap + tolerance::time) {
    return {nan, nan};
  }
  const double share = (time - ball.time[at - 1]) / (ball.time[at] - ball.time[at - 1]);
  return {std::lerp(ball.x[at - 1], ball.x[at], share), std::lerp(ball.y[at - 1], ball.y[at], share)};
}

bool off_the_field(double x, double y) {
  using tolerance::off_field;
  return !(x >= -off_field && x <= field_length + off_field && y >= -off_field && y <= field_width + off_field);
}

std::string name_of(const std::vector<std::string>& names, std::int32_t code) {
  return names[static_cast<std::size_t>(code)];
}

/// What keeps a play from being measured, whatever its roles; empty when nothing does.
std::string raw_problem(const Game& game, const Snap& snap) {
  const Tracks& tracks = game.tracks;
  const auto play = static_cast<std::size_t>(snap.play);
  const std::size_t begin = tracks.begin[play], end = tracks.begin[play + 1];
  if (begin == end) return "no tracks of anybody in people";
  double first = tracks.time[begin], last = first;
  auto [least_x, most_x, least_y, most_y] =
      std::array{tracks.x[begin], tracks.x[begin], tracks.y[begin], tracks.y[begin]};
  std::size_t men = 0, samples = 0;
  std::vector<double> steps;
  for (std::size_t row = begin; row < end; ++row) {
    const auto who = [&] {
      return "player " + name_of(game.players, tracks.player[row]) + " at " + shown(tracks.time[row]) + " s: ";
    };
    if (off_the_field(tracks.x[row], tracks.y[row]) ||
        (tracks.has_velocity() && (std::isinf(tracks.vx[row]) || std::isinf(tracks.vy[row])))) {
      return who() + "x " + shown(tracks.x[row]) + ", y " + shown(tracks.y[row]) +
             " yd: infinite, or more than 30 yd off the field";
    }
    const double speed = tracks.has_velocity() ? Point(tracks.vx[row], tracks.vy[row]).norm() : nan;
    if (speed > bounds::speed) {
      return who() + shown(speed) + " yd/s; accepted: at most " + shown(bounds::speed) + ", or none";
    }
    const bool next_man = row == begin || tracks.player[row] != tracks.player[row - 1];
    samples = next_man ? 1 : samples + 1;
    men += next_man;
    if (samples > bounds::frames)
      return who() + "over " + std::to_string(bounds::frames) + " samples, which is the most that is accepted";
    least_x = std::min(least_x, tracks.x[row]);
    most_x = std::max(most_x, tracks.x[row]);
    least_y = std::min(least_y, tracks.y[row]);
    most_y = std::max(most_y, tracks.y[row]);
    first = std::min(first, tracks.time[row]);
    last = std::max(last, tracks.time[row]);
    if (next_man) continue;
    steps.push_back(tracks.time[row] - tracks.time[row - 1]);
    if (steps.back() <= tolerance::time) return who() + "two rows at one time";
  }
  if (men > bounds::men)
    return std::to_string(men) + " men with tracks; accepted: at most " + std::to_string(bounds::men);
  if (most_x - least_x < bounds::spread && most_y - least_y < bounds::spread) {
    return "all places within " + shown(bounds::spread) +
           " yd: degrees of the earth? accepted: yd, m or ft on the field";
  }
  if (last - first <= tolerance::same_frame) return "times go nowhere: every sample at " + shown(first) + " s";
  if (!steps.empty()) {
    std::nth_element(steps.begin(), steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2), steps.end());
    const double step = steps[steps.size() / 2];
    if (step > tolerance::longest_gap + tolerance::time) {
      return "times go nowhere: samples " + shown(step) + " s apart; is time in another unit?";
    }
    if (step < 0.99 / bounds::rate) {
      return "samples " + shown(step) + " s apart; accepted: at most " + shown(bounds::rate) +
             " a second; is time in another unit?";
    }
  }
  if (!std::isfinite(snap.snap_time)) return "no snap in range: no snap_time";
  if (snap.snap_time < first - tolerance::longest_gap - tolerance::time || snap.snap_time > last + tolerance::time) {
    return "no snap in range: snap at " + shown(snap.snap_time) + " s, samples from " + shown(first) + " to " +
           shown(last) + " s";
  }
  if (snap.throw_time < snap.snap_time - tolerance::time) return "times go nowhere: the throw before the snap";
  if (snap.end_time < snap.snap_time - tolerance::time) return "times go nowhere: the end before the snap";
  if (std::isnan(snap.ball_x) || std::isnan(snap.ball_y)) return "no place of the ball at the snap";
  if (off_the_field(snap.ball_x, snap.ball_y)) {
    return "the ball at x " + shown(snap.ball_x) + ", y " + shown(snap.ball_y) + " yd, more than 30 yd off the field";
  }
  return {};
}

std::vector<Problem> raw_problems(const Game& game) {
  std::vector<Problem> problems;
  std::vector<int> snap_rows(game.plays.size(), 0);
  for (const Snap& snap : game.snaps) ++snap_rows[static_cast<std::size_t>(snap.play)];
  std::vector<bool> said(game.plays.size(), false);
  for (const Snap& snap : game.snaps) {
    const auto play = static_cast<std::size_t>(snap.play);
    if (said[play]) continue;
    std::string reason =
        snap_rows[play] > 1 ? std::to_string(snap_rows[play]) + " rows in snaps" : raw_problem(game, snap);
    if (reason.empty()) continue;
    said[play] = true;
    problems.push_back({snap.play, std::move(reason)});
  }
  for (std::size_t play = 0; play < game.plays.size(); ++play) {
    if (snap_rows[play] == 0 && game.tracks.begin[play] != game.tracks.begin[play + 1]) {
      problems.push_back({static_cast<std::int32_t>(play), "no row in snaps"});
    }
  }
  return problems;
}

}  // namespace

Position position_of(std::string_view text) noexcept {
  const auto found = std::find(position_words.begin(), position_words.end(), text);
  return found == position_words.end() ? Position::other : static_cast<Position>(found - position_words.begin() + 1);
}

std::vector<std::size_t> Game::measured() const {
  std::vector<bool> skipped(plays.size(), false);
  for (const Problem& problem : problems) skipped[static_cast<std::size_t>(problem.play)] = true;
  std::vector<std::size_t> rows;
  for (std::size_t row = 0; row < snaps.size(); ++row) {
    if (!skipped[static_cast<std::size_t>(snaps[row].play)]) rows.push_back(row);
  }
  return rows;
}

std::optional<std::int32_t> Game::find_play(std::string_view id) const {
  const auto at = std::find(plays.begin(), plays.end(), id);
  if (at == plays.end()) return std::nullopt;
  return static_cast<std::int32_t>(at - plays.begin());
}

void Game::add_clicked(ClickedWay way) {
  if (way.play < 0 || static_cast<std::size_t>(way.play) >= plays.size() || way.player < 0 ||
      static_cast<std::size_t>(way.player) >= players.size()) {
    throw InputError("clicked: a code beyond its list of names");
  }
  const auto key = [](const ClickedWay& one) { return std::pair(one.play, one.player); };
  const auto at = std::lower_bound(clicked.begin(), clicked.end(), way,
                                   [&](const ClickedWay& a, const ClickedWay& b) { return key(a) < key(b); });
  if (at != clicked.end() && key(*at) == key(way)) throw InputError("clicked: found a man of a play twice");
  clicked.insert(at, std::move(way));
}

const ClickedWay* Game::find_clicked(std::int32_t play, std::int32_t player) const {
  const auto at =
      std::lower_bound(clicked.begin(), clicked.end(), std::pair(play, player),
                       [](const ClickedWay& way, const auto& key) { return std::pair(way.play, way.player) < key; });
  return at != clicked.end() && at->play == play && at->player == player ? &*at : nullptr;
}

void Game::add_problem(Problem problem) {
  if (problem.play < 0 || static_cast<std::size_t>(problem.play) >= plays.size()) {
    throw InputError("problem: a code beyond its list of names");
  }
  const auto same =
      std::find_if(problems.begin(), problems.end(), [&](const Problem& one) { return one.play == problem.play; });
  if (same != problems.end()) {
    same->reason = std::move(problem.reason);
    return;
  }
  const auto at =
      std::find_if(problems.begin(), problems.end(), [&](const Problem& one) { return one.play > problem.play; });
  problems.insert(at, std::move(problem));
}

Roster::Roster(std::span<const Person> people, std::size_t players) : general_(players, nullptr) {
  for (const Person& person : people) {
    if (person.play == no_code) {
      general_[static_cast<std::size_t>(person.player)] = &person;
    } else {
      specific_.push_back(&person);
    }
  }
  std::sort(specific_.begin(), specific_.end(),
            [](auto* a, auto* b) { return std::pair(a->play, a->player) < std::pair(b->play, b->player); });
}

const Person* Roster::find(std::int32_t play, std::int32_t player) const {
  const auto at = std::lower_bound(
      specific_.begin(), specific_.end(), std::pair(play, player),
      [](const Person* person, const auto& key) { return std::pair(person->play, person->player) < key; });
  if (at != specific_.end() && (*at)->play == play && (*at)->player == player) return *at;
  return general_[static_cast<std::size_t>(player)];
}

Game assemble(const GameInput& input) {
  check(input);
  Game game;
  game.name = input.name;
  game.plays = input.plays;
  game.players = input.players;
  game.kept_snaps = input.kept_snaps;
  game.kept_people = input.kept_people;
  game.people = take_people(input);

  const Conversion to_yards(input.placement);
  const TracksInput& from = input.tracks;
  const std::vector<std::size_t> rows = order_rows(input, Roster(game.people, game.players.size()), game.dropped);
  Tracks& tracks = game.tracks;
  tracks.begin.assign(game.plays.size() + 1, 0);
  std::vector<Tracks> balls(input.ball == no_code ? 0 : game.plays.size());
  tracks.player.reserve(rows.size());
  for (auto* column : {&tracks.time, &tracks.x, &tracks.y}) column->reserve(rows.size());
  for (const std::size_t row : rows) {
    const auto play = static_cast<std::size_t>(from.play[row]);
    const bool is_ball = from.player[row] == input.ball && input.ball != no_code;
    Tracks& to = is_ball ? balls[play] : tracks;
    to.player.push_back(from.player[row]);
    to.time.push_back(from.time[row]);
    to.x.push_back(to_yards.x(from.x[row]));
    to.y.push_back(to_yards.y(from.y[row]));
    if (!from.vx.empty() && !is_ball) {
      to.vx.push_back(to_yards.length(from.vx[row]));
      to.vy.push_back(to_yards.vy(from.vy[row]));
    }
    if (!from.sd_x.empty() && !is_ball) {
      to.sd_x.push_back(to_yards.length(from.sd_x[row]));
      to.sd_y.push_back(to_yards.length(from.sd_y[row]));
      const double together = from.corr_xy.empty() ? 0.0 : from.corr_xy[row];
      to.corr_xy.push_back(input.placement.y == Placement::Y::down ? -together : together);
    }
    if (!is_ball) ++tracks.begin[play + 1];
  }
  std::partial_sum(tracks.begin.begin(), tracks.begin.end(), tracks.begin.begin());

  const auto optional = [](std::span<const double> column, std::size_t row) {
    return column.empty() ? nan : column[row];
  };
  for (std::size_t row = 0; row < input.snaps.play.size(); ++row) {
    const SnapsInput& snaps = input.snaps;
    Snap snap{snaps.play[row],
              to_yards.x(optional(snaps.ball_x, row)),
              to_yards.y(optional(snaps.ball_y, row)),
              snaps.direction[row] > 0 ? 1 : -1,
              snaps.snap_time[row],
              optional(snaps.throw_time, row),
              optional(snaps.end_time, row),
              optional(snaps.film_time, row)};
    if (!balls.empty()) {
      std::tie(snap.ball_x, snap.ball_y) = ball_place(balls[static_cast<std::size_t>(snap.play)], snap.snap_time);
    }
    game.snaps.push_back(snap);
  }
  game.problems = raw_problems(game);
  return game;
}

}  // namespace shortedge
