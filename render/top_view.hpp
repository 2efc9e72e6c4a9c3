#pragma once
#include <string>
#include <vector>

#include "render/image.hpp"
#include "sim/job.hpp"
#include "sim/measure/edge.hpp"
#include "sim/stock/heightfield.hpp"

namespace ovolo::render {

/// A place on the sheet to point at.
struct TopMark {
  Vec2 at;            ///< on the sheet, mm
  std::string name;   ///< the operation's; shortened when it is long
  std::string value;  ///< "lip 1.380 mm (0.0543 in)"
  bool good = false;  ///< within the wishes
};

/// What a view from above shows. The references must outlive the call only.
struct TopView {
  const Heightfield& field;  ///< of the whole sheet
  const Stock& stock;
  std::vector<Contour> contours;
  std::vector<TopMark> marks;  ///< the most important first; those without room stay unlabelled
  std::string title;
  int width = 1600;  ///< px; the height follows from the sheet
  bool inch = false;  ///< inches first
};

/// The sheet from above: relief lit from the upper left, the layers' colours where they show, what is cut
/// through dark, contours drawn thinly, marks with labels that never overlap, the sheet's size in mm and
/// inch, a scale bar.
Image draw_top(const TopView& view);
/// Its contours, sizes and labels alone, as a transparent SVG drawing.
std::string top_drawing(const TopView& view);

/// Each contour of an edge operation at every place it is cut.
std::vector<Contour> edge_contours(const Job& job);
/// The worst place of each edge operation, the worst operations first.
std::vector<TopMark> worst_marks(const Job& job, const Measures& measures);

}  // namespace ovolo::render
