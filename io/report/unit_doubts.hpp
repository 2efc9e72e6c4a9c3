#pragma once
#include <string>
#include <vector>

#include "sim/job.hpp"
#include "sim/measure/edge.hpp"

namespace ovolo::io {

/// Asks whether a bit's numbers are meant in the scene's unit, where they make a bit that nobody would chuck:
/// 4 in across and more out of bare inches, a moulding bit of less than 1.6 mm out of bare mm. Empty where
/// there is nothing to ask. (The limits are common practice, no published source.)
std::string unit_doubt(const Job& job, const Bit& bit);

/// The same of all bits that are used, and of the sheet: 4 in thick and more, or the size of a stamp in a
/// scene that does not say its units.
std::vector<Warning> unit_doubts(const Job& job);

}  // namespace ovolo::io
