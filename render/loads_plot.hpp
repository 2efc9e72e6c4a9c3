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
  bool inch = false;           ///< inches on the left and first
};

/// The section removed, the cutting power and the tip's load along the way of every pass, 1200 px wide, as
/// an SVG document: each pass in its own line and dash, its largest values listed beside the plot. The
/// own unit on the left, the other on the right and below.
std::string draw_loads(const LoadsPlot& plot);

}  // namespace ovolo::render
