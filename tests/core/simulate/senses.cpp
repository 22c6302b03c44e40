/// What rushers plan, and what a passer sees and does, held to films of every step.

#include <doctest/doctest.h>

#include <cmath>

#include "simulate/formations.hpp"
#include "simulate/passer.hpp"

using namespace shortedge;
using doctest::Approx;
using scenes::Watched;

namespace {

constexpr double step = scenes::fine_step;

/// A rusher's way to the passer in this frame: s to his arm at the speed he closes (infinite: he does not), and how far
/// the nearest protector between them is from it.
struct Way {
  double seconds, clear, range;
  double from_upfield;  ///< rad
};

Way way_of(const Watched& seen, std::size_t frame, std::size_t j, double arm) {
  const Point to = seen.passer(frame) - seen.rusher(frame, j);
  const Point passes = seen.film.velocity[frame * seen.men()];
  const double range = to.norm(), closes = (seen.rusher_velocity(frame, j) - passes).dot(to) / range;
  Way way{closes > 0 ? (range - arm) / closes : scenes::infinity, scenes::infinity, range, std::acos(to.y() / range)};
  for (std::size_t i = 0; i < seen.protectors; ++i) {
    const Point other = seen.protector(frame, i) - seen.rusher(frame, j);
    const double along = other.dot(to) / range;
    if (along > 0 && along < range) way.clear = std::min(way.clear, std::abs(cross(to, other)) / range);
  }
  return way;
}

}  // namespace

TEST_CASE("he throws early when a rusher has been free and near for long enough, and then soon") {
  Assumptions a;
  a.steps_first = 0;
  a.ride_speeding = 1e6;
  const Formation formation = scenes::base_case();
  int early = 0, in_time = 0, would_not = 0;
  for (std::uint64_t number = 0; number < 120; ++number) {
    const Draw drawn = draw(formation, a, 110, number);
    const Watched seen = scenes::watch(formation, a, drawn, 10, 3.6);
    for (std::size_t j = 0; j < seen.rushers; ++j) {
      const double hurried = seen.record.rushers[j].hurried;
      if (std::isnan(hurried)) continue;
      ++early;
      CHECK(hurried >= a.early_from - 1e-9);
      CHECK(seen.record.throw_time == Approx(std::min(3.6, hurried + drawn.passer.early_takes)));
      const auto last = static_cast<std::size_t>(std::lround(hurried / step));
      const auto first = last - static_cast<std::size_t>(std::lround(a.early_lasts / step));
      for (std::size_t frame = first + 1; frame <= last; ++frame) {  // he looks at the middles of steps
        const Way way = way_of(seen, frame, j, a.arm);
        CHECK(way.seconds <= a.early_within + 1e-9);
        CHECK(way.clear > a.early_clear - 1e-9);
      }
      in_time += hurried + drawn.passer.early_takes < 3.6;
    }
    if (!drawn.passer.early) {
      ++would_not;
      CHECK(seen.record.throw_time == 3.6);
      for (std::size_t j = 0; j < seen.rushers; ++j) CHECK(std::isnan(seen.record.rushers[j].hurried));
    }
  }
  CHECK(early > 20);
  CHECK(in_time > 20);
  CHECK(would_not > 3);
}

TEST_CASE("a free rusher in plain sight is always seen in time") {
  // Nobody near his line: the ball is out when brute force over the film says, between two frames by a straight line;
  // he looks once a step, so he may be half a step early or late.
  Assumptions a;
  a.steps_first = 0;
  a.early_throws = 1;
  Formation formation = scenes::one_on_one({9, 6}, {4, -3}, {0, 7});
  formation.protectors[0].man = no_man;
  const Watched seen = scenes::watch(formation, a, 7, 4);
  double sees = scenes::nan;
  for (std::size_t frame = 1; frame < seen.frames() && std::isnan(sees); ++frame) {
    const double left = way_of(seen, frame, 0, a.arm).seconds, before = way_of(seen, frame - 1, 0, a.arm).seconds;
    if (left > a.early_within) continue;
    sees = seen.film.time[frame] - step * (a.early_within - left) / (before - left);
  }
  REQUIRE(sees > 0);
  const double hurried = seen.record.rushers[0].hurried;
  CHECK(std::abs(hurried - (std::max(sees, a.early_from) + a.early_lasts)) <= step / 2 + 1e-9);
  CHECK(seen.record.throw_time == Approx(hurried + a.early_takes).epsilon(1e-12));
}

