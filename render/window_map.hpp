#pragma once
#include <string>

#include "sim/advise/dial_map.hpp"

namespace ovolo::render {

/// What a map of depth against offset shows. The references must outlive the call only.
struct WindowMap {
  const DialMap& map;
  const DialedEdge& dialed;
  std::string title;  ///< the operation's name
  std::string bit;    ///< the bit's id
  bool inch = false;  ///< inches on the left and below
};

/// Depth (downwards) against offset (outwards to the right), 1200 px wide, as an SVG document: where each
/// wish breaks, as labelled regions; how likely an edge is within all wishes; the chosen setting with the
/// ellipses of one and two standard deviations; the scene's own setting; the own unit on the left and below,
/// the other on the right and above.
std::string draw_window_map(const WindowMap& plot);

}  // namespace ovolo::render
