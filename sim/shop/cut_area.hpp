#pragma once
#include "sim/bit/profile.hpp"

namespace ovolo {

/// Area (mm^2) that a level pass of the bit at `depth` below a flat face cuts between the distances r0 and r1
/// from its axis on one side: the integral of max(0, depth - f(r)). 0 <= r0 <= r1; beyond the cutting radius
/// nothing is cut. Exact for lines and arcs.
double cut_area(const Profile& profile, double r0, double r1, double depth);

/// The side of the finished wall that a cut's section is taken on. The axis runs `offset` outside the wall.
struct CutSide {
  double offset = 0;   ///< mm, negative when the axis lies inside the part
  bool waste = false;  ///< count the waste beyond the wall too, as when the sheet is still whole
};

/// Area (mm^2) of the whole section that a level pass at `depth` removes from a flat sheet on that side. The
/// wall stands upright at u = 0; the kept side is u > 0.
double pass_area(const Profile& profile, const CutSide& side, double depth);

}  // namespace ovolo
