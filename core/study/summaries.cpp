#include "study/summaries.hpp"

#include <algorithm>
#include <boost/random/mersenne_twister.hpp>
#include <boost/random/normal_distribution.hpp>
#include <cmath>
#include <functional>
#include <string>

#include "base/error.hpp"
#include "base/tolerances.hpp"
#include "measure/noise.hpp"

namespace shortedge {

namespace {

constexpr double met_within = 1.3, together_within = 1.6;  // yd
constexpr double rush_from = 0.2, rush_to = 0.7;           // s after they met
constexpr double engaged_for = 0.8;                        // s
constexpr double fast = 3.3;                               // yd/s
constexpr double got_past = 0.2;                           // yd
constexpr double half_window = 0.15;                       // s, of a speed
constexpr double film_every = 0.02;                        // s

/// The index before which `time` lies in `times`, and the share of the way; nothing outside.
struct Between {
  std::size_t after;
  double share;
};
std::optional<Between> between(std::span<const double> times, double time) {
  if (time < times.front() - tolerance::time || time > times.back() + tolerance::time) return std::nullopt;
  const auto after = std::clamp<std::size_t>(
      static_cast<std::size_t>(std::lower_bound(times.begin(), times.end(), time) - times.begin()), 1,
      times.size() - 1);
  return Between{after, (time - times[after - 1]) / (times[after] - times[after - 1])};
}

Point at(std::span<const Point> places, const Between& where) {
  return places[where.after - 1] + where.share * (places[where.after] - places[where.after - 1]);
}

/// The mean of what was added, NaN of nothing.
struct Mean {
  double sum = 0, count = 0;
  void add(double value) { sum += value, ++count; }
  double value() const { return count > 0 ? sum / count : nan; }
};

/// Velocities over a window of samples either side, as many at each end as there are. Of two windows as near the wider
/// is taken: at 10 Hz chance in the last bit of a time must not decide.
std::vector<Point> speeds_of(std::span<const double> times, std::span<const Point> places) {
  const std::size_t n = times.size();
  const double step = (times.back() - times.front()) / static_cast<double>(n - 1);
  const auto half = static_cast<std::size_t>(std::max(1L, std::lround(half_window / step + 1e-9)));
  std::vector<Point> speeds(n);
  for (std::size_t k = 0; k < n; ++k) {
    const std::size_t first = k < half ? 0 : k - half, last = std::min(n - 1, k + half);
    speeds[k] = (places[last] - places[first]) / (times[last] - times[first]);
  }
  return speeds;
}

/// When he was first so far from where he was at first, between samples in proportion; NaN: never.
double first_away(std::span<const double> times, std::span<const Point> places, double far) {
  double was = 0;
  for (std::size_t k = 1; k < times.size(); ++k) {
    const double away = distance(places[k], places[0]);
    if (away >= far) return times[k - 1] + (far - was) / (away - was) * (times[k] - times[k - 1]);
    was = away;
  }
  return nan;
}

std::size_t men_of(const SeenPlay& play) {
  return 1 + play.formation.protectors.size() + play.formation.rushers.size();
}

void check(const SeenPlay& play) {
  if (play.times.size() < 2) throw InputError("a play of fewer than two samples");
  if (std::adjacent_find(play.times.begin(), play.times.end(), std::greater_equal<>()) != play.times.end()) {
    throw InputError("times of a play that do not increase");
  }
  for (const SeenPair& pair : play.pairs) {
    if (pair.protector >= play.formation.protectors.size() || pair.rusher >= play.formation.rushers.size()) {
      throw InputError("a pair of men who are not there");
    }
  }
  if (play.spots.size() % men_of(play) != 0) throw InputError("spots of another number of men");
}

}  // namespace

std::vector<std::string> summary_names() {
  std::vector<std::string> features;
  const auto told = [&](std::string_view unit, std::string_view says) {
    features.push_back(std::string(says) + (unit.empty() ? "" : " (" + std::string(unit) + ")"));
  };
#define SHORTEDGE_NAME(name, unit, says) told(unit, says);
  SHORTEDGE_PAIR_FEATURES(SHORTEDGE_NAME)
#undef SHORTEDGE_NAME
  const auto timed = [&](const std::string& what, const auto& times) {
    for (const double time : times) told("yd", what + " by " + shown(time) + " s");
  };
  timed("how far back the rusher has come", along_times);
  timed("how far back the protector has gone", along_times);
  timed("how far outward the rusher has gone", across_times);
  timed("how far outward the protector has gone", across_times);
  timed("how far apart they are", apart_times);
  std::vector<std::string> names;
  for (const char* kind : {"edge", "inside"}) {
    for (const std::string& feature : features) {
      for (const char* of : {"mean", "spread"}) names.push_back(std::string(kind) + ": " + feature + ", " + of);
    }
  }
  return names;
}

std::array<double, pair_features> features_of(std::span<const double> times, std::span<const Point> passer,
                                              std::span<const Point> protector, std::span<const Point> rusher,
                                              int side) {
  const std::size_t n = times.size();
  if (n < 2 || passer.size() != n || protector.size() != n || rusher.size() != n) {
    throw InputError(std::to_string(n) + " times of " + std::to_string(rusher.size()) + " places; two or more wanted");
  }
  const std::vector<Point> rushes = speeds_of(times, rusher), blocks = speeds_of(times, protector);
  std::vector<double> apart(n);
  for (std::size_t k = 0; k < n; ++k) apart[k] = distance(rusher[k], protector[k]);
  std::size_t met = 0;
  while (met < n && apart[met] >= met_within) ++met;

  double meets = nan, closes = nan, block_set = nan, gives = nan;
  if (met < n) {
    meets = times[met];
    if (met > 0) {
      meets -= (met_within - apart[met]) / (apart[met - 1] - apart[met]) * (times[met] - times[met - 1]);
    }
    const Point toward = apart[met] > 0 ? Point((protector[met] - rusher[met]) / apart[met]) : Point(0, 0);
    closes = rushes[met].dot(toward);
    block_set = protector[met].y() - protector[0].y();
    const auto later = between(times, times[met] + engaged_for);
    if (later) gives = (at(protector, *later).y() - protector[met].y()) / engaged_for;
  }
  const double nearest = *std::min_element(apart.begin(), apart.end());
  double rush_before = nan, rush_most = 0, block_before = nan, block_after = nan, block_out = -infinity;
  double block_back = nan;
  double gets_past = nan, to_passer = infinity, inside_most = 0, outside_most = 0;
  Mean together, rush_after, slips, slips_out, past, off_line, off_line_out, block_fast;
  for (std::size_t k = 0; k < n; ++k) {
    const double since = k < met ? -1 : times[k] - times[met];
    const double rush = rushes[k].norm(), block = blocks[k].norm();
    const double range = distance(rusher[k], passer[k]);
    rush_most = std::max(rush_most, rush);
    block_out = std::max(block_out, side * blocks[k].x());
    block_fast.add(block > fast ? 1 : 0);
    to_passer = std::min(to_passer, range);
    const double out = side * (rusher[k].x() - rusher[0].x());
    inside_most = std::max(inside_most, -out), outside_most = std::max(outside_most, out);
    const Point to_man = protector[k] - rusher[k];
    const Point line = range > 0 ? Point((passer[k] - rusher[k]) / range) : Point(0, 1);
    const double off = line.y() * to_man.x() - line.x() * to_man.y();  // on the offence's right of his line
    off_line.add(std::abs(off));
    if (k < met) {
      rush_before = std::fmax(rush_before, rush);
      block_before = std::fmax(block_before, block);
      block_back = std::fmax(block_back, std::max(0.0, blocks[k].y()));
      off_line_out.add(side * off);
      continue;
    }
    block_after = std::fmax(block_after, block);
    if (apart[k] < together_within) together.add(apart[k]);
    if (since >= rush_from - tolerance::time && since <= rush_to + tolerance::time) rush_after.add(rush);
    const bool is_past = range < distance(protector[k], passer[k]) - got_past;
    past.add(is_past ? 1 : 0);
    if (is_past && std::isnan(gets_past)) gets_past = times[k];
    if (since <= engaged_for + tolerance::time && apart[k] > 0) {
      const Point from_man = -to_man / apart[k], relative = rushes[k] - blocks[k];
      const double round = from_man.x() * relative.y() - from_man.y() * relative.x();
      slips.add(std::abs(round));
      slips_out.add(side * round);
    }
  }
  std::array<double, pair_features> all{};
  const double block_starts = first_away(times, protector, 0.2), rush_starts = first_away(times, rusher, 0.3);
  const double rush_one = first_away(times, rusher, 1.0), rush_three = first_away(times, rusher, 3.0);
  const auto told = [&](const Mean& mean) { return mean.value(); };
  const std::array<double, told_features> first{meets,
                                                nearest,
                                                told(together),
                                                closes,
                                                rush_before,
                                                told(rush_after),
                                                rush_most,
                                                rush_starts,
                                                rush_one,
                                                rush_three,
                                                block_before,
                                                block_after,
                                                block_out,
                                                block_back,
                                                told(block_fast),
                                                block_starts,
                                                block_set,
                                                gives,
                                                told(slips),
                                                told(slips_out),
                                                told(past),
                                                gets_past,
                                                to_passer,
                                                told(off_line),
                                                told(off_line_out),
                                                inside_most,
                                                outside_most};
  std::copy(first.begin(), first.end(), all.begin());
  std::size_t next = told_features;
  const auto read = [&](const auto& wanted, auto&& value) {
    for (const double time : wanted) {
      const auto where = between(times, time);
      all[next++] = where ? value(*where) : nan;
    }
  };
  const auto along = [&](std::span<const Point> man) {
    return [man](const Between& where) { return at(man, where).y() - man[0].y(); };
  };
  const auto across = [&](std::span<const Point> man) {
    return [man, side](const Between& where) { return side * (at(man, where).x() - man[0].x()); };
  };
  read(along_times, along(rusher));
  read(along_times, along(protector));
  read(across_times, across(rusher));
  read(across_times, across(protector));
  read(apart_times, [&](const Between& where) { return distance(at(rusher, where), at(protector, where)); });
  return all;
}

void Summary::add(const std::array<double, pair_features>& features, bool inside) {
  for (std::size_t k = 0; k < pair_features; ++k) {
    if (std::isnan(features[k])) continue;
    Sums& of = sums_[(inside ? pair_features : 0) + k];
    ++of.count;
    const double off = features[k] - of.mean;
    of.mean += off / of.count;
    of.squares += off * (features[k] - of.mean);
  }
}

std::array<double, summary_size> Summary::figures() const {
  std::array<double, summary_size> all{};
  for (std::size_t k = 0; k < sums_.size(); ++k) {
    const Sums& of = sums_[k];
    all[2 * k] = of.count < 2 ? nan : of.mean;
    all[2 * k + 1] = of.count < 2 ? nan : std::sqrt(of.squares / (of.count - 1));
  }
  return all;
}

std::array<double, summary_size> summary_of(std::span<const SeenPlay> plays,
                                            std::span<const std::vector<Point>> places) {
  if (places.size() != plays.size()) throw InputError("places of as many plays are wanted");
  Summary summary;
  for (std::size_t p = 0; p < plays.size(); ++p) {
    const SeenPlay& play = plays[p];
    check(play);
    const std::size_t protectors = play.formation.protectors.size();
    const std::size_t men = men_of(play), frames = play.times.size();
    if (places[p].size() != men * frames) throw InputError("places of every man in every frame are wanted");
    const auto way = [&](std::size_t man) {
      std::vector<Point> own(frames);
      for (std::size_t k = 0; k < frames; ++k) own[k] = places[p][k * men + man];
      return own;
    };
    for (const SeenPair& pair : play.pairs) {
      summary.add(
          features_of(play.times, way(0), way(1 + pair.protector), way(1 + protectors + pair.rusher), pair.side),
          pair.inside);
    }
  }
  return summary.figures();
}

namespace {

/// Simulates one play again and again, one set of assumptions at a time.
class Again {
 public:
  Again(const SeenPlay& play, double sigma) : play_(play), sigma_(sigma), men_(men_of(play)) {}

