#include "reps/matching.hpp"

#include <algorithm>
#include <limits>

#include "base/tolerances.hpp"
#include "geometry/disc.hpp"

namespace shortedge {

namespace {

constexpr double farthest_pair = 6.0;   // yd
constexpr double nobody_cost = 3.5;     // yd
constexpr double change_cost = 0.45;    // yd s
constexpr double shortest_spell = 0.3;  // s
constexpr double unmet_share = 0.25;    // of its time a frame counts in which no protector has met the rusher

double pair_cost(const Point& protector, const Point& rusher, const Point& passer) {
  const double range = distance(protector, rusher);
  if (!(range <= farthest_pair)) return infinity;
  return range + (present(passer) ? distance_to_segment(protector, rusher, passer) : 0);
}

/// s a frame stands for: half of the time to its neighbours.
double weight(const std::vector<double>& time, std::size_t frame, std::size_t frames) {
  const double before = frame > 0 ? time[frame] - time[frame - 1] : 0;
  const double after = frame + 1 < frames ? time[frame + 1] - time[frame] : 0;
  return (before + after) / 2;
}

/// One rusher's choices and what each costs: choice 0 is nobody.
struct Choices {
  std::vector<std::int32_t> men{nobody};
  std::vector<std::vector<double>> cost;  // [frame][choice], yd s
  std::size_t first = 0;                  // the frame he counts from: until then nobody, and that change is free
};

std::vector<Choices> choices_of(const Play& play, const Motion& motion, double meet, std::size_t frames) {
  std::vector<Choices> all;
  for (const std::size_t rusher : play.rushers) {
    Choices choices;
    choices.first = play.men[rusher].counts_from;
    for (const std::size_t protector : play.protectors) {
      bool ever = false;
      for (std::size_t frame = choices.first; frame < frames && !ever; ++frame) {
        ever = pair_cost(motion.at(frame, protector), motion.at(frame, rusher), motion.at(frame, play.passer)) < nobody_cost;
      }
      if (ever) choices.men.push_back(static_cast<std::int32_t>(protector));
    }
    for (std::size_t frame = 0; frame < frames; ++frame) {
      std::vector<double> cost(choices.men.size(), frame < choices.first ? infinity : 0);
      cost[0] = 0;
      if (frame >= choices.first && present(motion.at(frame, rusher))) {
        const bool met = std::any_of(play.protectors.begin(), play.protectors.end(), [&](std::size_t protector) {
          return distance(motion.at(frame, protector), motion.at(frame, rusher)) <= meet;
        });
        const double share = weight(play.time, frame, frames) * (met ? 1 : unmet_share);
        cost[0] = nobody_cost * share;
        for (std::size_t choice = 1; choice < cost.size(); ++choice) {
          const Point& man = motion.at(frame, static_cast<std::size_t>(choices.men[choice]));
          const double near = present(man) ? pair_cost(man, motion.at(frame, rusher), motion.at(frame, play.passer)) : infinity;
          cost[choice] = near < infinity ? near * share : infinity;
        }
      }
      choices.cost.push_back(std::move(cost));
    }
    all.push_back(std::move(choices));
  }
  return all;
}

/// Joint assignments grow as a product. Past this many (seven rushers with five men each are 280,000) the dearest pairs
/// are left out, so that memory stays bounded whatever roles people states.
constexpr std::size_t most_states = 200'000;

void bound_states(std::vector<Choices>& all) {
  const auto states = [&] {
    double product = 1;
    for (const Choices& choices : all) product *= static_cast<double>(choices.men.size());
    return product;
  };
  while (states() > static_cast<double>(most_states)) {
    Choices& widest = *std::max_element(all.begin(), all.end(), [](auto& a, auto& b) { return a.men.size() < b.men.size(); });
    std::vector<double> least(widest.men.size(), infinity);
    least[0] = -infinity;
    for (const std::vector<double>& cost : widest.cost) {
      for (std::size_t choice = 1; choice < least.size(); ++choice) least[choice] = std::min(least[choice], cost[choice]);
    }
    const auto dearest = std::max_element(least.begin(), least.end()) - least.begin();
    widest.men.erase(widest.men.begin() + dearest);
    for (std::vector<double>& cost : widest.cost) cost.erase(cost.begin() + dearest);
  }
}

/// Joint assignments as mixed-radix numbers: one digit a rusher, its value his choice.
class Search {
 public:
  explicit Search(const std::vector<Choices>& choices) : choices_(choices) {
    for (const Choices& rusher : choices) {
      stride_.push_back(states_);
      states_ *= rusher.men.size();
    }
    free_.resize(states_);
    for (std::size_t state = 0; state < states_; ++state) free_[state] = no_man_twice(state);
  }

