#pragma once
#include <array>
#include <vector>

#include "sim/path/move_index.hpp"
#include "sim/path/plan.hpp"

namespace ovolo {

/// One thing to carve: a move, with what is left to do at its ends.
struct Cut {
  /// What the bit's round leaves at an end of the path, at a and at b.
  struct End {
    bool open = true;  ///< false: another cut, no higher, passes here and leaves it too
    /// Where another cut ends here at an angle: the direction in which that one ends (unit). Only places
    /// beyond both ends are nearest to this point.
    bool shared = false;
    Vec2 other;
  };
  Move move;
  double reach = 0;  ///< how far the bit reaches from the path, mm; 0 for the inside of a region
  std::array<End, 2> ends;
};

/// What a carve of this part of the sheet has to do, the deepest first. A region stands for its inside alone,
/// accompanied by level moves along its boundary: together they are the region's sweep. Arcs turn by half a
/// turn at most, or by a whole one.
std::vector<Cut> collect_cuts(const Job& job, const Plan& plan, const MoveIndex& index, const Box2& part);

}  // namespace ovolo
