#pragma once
#include "sim/measure/section.hpp"
#include "sim/path/plan.hpp"
#include "sim/shop/curve_marks.hpp"

namespace ovolo {

/// Marks along the moulded surface of a finished section: from the wall up to the first untouched face, each
/// piece by the feed, spindle and flutes of the move that left it and the bit's distance from that move's
/// path. The spindle turns clockwise seen from above, so a surface to the left of the travel was cut
/// conventionally. Level pieces and cleared areas have no marks of this kind. `runout` in mm (total indicator
/// reading); bands as for curve_marks.
CurveMarks section_marks(const Job& job, const Plan& plan, const Section& section, const SectionLine& line,
                         double runout, int bands = 4);

}  // namespace ovolo