TEST_CASE("he leaves his drop only for a rusher who threatens, up into room that is free, and no farther than he may") {
  Assumptions a;
  a.early_throws = 0;
  const Formation formation = scenes::base_case();
  const PasserDrop drop(formation, a, 10);
  int left = 0, stayed = 0, slid = 0;
  for (std::uint64_t number = 0; number < 120; ++number) {
    const Draw drawn = draw(formation, a, 111, number);
    const Watched seen = scenes::watch(formation, a, drawn, 10, 4, 0);
    std::size_t leaves = seen.frames();
    for (std::size_t frame = 0; frame < seen.frames() && leaves == seen.frames(); ++frame) {
      if (distance(seen.passer(frame), drop.at(seen.film.time[frame])) > 1e-9) leaves = frame;
    }
    if (leaves == seen.frames()) {
      ++stayed;
      continue;
    }
    REQUIRE(drawn.passer.feels);
    ++left;
    CHECK(seen.film.time[leaves] >= drop.top_time() - a.step_before - 1e-9);
    if (seen.film.time[leaves] < drop.top_time()) {  // he cut it in that step
      CHECK(seen.record.top_time >= seen.film.time[leaves - 1] - 1e-9);
      CHECK(seen.record.top_time <= seen.film.time[leaves]);
    }
    // What he saw at the middle of that step: an edge rusher, over 0.55 rad from upfield; or a free man inside.
    bool edge = false, inside = false;
    for (std::size_t frame = leaves - 1; frame <= leaves; ++frame) {
      for (std::size_t j = 0; j < seen.rushers; ++j) {
        const Way way = way_of(seen, frame, j, a.arm);
        if (way.seconds > 1.3 || way.range >= 7) continue;
        edge |= way.from_upfield > 0.55;
        inside |= way.from_upfield <= 0.55 && way.clear > a.early_clear;
      }
    }
    CHECK((edge || inside));
    const Point from = seen.passer(leaves - 1), to = seen.passer(seen.frames() - 1);
    slid += std::abs(to.x() - from.x()) > 0.5;
    // He stops within the time his velocity takes to follow, of which the most is speed x response.
    const double coasts = a.step_speed * (2 * a.response) + 0.1;
    CHECK(from.y() - to.y() <= a.step_most + coasts);
    CHECK(std::abs(to.x() - from.x()) <= a.slide_most + coasts);
    if (edge && !inside) {
      for (std::size_t man = 1; man < seen.men(); ++man) {
        const Point other = seen.film.place[(leaves - 1) * seen.men() + man];
        const double ahead = from.y() - other.y();
        CHECK_FALSE((ahead > 0 && ahead < a.step_clear && std::abs(other.x() - from.x()) < 0.75));
      }
    }
  }
  CHECK(left > 20);
  CHECK(stayed > 20);
  CHECK(slid > 0);
  a.steps_first = 0;
  for (std::uint64_t number = 0; number < 10; ++number) {
    const Watched seen = scenes::watch(formation, a, draw(formation, a, 111, number), 10, 4, 0);
    for (std::size_t frame = 0; frame < seen.frames(); ++frame)
      CHECK(distance(seen.passer(frame), drop.at(seen.film.time[frame])) <= 1e-9);
  }
}

TEST_CASE("a rusher goes round the side he planned, and hands he has won let him by sooner") {
  Assumptions a = scenes::plain();
  a.reaction_spread = a.strength_spread = 0;
  a.protector_reaction = 2;  // his man stands
  a.push = a.push_power = a.push_open = 0;
  // The right tackle at the aim's line: outside is to the right.
  const auto passed_at = [&](RushPlan plan, double won) {
    a.hands_won = won, a.hands_first = a.hands_inside = 1;
    Formation formation = scenes::one_on_one({1.5, 1}, {1.5, -1.5}, {1.5, 7});
    formation.rushers[0].plan = plan;
    const Watched seen = scenes::watch(formation, a, 7, a.protector_reaction, 0);
    std::pair<double, double> found{scenes::infinity, 0};  // s; never
    for (std::size_t frame = 0; frame < seen.frames() && found.first == scenes::infinity; ++frame) {
      if (seen.rusher(frame, 0).y() > 1) found = {seen.film.time[frame], seen.rusher(frame, 0).x() - 1.5};
    }
    return found;
  };
  CHECK(passed_at(RushPlan::outside, 1).second > 0.6);
  CHECK(passed_at(RushPlan::inside, 1).second < -0.6);
  CHECK(passed_at(RushPlan::outside, 1).first < passed_at(RushPlan::outside, 0).first - 0.1);
  CHECK(passed_at(RushPlan::power, 1).first == scenes::infinity);  // nobody is gone through who does not give
}

