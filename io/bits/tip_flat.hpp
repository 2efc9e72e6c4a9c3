#pragma once
#include "sim/job.hpp"

namespace ovolo::io {

/// Across a bit's level tip, mm, without a level step at the foot that belongs to its form (a fillet).
double tip_flat(const Bit& bit);

}  // namespace ovolo::io
