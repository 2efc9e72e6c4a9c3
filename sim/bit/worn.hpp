#pragma once
#include "sim/bit/roundover.hpp"

namespace ovolo {

/// A point-cutting roundover after its tip has worn so that the working depth is `lost` mm less (negative:
/// more, up to a full point): the arcs and their place stay, the tip flat grows.
Roundover worn(const Roundover& bit, double lost);

}  // namespace ovolo