  /// The state of each frame.
  std::vector<std::size_t> run(std::size_t frames) {
    std::vector<double> best(states_, 0.0);
    std::vector<std::vector<std::uint32_t>> came(frames);
    for (std::size_t frame = 0; frame < frames; ++frame) {
      came[frame].resize(states_);
      for (std::size_t state = 0; state < states_; ++state) came[frame][state] = static_cast<std::uint32_t>(state);
      if (frame > 0) {
        for (std::size_t rusher = 0; rusher < choices_.size(); ++rusher) {
          change(rusher, frame == choices_[rusher].first ? 0 : change_cost, best, came[frame]);
        }
      }
      for (std::size_t state = 0; state < states_; ++state) {
        best[state] = free_[state] ? best[state] + cost(state, frame) : infinity;
      }
    }
    std::vector<std::size_t> path(frames);
    if (frames == 0) return path;
    path[frames - 1] = static_cast<std::size_t>(std::min_element(best.begin(), best.end()) - best.begin());
    for (std::size_t frame = frames - 1; frame > 0; --frame) path[frame - 1] = came[frame][path[frame]];
    return path;
  }

  std::int32_t man(std::size_t state, std::size_t rusher) const { return choices_[rusher].men[digit(state, rusher)]; }

 private:
  std::size_t digit(std::size_t state, std::size_t rusher) const {
    return state / stride_[rusher] % choices_[rusher].men.size();
  }
  bool no_man_twice(std::size_t state) const {
    for (std::size_t a = 0; a < choices_.size(); ++a) {
      for (std::size_t b = 0; b < a; ++b) {
        if (man(state, a) != nobody && man(state, a) == man(state, b)) return false;
      }
    }
    return true;
  }
  double cost(std::size_t state, std::size_t frame) const {
    double sum = 0;
    for (std::size_t rusher = 0; rusher < choices_.size(); ++rusher) sum += choices_[rusher].cost[frame][digit(state, rusher)];
    return sum;
  }

  /// Lets one rusher's man change at the price: the best over his choices, for each setting of the others.
  void change(std::size_t rusher, double price, std::vector<double>& best, std::vector<std::uint32_t>& came) const {
    const std::size_t step = stride_[rusher], radix = choices_[rusher].men.size();
    for (std::size_t base = 0; base < states_; ++base) {
      if (digit(base, rusher) != 0) continue;
      std::size_t cheapest = base;
      for (std::size_t choice = 1; choice < radix; ++choice) {
        if (best[base + choice * step] < best[cheapest]) cheapest = base + choice * step;
      }
      const double least = best[cheapest] + price;
      const std::uint32_t from = came[cheapest];
      for (std::size_t choice = 0; choice < radix; ++choice) {
        const std::size_t state = base + choice * step;
        if (least < best[state]) {
          best[state] = least;
          came[state] = from;
        }
      }
    }
  }

  const std::vector<Choices>& choices_;
  std::vector<std::size_t> stride_;
  std::size_t states_ = 1;
  std::vector<bool> free_;
};

}  // namespace

Matching match(const Play& play, const Motion& motion, double meet, std::size_t frames) {
  std::vector<Choices> choices = choices_of(play, motion, meet, frames);
  bound_states(choices);
  Search search(choices);
  const std::vector<std::size_t> path = search.run(frames);
  Matching matching(play.rushers.size(), std::vector<std::int32_t>(frames, nobody));
  for (std::size_t frame = 0; frame < frames; ++frame) {
    for (std::size_t rusher = 0; rusher < matching.size(); ++rusher) matching[rusher][frame] = search.man(path[frame], rusher);
  }
  return matching;
}

std::vector<Spell> spells(const Play& play, const Matching& matching) {
  std::vector<Spell> found;
  for (std::size_t r = 0; r < matching.size(); ++r) {
    std::vector<Spell> of_rusher;
    for (std::size_t frame = 0; frame < matching[r].size(); ++frame) {
      if (matching[r][frame] == nobody) continue;
      const auto man = static_cast<std::size_t>(matching[r][frame]);
      const auto last = std::find_if(of_rusher.rbegin(), of_rusher.rend(), [&](auto& spell) { return spell.protector == man; });
      // The time between two matched frames that are not neighbours is the break.
      if (last != of_rusher.rend() &&
          (last->last + 1 == frame || play.time[frame] - play.time[last->last] < shortest_spell - tolerance::time)) {
        last->last = frame;
      } else {
        of_rusher.push_back({play.rushers[r], man, frame, frame});
      }
    }
    for (const Spell& spell : of_rusher) {
      if (play.time[spell.last] - play.time[spell.first] >= shortest_spell - tolerance::time) found.push_back(spell);
    }
  }
  return found;
}

}  // namespace shortedge
