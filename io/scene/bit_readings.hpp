#pragma once
#include "io/scene/table.hpp"
#include "sim/bit/roundover.hpp"
#include "sim/job.hpp"

namespace ovolo::io {

/// Reads the `readings` of a bit whose date is known: a list of { what, value, error, date, run }. Of each kind
/// the readings of the latest date count, their mean weighted by 1/error^2; a reading without a date of its
/// own has the bit's. They go into `out`, where a kind that the bit gives as a plain key too is a fault. All
/// are kept in the bit.
void read_bit_readings(Table& table, Bit& bit, RoundoverReadings& out);

}  // namespace ovolo::io
