#pragma once
#include <string>

#include "render/worst.hpp"
#include "sim/measure/edge.hpp"

namespace ovolo::render {

/// What a plot along the contour shows. The references must outlive the call only.
struct AlongPlot {
  const EdgeMeasures& edge;
  const Standard& standard;
  std::string title;  ///< the operation's name
  bool inch = false;  ///< inches on the left and first
};

/// Lip, flat band, face break (or arris) and wall break, and what shows of layers meant to be hidden, against
/// arc length along the contour, 1200 px wide, as an SVG document: the own unit on the left, the other on the
/// right, the wishes as lines, the worst places lettered and shown on a small plan of the contour, unreached
/// stretches and ends hatched.
std::string draw_along(const AlongPlot& plot);

}  // namespace ovolo::render
