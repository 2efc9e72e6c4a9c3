#pragma once
#include <string>

#include "sim/job.hpp"
#include "sim/measure/section.hpp"
#include "sim/shop/curve_marks.hpp"

namespace ovolo::render {

/// What a plot of feed marks shows. The references must outlive the call only.
struct MarksPlot {
  const Section& section;
  const Stock& stock;
  const CurveMarks& marks;  ///< of that section
  double feel = 0.010;      ///< mm, crests above it are felt
  std::string title;        ///< the operation's name
  std::string place;        ///< "at x 12.0, y 45.0"
  bool inch = false;        ///< inches on the left and below
};

/// Feed marks along a section, 1200 x 640 px, as an SVG document: the section with its crests enlarged, their
/// height and Ra along the curve by bands with the one nearest the tip called out, and the surface along the
/// feed where they are tallest.
std::string draw_marks(const MarksPlot& plot);

}  // namespace ovolo::render
