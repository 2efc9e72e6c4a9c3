#pragma once
#include <optional>
#include <string>
#include <vector>

#include "io/drawing/drawing.hpp"
#include "sim/bit/profile.hpp"

namespace ovolo::io {

/// A bit taken from a drawing.
struct DrawnProfile {
  Profile profile;
  std::vector<std::string> notes;  ///< where the axis and the tip were taken, what is undercut or hollow
};

/// The half profile in a drawing of a bit, its tip down and its axis upright. Drawn may be: one half, closed
/// along the axis or open from the tip on the axis upwards, to either side of it; or the whole silhouette,
/// whose halves must mirror each other within `choice.join`. `axis` is the axis' x in the drawing, mm;
/// without it the axis is the middle of a silhouette, the upright side of a closed half, or the tip's end of
/// an open one. A drawing that fits two of these is an error that asks for `axis`. Throws DrawingError.
DrawnProfile read_half_profile(const std::string& path, const DrawingChoice& choice,
                               std::optional<double> axis);
DrawnProfile half_profile(const DrawnContour& drawn, const DrawingChoice& choice, std::optional<double> axis);

}  // namespace ovolo::io