TEST_CASE("a ridden rusher gains on the passer no faster than he is let") {
  // Wherever the definition of riding holds with either rim and room to spare, step by step.
  Assumptions a;
  a.steps_first = 0;
  const Formation formation = scenes::base_case();
  int ridden = 0, faster = 0;
  for (std::uint64_t number = 0; number < 80; ++number) {
    const Draw drawn = draw(formation, a, 112, number);
    const Watched seen = scenes::watch(formation, a, drawn, 10, 3.5, 0);
    const PasserDrop drop(formation, a, 10);
    for (const std::size_t i : {std::size_t{0}, std::size_t{4}}) {
      const std::size_t j = i == 0 ? 0 : 3;
      const double side = i == 0 ? -1 : 1;
      for (std::size_t frame = 1; frame + 1 < seen.frames(); ++frame) {
        if (seen.film.time[frame] < drop.top_time()) continue;  // from there on he aims at the passer himself
        const Point rusher = seen.rusher(frame, j), passer = seen.passer(frame);
        const Point pace = seen.film.velocity[frame * seen.men()];
        const Point line = (passer + a.looks_ahead * pace - rusher).normalized();
        const Point to_man = seen.protector(frame, i) - rusher;
        const bool rides = to_man.norm() <= a.reach_open + 0.3 && side * cross(line, to_man) > 0.35 * a.reach &&
                           line.dot(to_man) > -0.55 && rusher.y() < passer.y() + 0.9;
        if (!rides) continue;
        ++ridden;
        const Point toward = (passer - rusher).normalized();
        const double gains = (seen.rusher_velocity(frame + 1, j) - seen.rusher_velocity(frame, j)).dot(toward) / step;
        CHECK(gains <= a.ride_speeding + 0.3);  // the middle of the step lies half a step on
        faster += gains > a.ride_speeding - 0.3;
      }
    }
  }
  CHECK(ridden > 200);
  CHECK(faster > 20);
}

TEST_CASE("tackles set as deep as they are told") {
  Assumptions a = scenes::plain();
  a.end_speed = 6;  // so that they get there before their men do
  const auto met_at = [&](SetOrder order) {
    Formation formation = scenes::base_case();
    formation.protectors[0].order = formation.protectors[4].order = order;
    const Watched seen = scenes::watch(formation, a, 9);
    return seen.protector(static_cast<std::size_t>(std::lround(seen.record.protectors[4].engaged / step)), 4).y();
  };
  const double jump = met_at(SetOrder::jump), angle = met_at(SetOrder::angle), vertical = met_at(SetOrder::vertical);
  CHECK(jump < angle - 0.3);
  CHECK(angle < vertical - 0.3);
  CHECK(jump < 0.7 + 1.3);
}

TEST_CASE("a slide sends the free man to its side, a roll-out the drop beside, a fake the top later") {
  const auto centre_at = [](int slide) {
    Formation formation = scenes::base_case();
    formation.rushers[2].at.x() = 1.9;  // both guards' men are as far off
    formation.slide = slide;
    return scenes::watch(formation, scenes::plain(), 7).protector(240, 2).x();
  };
  CHECK(centre_at(1) > 0.2);
  CHECK(centre_at(-1) < -0.2);

  Formation formation = scenes::base_case();
  const Assumptions a;
  const double top = PasserDrop(formation, a, 7).top_time();
  formation.fake = 0.4;
  CHECK(PasserDrop(formation, a, 7).top_time() == Approx(top + 0.4));
  formation.fake = 0;
  formation.roll = 4;
  const PasserDrop rolls(formation, a, 7);
  CHECK(rolls.spot() == Point(4, 7));
  // A yard more takes drop_pace.
  CHECK(rolls.top_time() == Approx(top + a.drop_pace * (std::hypot(4.0, 6.0) - 6)));
  // The protection guards the spot to which he rolls: his own left tackle runs after him.
  const Watched seen = scenes::watch(formation, scenes::plain(), 7);
  const Watched straight = scenes::watch(scenes::base_case(), scenes::plain(), 7);
  CHECK(seen.protector(300, 0).x() > straight.protector(300, 0).x() + 0.3);
}

