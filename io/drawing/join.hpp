#pragma once
#include <string>
#include <vector>

#include "io/drawing/drawing.hpp"

namespace ovolo::io {

/// A run of chains joined end to end, and what is wrong with it.
struct JoinedChain {
  std::vector<Segment> pieces;
  bool closed = false;
  Source at;
  std::string name;
  double widest_gap = 0;  ///< mm, of the gaps closed
  std::string flaw;       ///< empty, or a place where more than two ends meet
};

struct Joined {
  std::vector<JoinedChain> chains;  ///< in the order of their first pieces in the drawing
  int doubles = 0;                  ///< pieces drawn twice and taken once
};

/// Joins ends that lie within `tolerance` mm of each other, the nearest first; pieces may be turned round.
/// Gaps are closed by moving ends, never by more than the tolerance.
Joined join_chains(std::vector<DrawnChain> chains, double tolerance);

}  // namespace ovolo::io
