#pragma once
#include "sim/path/plan.hpp"

namespace ovolo {

/// Gives every move the surface of the sheet as it lies when that move is made: the sheet's shape, and the
/// lifts that have begun by then. A flat sheet keeps surface 0 throughout. Throws JobError on readings that
/// make no surface.
void lay_on_sheet(const Job& job, Plan& plan);

}  // namespace ovolo