TEST_CASE("with nobody ahead he steps up as far as he may and no farther") {
  // Room without end, and a free end who threatens all the while: only what he may step himself stops him. He asks for
  // step_speed until he has stepped step_most; then his legs take response to stand (v exp(-t / response), so v x
  // response; a_lat stops him more slowly at 3 yd/s: v^2 / (2 a_lat) + v response).
  Assumptions a = scenes::plain();
  a.steps_first = 1;
  a.takes_within = a.helps_within = 0;
  a.hitch = 0;
  for (const double most : {0.5, 1.5, 2.5}) {
    a.step_most = most;
    Formation formation = scenes::one_on_one({-9, 1}, {9, 9}, {0, 10});
    formation.protectors[0].man = no_man;
    formation.rushers[0].top_speed = 7;
    const Watched seen = scenes::watch(formation, a, 10, 4, 0);
    const double stepped = 10 - seen.passer(seen.frames() - 1).y();
    CHECK(stepped >= most);
    CHECK(stepped <= most + a.step_speed * a.response + a.step_speed * a.step_speed / (2 * a.a_lat));
  }
}

TEST_CASE("who goes round a man looks 0.3 yd and 0.06 s ahead on his way: no corner cut, and none overrun") {
  // Legs that answer at once, so he runs where he looks. The way round a standing man is a tangent to his disc, an arc,
  // a tangent. He looks straight along the first until the place he looks at lies on the arc: then at that place.
  Assumptions a = scenes::plain();
  a.rusher_reaction = a.hitch = a.spread_across = a.spread_along = 0;
  a.protector_reaction = 2;
  a.takes_within = a.helps_within = a.bow = 0;
  a.tau = 0.001;
  a.response = 2 * step;
  a.a_lat = a.a_brake = 1e9;
  constexpr double speed = 5, ahead = 0.3 + 0.06 * speed;
  Formation formation = scenes::one_on_one({0, 2}, {0.1, -2}, {0, 7});
  formation.protectors[0].man = no_man;
  formation.rushers[0].top_speed = speed;
  const Watched seen = scenes::watch(formation, a, 7, 1.8, 0);
  const Point man(0, 2);
  int straight = 0, on_arc = 0;
  Point from(0, 0), tangent(0, 1);  // where the way was made anew, and how it begins
  double to_arc = 0, run = 0;
  for (std::size_t frame = 20; frame + 1 < seen.frames(); ++frame, run += speed * step) {
    const Point at = seen.rusher(frame, 0);
    if (frame % 20 == 0) {  // every tenth of a second
      from = at, run = 0;
      const Point to = man - at;
      const double range = to.norm(), sine = a.body / range, cosine = std::sqrt(1 - sine * sine);
      if (range < a.body + 0.1) break;
      const Point e = to / range;
      to_arc = range * cosine;
      tangent = {cosine * e.x() + sine * e.y(), cosine * e.y() - sine * e.x()};  // he is right of the man, and stays so
    }
    const double there = run + speed * step / 2 + ahead;
    Point looks = from + there * tangent;
    if (there > to_arc) {  // on along the arc, about the man, and off it straight to the passer
      const Point radius = from + to_arc * tangent - man, passer(0, 7);
      const double leaves = std::asin(a.body / distance(man, passer));
      const double turned = std::atan2(radius.y(), radius.x()) + (there - to_arc) / a.body;
      const double angle = std::min(turned, leaves);
      looks = man + a.body * Point(std::cos(angle), std::sin(angle));
      looks += a.body * (turned - angle) * (passer - looks).normalized();
    }
    if (distance(seen.rusher(frame + 1, 0), man) < a.body + 0.05) continue;  // he touches him
    const Point runs = seen.rusher_velocity(frame + 1, 0), middle = at + step / 2 * seen.rusher_velocity(frame, 0);
    CHECK(distance(runs.normalized(), (looks - middle).normalized()) < 0.03);
    ++(there > to_arc ? on_arc : straight);
  }
  CHECK(straight * step > 0.25);
  CHECK(on_arc > 5);
}

