#include "base/rules.hpp"

#include <cmath>
#include <string>

#include "base/error.hpp"

namespace shortedge {

void Rules::validate() const {
  auto check = [](const char* name, double value, const char* unit, bool zero_allowed) {
    if (std::isfinite(value) && (value > 0 || (zero_allowed && value == 0))) return;
    throw InputError(std::string("rule ") + name + " is " + shown(value) + (*unit ? std::string(" ") + unit : "") +
                     "; it must be finite and " + (zero_allowed ? "not negative" : "greater than 0"));
  };
#define SHORTEDGE_RULE(name, value, unit, zero, says) check(#name, name, unit, zero);
  SHORTEDGE_RULES(SHORTEDGE_RULE)
#undef SHORTEDGE_RULE
}

}  // namespace shortedge
