#include "base/error.hpp"

#include <cstdio>

namespace shortedge {

std::string shown(double value) {
  char text[32];
  std::snprintf(text, sizeof text, "%g", value);
  return text;
}

}  // namespace shortedge
