#pragma once
#include <string>
#include <vector>

#include "sim/bit/profile.hpp"
#include "sim/geometry/contour.hpp"

namespace ovolo::io {

/// One line of a drawing to be written, mm; `name` becomes an SVG id or a DXF layer.
struct DrawnLine {
  std::vector<Segment> pieces;
  bool closed = false;
  std::string name;
};

DrawnLine line_of(const Contour& contour, const std::string& name);
/// The half profile from the axis at the tip round to the axis at the top, closed along the axis; x = r, y =
/// h.
DrawnLine line_of(const Profile& profile, const std::string& name);

/// SVG in mm, its page's lower left corner at the origin (or at the drawing's own corner where that lies
/// below or left of it, said in <desc>). Arcs are arcs, a lone full circle a <circle>.
std::string write_svg(const std::vector<DrawnLine>& lines);

/// ASCII DXF of the oldest kind in wide use (R12), units in the header: polylines with bulges, circles.
std::string write_dxf(const std::vector<DrawnLine>& lines);

}  // namespace ovolo::io
