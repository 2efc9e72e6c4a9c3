#pragma once
#include <string>

#include "sim/advise/batch.hpp"

namespace ovolo::render {

/// What a picture of one edge operation over a batch shows. The references must outlive the call only.
struct BatchPlot {
  const Job& job;
  const BatchResult& batch;
  const BatchEdge& edge;
};

/// How lip, flat band, breaks and what shows of layers meant to be hidden spread over the parts: histograms
/// with the wish as a line and the share beyond it, 1200 px wide, as an SVG document.
std::string draw_batch(const BatchPlot& plot);

}  // namespace ovolo::render
