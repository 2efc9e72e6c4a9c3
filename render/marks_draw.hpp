#pragma once
#include "render/canvas.hpp"
#include "sim/measure/section.hpp"
#include "sim/shop/curve_marks.hpp"

namespace ovolo::render {

/// A section's outline from the wall's foot on, in true arcs, to u = `far`; `begin` starts a new path there.
void append_section(Path& path, const Section& section, const Map& map, double far, bool begin);
/// Height of the section at the wall.
double section_start(const Section& section);

/// Layers below the section's surface, the wall and the surface, inside `frame`; u from -1 mm to the frame's
/// right edge.
void draw_material(Canvas& canvas, const PixelBox& frame, const Section& section, const Stock& stock,
                   const Map& map);

/// The crests on the surface, `times` too tall but never over 1 mm.
void draw_crests(Canvas& canvas, const CurveMarks& marks, const Map& map, double times);

/// The surface along the feed where the marks are tallest: `travel` mm over the box's width, `rise` px for
/// each mm of height above a floor 18 px over the box's lower edge. Draws nothing where no place has marks.
void draw_feed_strip(Canvas& canvas, const PixelBox& box, const CurveMarks& marks, double travel,
                     double rise);

}  // namespace ovolo::render
