#include "match/matching.hpp"

#include <algorithm>
#include <numeric>
#include <span>

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

/// One rusher's choices and what each costs: choice 0 is nobody. In frames in which he is not to be seen, or takes no
/// part, whom he has costs nothing and holds up nobody.
struct Choices {
  std::vector<std::int32_t> men{nobody};
  std::vector<double> cost;        // frame * men + choice, yd s
  std::vector<std::uint8_t> seen;  // by frame

  std::span<const double> of(std::size_t frame) const {
    return std::span(cost).subspan(frame * men.size(), men.size());
  }
};

/// `taken`: who is not to be had, by frame; may be empty.
Choices choices_of(const Play& play, const Motion& motion, double meet, std::size_t frames, std::size_t rusher,
                   const std::vector<std::vector<std::int32_t>>& taken) {
  const std::size_t protectors = play.protectors.size();
  Choices choices;
  choices.seen.resize(frames);
  std::vector<double> pairs(protectors * frames, infinity);  // frame * protectors + protector
  std::vector<double> share(frames, 0.0);
  std::vector<bool> wanted(protectors, false);
  for (std::size_t frame = 0; frame < frames; ++frame) {
    const Point &at = motion.at(frame, rusher), &passer = motion.at(frame, play.passer);
    choices.seen[frame] = play.men[rusher].takes_part(frame) && present(at);
    if (!choices.seen[frame]) continue;
    bool met = false;
    for (std::size_t i = 0; i < protectors; ++i) {
      const Point& man = motion.at(frame, play.protectors[i]);
      met = met || within(man, at, meet);
      if (!within(man, at, farthest_pair)) continue;
      pairs[frame * protectors + i] = pair_cost(man, at, passer);
      wanted[i] = wanted[i] || pairs[frame * protectors + i] < nobody_cost;
    }
    share[frame] = weight(play.time, frame, frames) * (met ? 1 : unmet_share);
  }
  std::vector<std::size_t> kept;
  for (std::size_t i = 0; i < protectors; ++i) {
    if (!wanted[i]) continue;
    kept.push_back(i);
    choices.men.push_back(static_cast<std::int32_t>(play.protectors[i]));
  }
  choices.cost.reserve(frames * choices.men.size());
  for (std::size_t frame = 0; frame < frames; ++frame) {
    choices.cost.push_back(nobody_cost * share[frame]);
    for (const std::size_t i : kept) {
      const auto man = static_cast<std::int32_t>(play.protectors[i]);
      const bool had = !taken.empty() && std::find(taken[frame].begin(), taken[frame].end(), man) != taken[frame].end();
      const double pair = had ? infinity : pairs[frame * protectors + i];
      choices.cost.push_back(!choices.seen[frame] ? 0 : pair < infinity ? pair * share[frame] : infinity);
    }
  }
  return choices;
}

/// Joint assignments grow as a product. Past this many (seven rushers with five men each are 280,000) the dearest pairs
/// are left out, so that memory stays bounded whatever roles people states.
constexpr std::size_t most_states = 200'000;

using Group = std::vector<std::size_t>;  // rushers who are matched jointly

void leave_out(Choices& choices, std::size_t choice) {
  std::vector<double> cost;
  cost.reserve(choices.cost.size());
  for (std::size_t k = 0; k < choices.cost.size(); ++k) {
    if (k % choices.men.size() != choice) cost.push_back(choices.cost[k]);
  }
  choices.cost = std::move(cost);
  choices.men.erase(choices.men.begin() + static_cast<std::ptrdiff_t>(choice));
}

void bound_states(const Group& group, std::vector<Choices>& all) {
  const auto states = [&] {
    double product = 1;
    for (const std::size_t rusher : group) product *= static_cast<double>(all[rusher].men.size());
    return product;
  };
  while (states() > static_cast<double>(most_states)) {
    Choices& widest = all[*std::max_element(group.begin(), group.end(),
                                            [&](auto a, auto b) { return all[a].men.size() < all[b].men.size(); })];
    std::vector<double> least(widest.men.size(), infinity);
    least[0] = -infinity;
    for (std::size_t k = 0; k < widest.cost.size(); ++k) {
      double& of_choice = least[k % widest.men.size()];
      of_choice = std::min(of_choice, widest.cost[k]);
    }
    leave_out(widest, static_cast<std::size_t>(std::max_element(least.begin(), least.end()) - least.begin()));
  }
}

/// Joint assignments of one group as mixed-radix numbers: one digit a rusher, its value his choice.
class Search {
 public:
  Search(const Group& group, const std::vector<Choices>& all) {
    for (const std::size_t rusher : group) {
      choices_.push_back(&all[rusher]);
      stride_.push_back(states_);
      states_ *= all[rusher].men.size();
    }
  }

  /// The state of each frame.
  std::vector<std::size_t> run(std::size_t frames) {
    std::vector<double> best(states_, 0.0);
    std::vector<std::uint32_t> came(frames * states_);
    for (std::size_t frame = 0; frame < frames; ++frame) {
      const std::span<std::uint32_t> from = std::span(came).subspan(frame * states_, states_);
      std::iota(from.begin(), from.end(), std::uint32_t{0});
      if (frame > 0) {
        for (std::size_t k = 0; k < choices_.size(); ++k) {
          change(k, best, from);
        }
      }
      add_costs(frame, best);
    }
    std::vector<std::size_t> path(frames);
    if (frames == 0) return path;
    path[frames - 1] = static_cast<std::size_t>(std::min_element(best.begin(), best.end()) - best.begin());
    for (std::size_t frame = frames - 1; frame > 0; --frame) path[frame - 1] = came[frame * states_ + path[frame]];
    return path;
  }

