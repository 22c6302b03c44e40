#include "simulate/formation.hpp"

#include <cmath>
#include <string>

#include "base/error.hpp"

namespace shortedge {

namespace {

constexpr double farthest = 30;      // yd, from the ball
constexpr double fastest = 15;       // yd/s
constexpr double longest_tau = 3;    // s
constexpr double most_roll = 15;     // yd
constexpr double longest_wait = 2;   // s
constexpr double least_apart = 0.1;  // yd, of two men at the snap

std::string called(const char* what, std::size_t i) { return std::string(what) + " " + std::to_string(i); }

void check_place(const std::string& who, const Point& at) {
  if (at.allFinite() && at.norm() <= farthest) return;
  throw InputError(who + " is at (" + shown(at.x()) + ", " + shown(at.y()) + ") yd; accepted: within " +
                   shown(farthest) + " yd of the ball");
}

void check_own(const std::string& who, const char* what, double value, double most, const char* unit) {
  if (std::isnan(value) || (value > 0 && value <= most)) return;
  throw InputError(who + ": " + what + " is " + shown(value) + " " + unit + "; accepted: above 0, at most " +
                   shown(most));
}

}  // namespace

int side_of(const Protector& protector) {
  switch (protector.slot) {
    case Slot::LT:
    case Slot::LG: return -1;
    case Slot::RG:
    case Slot::RT: return 1;
    case Slot::C: return 0;
    default: return protector.at.x() < 0 ? -1 : 1;
  }
}

void Formation::validate() const {
  if (rushers.empty() || rushers.size() > most_men || protectors.size() > most_men) {
    throw InputError("a formation of " + std::to_string(protectors.size()) + " protectors and " +
                     std::to_string(rushers.size()) + " rushers; accepted: 0 to 11 and 1 to 11");
  }
  std::vector<std::pair<std::string, Point>> places{{"the passer", passer}};
  for (std::size_t i = 0; i < protectors.size(); ++i) places.emplace_back(called("protector", i), protectors[i].at);
  for (std::size_t i = 0; i < rushers.size(); ++i) {
    places.emplace_back(called("rusher", i), rushers[i].at);
    for (const Point& at : rushers[i].path) check_place(called("path of rusher", i), at);
  }
  for (std::size_t i = 0; i < places.size(); ++i) {
    check_place(places[i].first, places[i].second);
    for (std::size_t j = 0; j < i; ++j) {
      if (distance(places[i].second, places[j].second) >= least_apart) continue;
      throw InputError(places[j].first + " and " + places[i].first + " stand within " + shown(least_apart) +
                       " yd of one another");
    }
  }
  if (passer.y() <= 0)
    throw InputError("the passer is at v = " + shown(passer.y()) + " yd; accepted: behind the line (v > 0)");
  const auto check_number = [](const std::string& what, double value, double least, double most, const char* unit) {
    if (value >= least && value <= most) return;
    throw InputError(what + " is " + shown(value) + " " + unit + "; accepted: " + shown(least) + " to " + shown(most));
  };
  check_number("roll", roll, -most_roll, most_roll, "yd");
  check_number("fake", fake, 0, longest_wait, "s");
  for (std::size_t i = 0; i < rushers.size(); ++i)
    check_number("wait of " + called("rusher", i), rushers[i].wait, 0, longest_wait, "s");
  std::vector<int> had(rushers.size(), 0);
  for (std::size_t i = 0; i < protectors.size(); ++i) {
    const Protector& protector = protectors[i];
    const std::string who = called("protector", i);
    if (protector.man != no_man) {
      if (protector.man < 0 || static_cast<std::size_t>(protector.man) >= rushers.size()) {
        throw InputError(who + " has rusher " + std::to_string(protector.man) + "; there are " +
                         std::to_string(rushers.size()));
      }
      if (protector.job != Job::chip && had[static_cast<std::size_t>(protector.man)]++) {
        throw InputError("rusher " + std::to_string(protector.man) +
                         " is had by two men; one may be left free to help");
      }
    } else if (protector.job == Job::chip) {
      throw InputError(who + " chips nobody; a rusher is wanted");
    }
    check_own(who, "kick speed", protector.kick_speed, fastest, "yd/s");
    check_own(who, "run speed", protector.run_speed, fastest, "yd/s");
    check_own(who, "tau", protector.tau, longest_tau, "s");
  }
  for (std::size_t i = 0; i < rushers.size(); ++i) {
    check_own(called("rusher", i), "top speed", rushers[i].top_speed, fastest, "yd/s");
    check_own(called("rusher", i), "tau", rushers[i].tau, longest_tau, "s");
  }
}

}  // namespace shortedge
