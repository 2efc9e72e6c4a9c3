#pragma once
#include <optional>
#include <string>

#include "sim/job.hpp"
#include "sim/measure/edge.hpp"
#include "sim/measure/section.hpp"

namespace ovolo::render {

/// What a section plot shows. The references must outlive the call only.
struct SectionPlot {
  const Section& section;
  const SectionMeasures& measures;
  const Stock& stock;
  const WantedForm& wanted;
  std::string title;                ///< the operation's name
  std::string place;                ///< "worst place: 123.4 mm along the contour, at x 12.0, y 45.0"
  std::optional<Wishes> wishes;     ///< when given, the table shows each limit and what is beyond it
  const Section* across = nullptr;  ///< of `across_the_line`: drawn too, nullptr for none
  bool inch = false;                ///< inches first
};

/// The section to scale, 1200 x 860 px, as an SVG document: face, wall and layers, the cut with true arcs,
/// the wanted form dashed, gouge and excess as patterns, lip, band, foot depth and both breaks marked. A lip
/// or band too small to be seen is drawn again, magnified.
std::string draw_section(const SectionPlot& plot);

}  // namespace ovolo::render
