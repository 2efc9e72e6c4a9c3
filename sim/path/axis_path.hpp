#pragma once
#include <vector>

#include "sim/job.hpp"

namespace ovolo {

/// Whether the part lies to the left of the contour's own travel. Throws JobError when `keep` does not fit
/// the contour (inside and outside are of closed contours, left and right of open ones).
bool part_on_left(const Contour& contour, Keep keep, int operation);

/// The bit axis's path along one contour, with the way it is cut.
struct AxisPath {
  Contour contour;  ///< in the direction of travel
  double start;     ///< arc length on it where the pass begins, mm; 0 on an open one
  bool part_left;   ///< the part lies to the left of travel
};

/// The paths at distance `away` (mm; negative: into the part) from the contour on the side away from the
/// part; empty when there are none. Of an open contour they begin and end `overrun` mm beyond it. With the
/// spindle turning clockwise seen from above, climb has the part on the right of travel.
std::vector<AxisPath> axis_paths(const Contour& contour, const Operation& operation, int index, double away);

/// The greatest distance of the same sign as `too_far` (mm, rounded down to 0.01) at which there still is a
/// path.
double farthest_path(const Contour& contour, const Operation& operation, int index, double too_far);

/// How far p is off the part that lies on one side of a contour, mm; negative inside it. Beyond the ends of
/// an open contour there is no part.
double clearance(const Contour& contour, bool part_left, Vec2 p);

/// Quarter circle of the operation's lead_in radius from outside the part onto the path at its start, tangent
/// there. Throws JobError when it would come nearer to the part than `away`, as the path does.
Segment lead_in_arc(const Contour& contour, const Operation& operation, int index, const AxisPath& path,
                    double away);
/// The same circle on from arc length `from` of the path, away from the part again.
Segment lead_out_arc(const AxisPath& path, double radius, double from);

}  // namespace ovolo
