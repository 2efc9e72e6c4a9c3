#pragma once
#include <string>
#include <vector>

#include "render/image.hpp"
#include "sim/job.hpp"
#include "sim/measure/section.hpp"
#include "sim/shop/compare.hpp"

namespace ovolo::render {

/// One strategy's column. The references must outlive the call only.
struct ComparePanel {
  const Section& section;   ///< of the edge that is shown
  const Stock& stock;
  const WantedForm& wanted;
  const CurveMarks& marks;  ///< of that section
  std::string verdict;
  Image close_up;           ///< may be empty; laid in at the column's width
};

struct ComparePicture {
  std::string title;
  std::vector<ComparePanel> panels;      ///< as comparison.figures; those beyond the eighth are left out
  const StrategyComparison& comparison;
  int batch = 1;
  std::string currency;
  std::string note;                      ///< what was guessed or assumed
};

/// Width to height of the space for a close-up.
inline constexpr double kCloseUpAspect = 1.5;

/// Strategies side by side: close-ups, sections with their feed marks enlarged, the marked surface along the feed, bars of
/// loads, marks, minutes and cost on common scales, and in words which is best for what and why. `scale` pixels for each
/// unit of the layout, which is some 1350 units wide for three strategies.
Image draw_compare(const ComparePicture& picture, double scale = 1.5);

}  // namespace ovolo::render
