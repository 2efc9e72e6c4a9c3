#pragma once
#include <vector>

#include "sim/job.hpp"
#include "sim/path/move.hpp"
#include "sim/stock/surface.hpp"

namespace ovolo {

/// All moves of the job in the order they are made, with what they refer to. In plan they lie on the sheet as
/// seen from its top face, in every set-up; heights are those of the set-up, 0 on the face that is up (in
/// sheet heights -thickness - z when the sheet is turned over). Of a sheet that is not turned and no undercut
/// bits the finished surface is min(0, min over moves of z + f(dist) + delta(surface, p)) over all moves that
/// count but rapids.
struct Plan {
  std::vector<Move> moves;
  std::vector<Region> regions;
  std::vector<Surface> surfaces{Surface{}};  ///< [0] is the flat sheet
};

/// Works out every operation's moves: contour offsets with true arcs, passes, ramps, pockets, cut-outs, tabs.
/// Throws JobError (with the operation's index) when one cannot be made.
Plan make_plan(const Job& job);

}  // namespace ovolo
