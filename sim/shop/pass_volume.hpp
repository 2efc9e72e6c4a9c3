#pragma once
#include <cstdint>
#include <vector>

#include "sim/path/move_index.hpp"
#include "sim/path/plan.hpp"

namespace ovolo {

struct PassVolumeOptions {
  double points = 40000;  ///< places looked at in a pass's footprint, about
};

/// mm^3 that each pass takes off the sheet: what stood before it and does not stand after it, ends, corners,
/// ramps and plunges included. `pass_of` gives every move's pass, numbered 0 to `passes` - 1 in the order
/// they are made; `index` must know all moves. Summed over a square lattice laid askew, so that edges along
/// X, Y or the diagonals fall on every part of its cells: within about 0.1 % of the volume, and the same for
/// any number of threads.
std::vector<double> pass_volumes(const Job& job, const Plan& plan, const MoveIndex& index,
                                 const std::vector<std::size_t>& pass_of, std::size_t passes,
                                 const PassVolumeOptions& options = {});

}  // namespace ovolo
