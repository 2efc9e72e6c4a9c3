#pragma once
#include "sim/solid/finished_sheet.hpp"
#include "sim/stock/heightfield.hpp"
#include "sim/stop.hpp"

namespace ovolo {

/// What is seen of a finished sheet from above: the height of its highest place in every cell, to a tenth of
/// the cell. What lies below an overhang is hidden.
Heightfield seen_from_above(const FinishedSheet& sheet, double cell, const StopCheck& stop = {});

}  // namespace ovolo