TEST_CASE("who has chipped and is off goes straight out until the man he hit is 0.3 yd from touching him") {
  Assumptions a = scenes::plain();
  a.rusher_reaction = 2;  // he stands
  a.protector_reaction = a.chip_hit = 0;
  a.tau = 0.001;
  a.run_speed = 5;
  a.response = step;
  a.a_lat = a.a_brake = 1e9;
  Formation formation = scenes::one_on_one({4, 3}, {4.5, 0.5}, {0, 7});
  formation.protectors[0].job = Job::chip;
  formation.protectors[0].slot = Slot::none;
  const Watched seen = scenes::watch(formation, a, 7, 1.5, 0);
  const Point out(3, -4);
  double nearest = scenes::infinity;
  for (std::size_t frame = 0; frame < seen.frames(); ++frame) {
    if (!(seen.film.time[frame] > seen.record.protectors[0].engaged)) continue;
    const Point to = seen.rusher(frame, 0) - seen.protector(frame, 0);
    if (out.dot(to) > 0) nearest = std::min(nearest, to.norm());
  }
  CHECK(nearest <= a.body + 0.3);
  CHECK(nearest >= a.body + 0.3 - a.run_speed * 2 * a.response);  // his legs answer a step or two later
}

TEST_CASE("a tackle goes straight back faster against a man near him, and no faster against one far outside") {
  // All of kick_back up to 2.6 yd outside him, none from 4.6 yd on, in between in proportion.
  Assumptions a = scenes::plain();
  a.kick_spread = a.reaction_spread = 0;
  a.kick_back = 1.5;
  a.end_speed = 5;  // he has time
  for (const auto& [wide, share] : {std::pair{1.0, 1.0}, {2.6, 1.0}, {3.6, 0.5}, {4.6, 0.0}, {8.0, 0.0}}) {
    Formation formation = scenes::base_case(wide);
    formation.protectors[4].order = SetOrder::vertical;
    const Watched seen = scenes::watch(formation, a, 9);
    double fastest = 0;
    for (std::size_t frame = 0; frame < seen.frames(); ++frame) {
      if (!(seen.film.time[frame] < seen.record.protectors[4].engaged)) break;
      fastest = std::max(fastest, seen.protector_velocity(frame, 4).y());
    }
    const double most = a.kick_speed * (1 + (a.kick_back - 1) * share);
    CHECK(fastest <= most + 0.01);
    CHECK(fastest >= most - 0.35);  // he has to go outside as well
  }
}

TEST_CASE("a man from the slot wins hands as seldom as an inside rusher, an end there alone does not") {
  Assumptions a = scenes::plain();
  a.hands_inside = 0;
  a.hands_first = 1;
  a.takes_within = a.helps_within = 0;
  // How far apart the two are when the end, or man from the slot, wins hands whenever he can, and when never.
  const auto differ = [&](double other_at) {
    Formation formation = scenes::one_on_one({3.2, 0.7}, {8, -0.9}, {0, 5});
    formation.rushers[0].plan = RushPlan::outside;
    scenes::add_rusher(formation, {other_at, -4});
    formation.rushers[1].top_speed = 0.5;  // he is there, and no more
    double most = 0;
    a.hands_won = 1;
    const Watched wins = scenes::watch(formation, a, 8, 3, 0);
    a.hands_won = 0;
    const Watched never = scenes::watch(formation, a, 8, 3, 0);
    for (std::size_t frame = 0; frame < std::min(wins.frames(), never.frames()); ++frame)
      most = std::max(most, distance(wins.rusher(frame, 0), never.rusher(frame, 0)));
    return most;
  };
  CHECK(differ(5.8) == 0);    // an end inside of him: he comes from the slot
  CHECK(differ(-5.8) > 0.2);  // the end of the other side
  CHECK(differ(7.5) > 0.2);   // two men on one spot, so to speak
}
