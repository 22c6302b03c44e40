#pragma once
/// The shortest way from a start to a goal clear of discs: a string pulled taut among them.
///
/// Such a string is made of segments that touch discs and of arcs on them, and turns the same way at both ends of an
/// arc (Lozano-Perez and Wesley's visibility graph, CACM 22, 1979, for round obstacles). So the search runs over
/// arrivals (disc, turn, the line it came by): from each, every line that leaves the disc further round in the same
/// turn, to another disc or to the goal, when neither the arc nor the line is cut by a disc. A* with the straight
/// distance as bound; lines are tried for cuts only when they would improve an arrival. Concave corners where discs
/// overlap are never touched by a taut string, so they are no nodes. A grid or a sampled boundary was not used: its
/// error would not be 1e-9.

#include <cstddef>
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
/// Identities: reversing start and goal, mirroring and moving the plane leave the length as it is; it is never less than
/// the straight distance; another disc never makes it shorter.
TautPath taut_path(const Point& start, const Point& goal, std::span<const Disc> discs);

/// The same for many calls: keeps its memory, gives the length alone.
class TautSearch {
 public:
  double length(const Point& start, const Point& goal, std::span<const Disc> discs);

 private:
  static constexpr auto none = static_cast<std::size_t>(-1);       // no arrival: the way is shut, or the start
  static constexpr auto straight = static_cast<std::size_t>(-2);   // none needed
  friend TautPath taut_path(const Point& start, const Point& goal, std::span<const Disc> discs);

  struct Arrival {
    double travelled;  // to this point
    double bend;
    Point at;
    std::size_t from;  // index of the arrival before; none from the start
    bool done;
  };
  struct Candidate {
    double bound;  // travelled + straight distance to the goal
    std::size_t arrival;
  };

  std::size_t index(std::size_t body, Turn turn, std::size_t from_body, Turn from_turn) const;
  bool cut(const Point& a, const Point& b, std::size_t touched_a, std::size_t touched_b) const;
  bool cut(std::size_t body, const Point& arrival, double angle, Turn turn) const;
  void leave(std::size_t arrival, std::size_t body, Turn turn);
  std::size_t search(const Point& start, const Point& goal, std::span<const Disc> discs);

  std::vector<Disc> bodies_;  // start, goal, then the discs that count
  std::vector<Arrival> arrivals_;
  std::vector<Candidate> queue_;
};

}  // namespace shortedge