  /// Adds a rep to each of the summaries.
  void run(const Assumptions& assumed, std::uint64_t seed, std::uint64_t number, std::span<Summary> summaries) {
    // One stream for all the noise of this play with these assumptions, apart from the men's.
    boost::random::mt19937_64 engine(seed * 0x9e3779b97f4a7c15u ^ ((number + 1) * 0xbf58476d1ce4e5b9u));
    boost::random::normal_distribution<double> normal;
    const auto error = [&] {
      const double across = normal(engine);
      return Point(sigma_ * across, sigma_ * normal(engine));
    };
    Formation formation = play_.formation;
    std::vector<Point*> men{&formation.passer};
    for (auto& man : formation.protectors) men.push_back(&man.at);
    for (auto& man : formation.rushers) men.push_back(&man.at);
    std::vector<Point> at_snap(men_);  // what each is seen off his spot
    if (const std::size_t draws = play_.spots.size() / men_; draws > 0) {
      const std::size_t first = static_cast<std::size_t>(engine() % draws) * men_;
      for (std::size_t man = 0; man < men_; ++man) {
        at_snap[man] = *men[man] - play_.spots[first + man];
        *men[man] = play_.spots[first + man];
      }
    } else {
      for (Point& off : at_snap) off = error();
    }
    Assumptions a = assumed;
    if (!std::isnan(play_.top_time)) a.drop_pace = 0, a.drop_under = a.drop_gun = play_.top_time;
    const PasserDrop drop(formation, a, std::max(play_.depth, formation.passer.y()));
    RepSimulator simulator(formation, a, drop);
    for (std::size_t first = 0; first < summaries.size(); first += RepSimulator::side_by_side) {
      const std::size_t count = std::min(RepSimulator::side_by_side, summaries.size() - first);
      std::vector<Trial> trials;
      for (std::size_t k = 0; k < count; ++k) {
        trials.push_back({draw(formation, a, seed, number * alike_reps + first + k), play_.until});
      }
      std::vector<Film> films(count);
      for (Film& film : films) film.every = film_every;
      simulator.run(trials, 0, films);
      for (std::size_t k = 0; k < count; ++k) add(films[k], at_snap, error, summaries[first + k]);
    }
  }

