#pragma once
#include <functional>

#include "sim/path/axis_path.hpp"
#include "sim/path/operations.hpp"

namespace ovolo {

/// A stretch of a closed path over which the tip stays at `z` or higher: [from, from + length), arc lengths,
/// mm.
struct Raised {
  double from, length;
  double z;
};

/// All passes of an operation along its paths. Closed paths: into each pass on a ramp of the operation's
/// length from the pass before (the first from the face), or straight down, then a full turn from the ramp's
/// end and on over the overlap; the next pass starts where that ends. Open paths: the ramp in, back to the
/// start at depth, then to the end; lifted between passes. A ramp longer than an open path is as long as the
/// path. With a lead-in and no ramp each pass comes down outside the part and in on the arc; an undercut bit
/// leaves on another. `away` is the
/// paths' distance from the contour.
void cut_passes(const OperationContext& context, Route& route, const std::vector<AxisPath>& paths,
                double away, const std::vector<Raised>& raised = {});

}  // namespace ovolo
