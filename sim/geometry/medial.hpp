#pragma once
#include "sim/geometry/contour.hpp"

namespace ovolo {

/// How far one can go from a contour along its normal before another place of the contour is nearer: the
/// distance to the medial axis. The largest u <= limit (mm) such that no point of the contour lies nearer to
/// point + u normal than u - tolerance. Closed form per segment: the largest ball that touches the contour at
/// `point`. `tolerance` (mm, > 0) lets smooth joints that are a hair re-entrant pass. At most the radius of
/// an arc that curves round the normal at `point`. Never less than 0.
double medial_reach(const Contour& contour, Vec2 point, Vec2 unit_normal, double limit,
                    double tolerance = 1e-6);

}  // namespace ovolo
