#pragma once
#include <optional>
#include <utility>
#include <vector>

#include "sim/job.hpp"
#include "sim/measure/edge.hpp"

namespace ovolo {

/// Stretches of z, from below up, along which the material of two folded sections that lie on either side of
/// one line hangs together at it.
std::vector<std::pair<double, double>> joined_at_line(const Section& own, const Section& across);

/// The sheet on the other side of a station's line, up to `reach` mm from it (> 0) or the sheet's border, at
/// u <= 0: the other wall of a slot that does not go through. `own` is the station's folded section. Nothing
/// where the two do not hang together at the line, or a section does not fold.
std::optional<Section> across_the_line(SectionMaker& maker, const Stock& stock, const Station& station,
                                       const Section& own, double reach);

}  // namespace ovolo
