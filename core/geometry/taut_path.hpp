#pragma once
/// The shortest way from a start to a goal clear of discs: a string pulled taut among them.
///
/// Such a string is made of segments that touch discs and of arcs on them, and turns the same way at both ends of an
/// arc (Lozano-Perez and Wesley's visibility graph, CACM 22, 1979, for round obstacles). So the search runs over
/// arrivals (disc, turn, the line it came by): from each, every line that leaves the disc further round in the same
/// turn, to another disc or to the goal, when neither the arc nor the line is cut by a disc. Concave corners where
/// discs overlap are never touched by a taut string, so they are no nodes. A grid or a sampled boundary was not used:
/// its error would not be 1e-9.
///
/// Most strings touch two discs at most, so discs are called up one at a time, and the answer stays exact:
/// 1. The straight line, when no disc cuts it.
/// 2. Else round the disc it cuts deepest, on the side where the sweep about its centre is below 180 degrees: the
///    shortest way clear of that disc. When it clears the others too it is the shortest of all, as further discs never
///    make a way shorter.
/// 3. Else, when the disc that cuts that way overlaps the first: as there is no gap between the two, every way
///    goes on one side of both, and on that side it is no shorter than the longer of the two discs' own ways. The
///    lesser of the two sides' bounds is one for all ways; when the way that gives it is clear, it is the shortest.
/// 4. Else A* over the discs called up so far, with the straight distance as bound. A line and its arc are tried for
///    cuts, by all discs, when they come up; a disc not yet called up that cuts one is called up then, and lines to it
///    are laid from every arrival already gone on from. It ends when nothing that could be shorter is left. Let R be
///    the shortest way clear of the discs called up by then; it is no longer than the true one, so all its lines have
///    come up. Had a disc cut one, that disc would have been called up and R would not be clear of it. So R is clear of
///    all discs, and is the true one.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "geometry/disc.hpp"

namespace shortedge {

struct TautPath {
  double length;              ///< infinity when the discs shut the way
  double bend;                ///< radians turned in all; NaN when the way is shut
  std::vector<Point> points;  ///< the way, arcs as short chords (at most 3 degrees); empty when it is shut
};

/// Each disc is shrunk to its distance from start or goal where that is less, so neither is ever inside one; discs of
/// radius under 1e-6 do not count. Two discs that touch leave a way between them. Coordinates must be finite.
/// Identities: reversing start and goal, mirroring and moving the plane leave the length as it is; it is never less
/// than the straight distance; another disc never makes it shorter.
TautPath taut_path(const Point& start, const Point& goal, std::span<const Disc> discs);

/// A stretch of a route: a straight line, or an arc on a disc.
struct Stretch {
  Point from, to;
  double length;  ///< yd, > 0
  Turn turn;      ///< 0 on a line; on an arc which way it goes round `disc`
  Disc disc;      ///< of an arc; of a line a disc of radius 0 at `from`
};

/// Where one is on a route, and the unit vector he goes in; zero on a route of no length.
struct RoutePoint {
  Point at, direction;
};

/// The taut path as one runs it: lines and arcs by turns, each beginning where the last one ended, without the pieces
/// of no length (a start on a rim begins with the arc).
struct Route {
  double length;                   ///< yd; infinity when the discs shut the way
  double bend;                     ///< radians turned in all; NaN when the way is shut
  std::vector<Stretch> stretches;  ///< none when the way is shut, or when start and goal are one point

  /// The point `ahead` yd along it: its start below 0, its end beyond its length. Of a route with stretches only.
  RoutePoint point(double ahead) const;
};

/// The same for many calls: keeps its memory, and allocates nothing once it has grown to the number of discs.
class TautSearch {
 public:
  struct String {
    Point start, goal;
    std::span<const Disc> discs;
  };
  /// The length of each of many strings: steps 1 to 3 for some strings at a time, side by side (geometry/lanes.hpp),
  /// the rest for one after another. `lengths` is as long as `strings`. A length does not depend on the strings beside
  /// it; it is taut_path's to 1e-12 yd.
  void lengths(std::span<const String> strings, std::span<double> lengths);
  /// The length of one, the same bits as among others.
  double length(const Point& start, const Point& goal, std::span<const Disc> discs);
  /// The whole route; it stands until the next call. A way with bends is none where it is not shorter than `limit`.
  const Route& route(const Point& start, const Point& goal, std::span<const Disc> discs, double limit = infinity);

 private:
  static constexpr std::uint32_t none = UINT32_MAX;          // no arrival: the way is shut, or the start
  static constexpr std::uint32_t straight = UINT32_MAX - 1;  // none needed

  struct Arrival {
    Point left, at;      // the line's ends
    double angle;        // turned on the disc before the line
    double travelled;    // to `at`
    std::uint32_t from;  // index of the arrival before; none from the start
    std::uint32_t body;  // what it arrives at
    Turn turn;           // to go round it
  };
  struct Candidate {
    double bound;  // travelled + straight distance to the goal
    std::uint32_t arrival;
  };
  struct Label {
    std::uint64_t search;  // it belongs to
    double travelled;      // least by that line so far
  };

  struct Unsettled {  // a string that steps 1 to 3 are not enough for, and the discs called up by then
    std::size_t string, first, second;
  };

  static void first_steps(std::span<const String> strings, std::span<double> lengths,
                          std::vector<Unsettled>& unsettled);
  Label& label(const Arrival& arrival);
  std::size_t body_before(const Arrival& arrival) const;
  std::size_t cutter_of_line(const Point& a, const Point& b, std::size_t touched_a, std::size_t touched_b) const;
  std::size_t cutter_of_arc(std::size_t body, const Point& at, const Point& left, double angle, Turn turn) const;
  std::size_t cutter_of(const Arrival& arrival) const;
  Arrival arrive(std::uint32_t from, std::size_t body, Turn turn) const;
  void lay_line(std::uint32_t from, std::size_t body, Turn turn);
  void lay_lines_to(std::size_t body);
  std::size_t call_up(std::size_t body);
  void accept(std::uint32_t index);
  bool round_one(std::size_t body, Turn turn);
  bool round_both();
  void round_many();
  void begin(const Point& start, const Point& goal, std::span<const Disc> discs);
  std::uint32_t search(const Point& start, const Point& goal, std::span<const Disc> discs, double limit);

  std::vector<Disc> bodies_;  // start, goal, the discs called up, the other discs that count
  std::size_t called_ = 0;    // bodies up to here take part in the search
  std::vector<Arrival> arrivals_;
  std::vector<Candidate> queue_;
  std::vector<std::uint32_t> gone_on_;  // arrivals from which lines are laid
  std::vector<Label> labels_;           // by line: body and turn it leaves, body and turn it meets
  std::uint64_t searches_ = 0;
  double best_ = 0;             // length of the shortest clear way so far
  std::uint32_t best_end_ = 0;  // its arrival at the goal
  Route route_;
  std::vector<Unsettled> unsettled_;
};

}  // namespace shortedge
