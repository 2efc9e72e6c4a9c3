#pragma once
#include <vector>

#include "sim/shop/cut_area.hpp"

namespace ovolo {

/// How a depth is shared between passes.
struct PassSplit {
  int count = 2;      ///< passes of equal removed section, 1 to 1000
  double finish = 0;  ///< mm of depth left for one more, light last pass; 0 for none
};

/// Rising depths (mm) of passes over one line: `count` passes that each remove the same section on the given
/// side, the last of them `finish` short of the depth, then, when finish > 0, one at the full depth. Each
/// depth is within 1e-9 mm of equal shares. Throws JobError when the count, the depth or the finish cannot
/// be, or when the bit cuts nothing on that side at the depth left for the equal passes.
std::vector<double> balanced_passes(const Profile& profile, const CutSide& side, double depth,
                                    const PassSplit& split);

/// Section (mm^2) that each pass of the list removes on that side of a flat sheet, in order.
std::vector<double> pass_areas(const Profile& profile, const CutSide& side,
                               const std::vector<double>& depths);

}  // namespace ovolo
