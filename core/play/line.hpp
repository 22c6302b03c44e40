#pragma once
/// The line at the snap held against the list: a lineman who is missing from people, or stands elsewhere than listed.

#include <string>

#include "base/columns.hpp"
#include "play/play.hpp"

namespace shortedge {

struct LineLook {
  Line line = Line::whole;
  std::string says;  ///< in words; empty for a whole line
};

/// At the first frame. Few: fewer than five linemen are there; whoever they leave uncovered, another may be
/// charged. Moved: five, but from left to right they do not stand LT LG C RG RT; in a play whose linemen are named
/// by where they stand, a listed tackle stands next to the centre, or a listed guard at the end.
LineLook look_at_line(const Play& play, const Motion& motion);

}  // namespace shortedge
