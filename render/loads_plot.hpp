#pragma once
#include <string>
#include <vector>

#include "sim/shop/load.hpp"

namespace ovolo::render {

/// What a plot of loads shows: the passes of one operation.
struct LoadsPlot {
  std::vector<PassLoad> passes;
  std::vector<double> depths;  ///< mm, of each; empty where not known
  std::string title;           ///< the operation's name
};

/// The section removed, the cutting power and the tip's index along the way of every pass, 1200 px wide, as
/// an SVG document: each pass in its own line and dash, its largest values listed beside the plot. mm and
/// mm^2 on the left, inch on the right and below.
std::string draw_loads(const LoadsPlot& plot);

}  // namespace ovolo::render
