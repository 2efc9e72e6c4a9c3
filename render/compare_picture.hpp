#pragma once
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "render/canvas.hpp"
#include "render/image.hpp"
#include "sim/job.hpp"
#include "sim/measure/section.hpp"
#include "sim/shop/compare.hpp"

namespace ovolo::render {

/// One strategy's column. The references must outlive the call only.
struct ComparePanel {
  const Section& section;  ///< of the edge that is shown
  const Stock& stock;
  const WantedForm& wanted;
  const CurveMarks& marks;  ///< of that section
  std::string verdict;
  Image close_up;  ///< may be empty; laid in at the column's width
};

struct ComparePicture {
  std::string title;
  std::vector<ComparePanel> panels;  ///< as comparison.figures; those beyond the eighth are left out
  const StrategyComparison& comparison;
  int batch = 1;
  std::string currency;
  std::string note;  ///< what was guessed or assumed
  /// The drawing's SVG as its reader wants its words, such as inches first; none: as they are.
  std::function<std::string(std::string_view)> words = {};
};

/// Width to height of the space for a close-up.
inline constexpr double kCloseUpAspect = 1.7;

/// The picture's drawing, before the close-ups are laid in. px of the layout, which is some 1350 wide for
/// three strategies.
struct CompareDrawing {
  std::string svg;
  std::vector<PixelBox> close_ups;  ///< one for each panel drawn, empty when no panel has one
  double width = 0, height = 0;
};
CompareDrawing lay_out_compare(const ComparePicture& picture);

/// Strategies side by side: close-ups, sections with their feed marks enlarged, the marked surface along the
/// feed, bars of loads, marks, minutes and cost on common scales, and in words which is best for what and
/// why. `scale` pixels for each px of the layout.
Image draw_compare(const ComparePicture& picture, double scale = 1.5);

}  // namespace ovolo::render
