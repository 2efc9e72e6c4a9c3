#pragma once
#include <string_view>

#include "io/drawing/chain_builder.hpp"

namespace ovolo::io {

/// Draws the path data of SVG 2 (its section 9.3, all commands) into the builder. Unlike a browser, which
/// draws up to the first mistake, it throws ScanError there.
void draw_path_data(std::string_view data, ChainBuilder& out);

/// The elliptical arc of path data, from endpoints to centre (SVG 2, appendix B.2.4); angle in radians. Radii
/// too small for the ends are scaled up. The ends must differ and the radii be positive.
EllipseArc arc_through(Vec2 from, double rx, double ry, double angle, bool large, bool left, Vec2 to);

}  // namespace ovolo::io
