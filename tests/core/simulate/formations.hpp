#pragma once
/// Formations the simulator's tests share, invented; and what a film shows of them.

#include "scenes.hpp"
#include "simulate/rep.hpp"

namespace shortedge::scenes {

inline void add_protector(Formation& formation, Slot slot, const Point& at, std::int32_t man, Job job = Job::block) {
  Protector protector;
  protector.at = at;
  protector.slot = slot;
  protector.job = job;
  protector.man = man;
  formation.protectors.push_back(protector);
}

inline void add_rusher(Formation& formation, const Point& at, bool inside = false, std::vector<Point> path = {}) {
  Rusher rusher;
  rusher.at = at;
  rusher.inside = inside;
  rusher.path = std::move(path);
  formation.rushers.push_back(rusher);
}

/// Four rushers, the ends `wide` yd outside the tackles, and five protectors, the centre free; from under centre.
/// Protectors LT, LG, C, RG, RT; rushers left end, left tackle, right tackle, right end.
inline Formation base_case(double wide = 2.6) {
  Formation formation;
  add_protector(formation, Slot::LT, {-3.2, 0.7}, 0);
  add_protector(formation, Slot::LG, {-1.6, 0.5}, 1);
  add_protector(formation, Slot::C, {0, 0.3}, no_man);
  add_protector(formation, Slot::RG, {1.6, 0.5}, 2);
  add_protector(formation, Slot::RT, {3.2, 0.7}, 3);
  add_rusher(formation, {-3.2 - wide, -0.9});
  add_rusher(formation, {-1.9, -0.9}, true);
  add_rusher(formation, {1.0, -0.9}, true);
  add_rusher(formation, {3.2 + wide, -0.9});
  return formation;
}

/// A wing man outside the right tackle chips the right end on his way out.
inline Formation with_chip(const Point& wing = {4.5, 1.3}) {
  Formation formation = base_case();
  add_protector(formation, Slot::none, wing, 3, Job::chip);
  return formation;
}

/// End and tackle change lanes on both sides: the tackle first, the end round behind him; passed off by zone.
inline Formation with_stunts() {
  Formation formation = base_case(1.2);
  for (Protector& protector : formation.protectors) protector.job = Job::zone;
  formation.rushers[1].path = {{-3.6, 0.2}};
  formation.rushers[0].path = {{-4.0, -0.6}, {-1.3, 0.0}};
  formation.rushers[2].path = {{3.6, 0.2}};
  formation.rushers[3].path = {{4.0, -0.6}, {1.3, 0.0}};
  return formation;
}

/// A fifth rusher comes off the slot: the right tackle kicks out to him and the line slides, the guard to the end.
inline Formation slot_blitz() {
  Formation formation = base_case(1.2);
  add_rusher(formation, {8.5, -2.0});
  formation.protectors[2].man = 2;
  formation.protectors[3].man = 3;
  formation.protectors[4].man = 4;
  return formation;
}

/// Men who do as they are told: after their first move rushers go through, nobody wins hands, nobody exchanges men man
/// to man, the passer neither steps nor throws early.
inline Assumptions plain() {
  Assumptions a;
  a.later_end_outside = a.later_end_inside = a.later_inside_outside = a.later_inside_inside = 0;
  a.hands_won = a.man_changes = a.early_throws = a.steps_first = 0;
  return a;
}

/// One rusher, who rushes straight, and one protector who has him.
inline Formation one_on_one(const Point& protector, const Point& rusher, const Point& passer) {
  Formation formation;
  formation.takes = TakesSnap::gun;
  formation.passer = passer;
  add_protector(formation, Slot::RT, protector, 0);
  add_rusher(formation, rusher);
  formation.rushers[0].plan = RushPlan::power;
  return formation;
}

/// Men standing anywhere about the line, apart; everybody has somebody while there are some.
inline Formation crowd(Random& random, std::size_t protectors, std::size_t rushers) {
  Formation formation;
  formation.takes = TakesSnap::gun;
  formation.passer = {0, 5};
  std::vector<Point> taken{formation.passer};
  const auto place = [&](double least_v, double most_v) {
    for (;;) {
      const Point at(random.number(-7, 7), random.number(least_v, most_v));
      if (std::all_of(taken.begin(), taken.end(), [&](const Point& other) { return distance(at, other) >= 1.1; })) {
        taken.push_back(at);
        return at;
      }
    }
  };
  for (std::size_t i = 0; i < rushers; ++i) {
    std::vector<Point> path;
    if (random.whole(0, 3) == 0) path = {{random.number(-4, 4), random.number(0, 2)}};
    add_rusher(formation, place(-4, -0.5), random.whole(0, 1) == 1, path);
  }
  for (std::size_t i = 0; i < protectors; ++i) {
    const bool has = i < rushers;
    const Job job = random.whole(0, 3) == 0 ? Job::zone : Job::block;
    add_protector(formation, Slot::none, place(0.3, 4), has ? static_cast<std::int32_t>(i) : no_man, job);
  }
  return formation;
}

/// s. What is said of a single step, or of how near a figure comes to its limit, is said of this one: half the usual.
inline constexpr double fine_step = RepSimulator::default_step;

/// Film of every step.
struct Watched {
  RepRecord record;
  Film film;
  std::size_t protectors = 0, rushers = 0;

  std::size_t frames() const { return film.time.size(); }
  std::size_t men() const { return 1 + protectors + rushers; }
  Point passer(std::size_t frame) const { return film.place[frame * men()]; }
  Point protector(std::size_t frame, std::size_t i) const { return film.place[frame * men() + 1 + i]; }
  Point rusher(std::size_t frame, std::size_t j) const { return film.place[frame * men() + 1 + protectors + j]; }
  Point protector_velocity(std::size_t frame, std::size_t i) const { return film.velocity[frame * men() + 1 + i]; }
  Point rusher_velocity(std::size_t frame, std::size_t j) const {
    return film.velocity[frame * men() + 1 + protectors + j];
  }
};

inline Watched watch(const Formation& formation, const Assumptions& assumptions, const Draw& drawn, double depth,
                     double throw_time = 2.7, double after = 0.5, double step = fine_step) {
  formation.validate();
  assumptions.validate();
  Watched seen;
  seen.protectors = formation.protectors.size();
  seen.rushers = formation.rushers.size();
  seen.film.every = step;
  RepSimulator simulator(formation, assumptions, {formation, assumptions, depth}, step);
  seen.record = simulator.run(drawn, throw_time, after, &seen.film);
  return seen;
}

/// Nothing left to chance.
inline Watched watch(const Formation& formation, const Assumptions& assumptions, double depth, double throw_time = 2.7,
                     double after = 0.5, double step = fine_step) {
  return watch(formation, assumptions, no_chance(formation, assumptions), depth, throw_time, after, step);
}

}  // namespace shortedge::scenes
