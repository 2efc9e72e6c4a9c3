#pragma once
#include "sim/solid/part_wall.hpp"
#include "sim/stock/heightfield.hpp"

namespace ovolo {

/// Volume of the part that a carved heightfield holds, mm^3: what is left within the wall; where the sheet is
/// cut through there, only the pieces that the kept side of a contour belongs to. Along the wall cells count
/// in proportion. The same for any number of threads.
double part_volume(const Heightfield& field, const Stock& stock, const PartWall& wall);

}  // namespace ovolo
