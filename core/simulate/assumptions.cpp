#include "simulate/assumptions.hpp"

#include <string>

#include "base/error.hpp"

namespace shortedge {

void Assumptions::validate() const {
  const auto check = [](const char* name, double value, double least, double most, const std::string& unit) {
    if (value >= least && value <= most) return;
    const std::string of = unit.empty() ? "" : " " + unit;
    throw InputError(std::string("assumption ") + name + " is " + shown(value) + of + "; accepted: " + shown(least) +
                     " to " + shown(most) + of);
  };
#define SHORTEDGE_ASSUMPTION(name, value, least, most, unit, says) check(#name, name, least, most, unit);
  SHORTEDGE_ASSUMPTIONS(SHORTEDGE_ASSUMPTION)
#undef SHORTEDGE_ASSUMPTION
}

}  // namespace shortedge
