#pragma once
#include <vector>

#include "sim/carve/tile_plan.hpp"
#include "sim/path/move_index.hpp"
#include "sim/path/plan.hpp"

namespace ovolo {

/// What a carve has to do: moves that cut within the grid, the deepest first. A region stands for its inside
/// alone, followed by level moves along its boundary: together they are the region's sweep.
struct Cuts {
  std::vector<Move> moves;
  std::vector<double> reach;  ///< how far each bit reaches from its path, mm
};

Cuts collect_cuts(const Job& job, const Plan& plan, const MoveIndex& index, const Grid& grid);

}  // namespace ovolo