 private:
  /// The film as sampled, with noise that goes on from the errors at the snap.
  template <class Error>
  void add(const Film& film, std::span<const Point> at_snap, Error&& error, Summary& summary) const {
    std::vector<double> times;
    std::vector<Between> where;
    for (const double time : play_.times) {
      const auto found = film.time.size() < 2 ? std::nullopt : between(film.time, std::max(0.0, time));
      if (!found) break;
      times.push_back(time);
      where.push_back(*found);
    }
    if (times.size() < 2) return;
    std::vector<std::vector<Point>> ways(men_, std::vector<Point>(times.size()));
    for (std::size_t man = 0; man < men_; ++man) {
      Point off = at_snap[man];
      for (std::size_t k = 0; k < times.size(); ++k) {
        if (k > 0) off = error_after(off, times[k] - times[k - 1], error());
        const Point &before = film.place[(where[k].after - 1) * men_ + man],
                    &after = film.place[where[k].after * men_ + man];
        ways[man][k] = before + where[k].share * (after - before) + off;
      }
    }
    const std::size_t rushers_from = 1 + play_.formation.protectors.size();
    for (const SeenPair& pair : play_.pairs) {
      summary.add(features_of(times, ways[0], ways[1 + pair.protector], ways[rushers_from + pair.rusher], pair.side),
                  pair.inside);
    }
  }