  std::int32_t man(std::size_t state, std::size_t k) const { return choices_[k]->men[digit(state, k)]; }

 private:
  std::size_t digit(std::size_t state, std::size_t k) const { return state / stride_[k] % choices_[k]->men.size(); }
  /// Whether no man is had twice by rushers who are `seen`.
  bool no_man_twice(std::size_t state, const std::vector<std::uint8_t>& seen) const {
    for (std::size_t a = 0; a < choices_.size(); ++a) {
      for (std::size_t b = 0; b < a; ++b) {
        if (seen[a] && seen[b] && man(state, a) != nobody && man(state, a) == man(state, b)) return false;
      }
    }
    return true;
  }
  /// By state, of the rushers seen in a frame; kept from frame to frame, as they are mostly the same.
  const std::vector<std::uint8_t>& free_states(std::size_t frame) {
    std::vector<std::uint8_t> seen;
    for (const Choices* choices : choices_) seen.push_back(choices->seen[frame]);
    if (free_.empty() || seen != seen_) {
      free_.resize(states_);
      for (std::size_t state = 0; state < states_; ++state) free_[state] = no_man_twice(state, seen);
      seen_ = std::move(seen);
    }
    return free_;
  }
  void add_costs(std::size_t frame, std::vector<double>& best) {
    for (std::size_t k = 0; k < choices_.size(); ++k) {
      const std::span<const double> cost = choices_[k]->of(frame);
      const std::size_t step = stride_[k], block = step * cost.size();
      for (std::size_t base = 0; base < states_; base += block) {
        for (std::size_t choice = 0; choice < cost.size(); ++choice) {
          double* const first = &best[base + choice * step];
          for (std::size_t i = 0; i < step; ++i) first[i] += cost[choice];
        }
      }
    }
    if (choices_.size() == 1) return;
    const std::vector<std::uint8_t>& free = free_states(frame);
    for (std::size_t state = 0; state < states_; ++state) {
      if (!free[state]) best[state] = infinity;
    }
  }

  /// Lets one rusher's man change at its price: the best over his choices, for each setting of the others.
  void change(std::size_t k, std::vector<double>& best, std::span<std::uint32_t> came) const {
    const std::size_t step = stride_[k], radix = choices_[k]->men.size(), block = step * radix;
    for (std::size_t outer = 0; outer < states_; outer += block) {
      for (std::size_t base = outer; base < outer + step; ++base) {
        std::size_t cheapest = base;
        for (std::size_t choice = 1; choice < radix; ++choice) {
          if (best[base + choice * step] < best[cheapest]) cheapest = base + choice * step;
        }
        const double least = best[cheapest] + change_cost;
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
  }

  std::vector<const Choices*> choices_;
  std::vector<std::size_t> stride_;
  std::size_t states_ = 1;
  std::vector<std::uint8_t> free_, seen_;
};

/// Whether some man is used in one frame by a rusher of each group.
bool share_a_man(const Group& a, const Group& b, const Matching& matching, std::size_t frames) {
  for (const std::size_t one : a) {
    for (const std::size_t other : b) {
      for (std::size_t frame = 0; frame < frames; ++frame) {
        if (matching[one][frame] != nobody && matching[one][frame] == matching[other][frame]) return true;
      }
    }
  }
  return false;
}

/// Matches the rushers of `choices` and writes each one's men.
void match_all(std::vector<Choices>& choices, const Group& rushers, std::size_t frames, Matching& matching) {
  const auto solve = [&](const Group& group) {
    bound_states(group, choices);
    Search search(group, choices);
    const std::vector<std::size_t> path = search.run(frames);
    for (std::size_t k = 0; k < group.size(); ++k) {
      for (std::size_t frame = 0; frame < frames; ++frame) {
        matching[group[k]][frame] = choices[group[k]].seen[frame] ? search.man(path[frame], k) : nobody;
      }
    }
  };
  std::vector<Group> groups;
  for (const std::size_t rusher : rushers) solve(groups.emplace_back(Group{rusher}));
  for (std::size_t a = 0; a < groups.size(); ++a) {
    for (std::size_t b = 0; b < a; ++b) {
      if (!share_a_man(groups[a], groups[b], matching, frames)) continue;
      Group joined = groups[b];
      joined.insert(joined.end(), groups[a].begin(), groups[a].end());
      std::sort(joined.begin(), joined.end());
      groups.erase(groups.begin() + static_cast<std::ptrdiff_t>(a));
      groups[b] = std::move(joined);
      solve(groups[b]);
      a = static_cast<std::size_t>(-1);  // look at all pairs again
      break;
    }
  }
}

}  // namespace

Matching match_frames(const Play& play, const Motion& motion, double meet, std::size_t frames) {
  Matching matching(play.rushers.size(), std::vector<std::int32_t>(frames, nobody));
  std::vector<Choices> choices(play.rushers.size());
  std::vector<std::vector<std::int32_t>> taken;
  for (const bool late : {false, true}) {
    Group rushers;
    for (std::size_t r = 0; r < play.rushers.size(); ++r) {
      if (play.men[play.rushers[r]].late != late) continue;
      rushers.push_back(r);
      choices[r] = choices_of(play, motion, meet, frames, play.rushers[r], taken);
    }
    match_all(choices, rushers, frames, matching);
    if (late || rushers.size() == play.rushers.size()) break;
    taken.resize(frames);
    for (const std::size_t r : rushers) {
      for (std::size_t frame = 0; frame < frames; ++frame) {
        if (matching[r][frame] != nobody) taken[frame].push_back(matching[r][frame]);
      }
    }
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
      const auto last =
          std::find_if(of_rusher.rbegin(), of_rusher.rend(), [&](auto& spell) { return spell.protector == man; });
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