  const SeenPlay& play_;
  double sigma_;
  std::size_t men_;
};

}  // namespace

std::optional<std::vector<double>> simulated_summaries(std::span<const SeenPlay> plays,
                                                       std::span<const Assumptions> sets, double sigma,
                                                       std::uint64_t seed, unsigned threads, const Progress& progress) {
  if (!(sigma >= 0 && std::isfinite(sigma))) throw InputError("sigma is " + shown(sigma) + "; accepted: 0 or more yd");
  for (const SeenPlay& play : plays) {
    play.formation.validate();
    check(play);
    if (!(play.until > 0 && std::isfinite(play.until))) throw InputError("a play without an end");
  }
  for (const Assumptions& assumed : sets) assumed.validate();
  std::vector<double> all(sets.size() * alike_reps * summary_size);
  const bool whole = in_parts(
      sets.size(), threads, sets.size() * plays.size(), progress, [&](std::size_t, std::size_t set, const auto& tick) {
        std::array<Summary, alike_reps> summaries;
        for (std::size_t p = 0; p < plays.size(); ++p) {
          Again(plays[p], sigma).run(sets[set], seed, set * plays.size() + p, summaries);
          if (!tick()) return;
        }
        for (std::size_t k = 0; k < alike_reps; ++k) {
          const auto figures = summaries[k].figures();
          std::copy(figures.begin(), figures.end(),
                    all.begin() + static_cast<std::ptrdiff_t>((set * alike_reps + k) * summary_size));
        }
      });
  if (!whole) return std::nullopt;
  return all;
}

}  // namespace shortedge
