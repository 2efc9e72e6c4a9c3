#pragma once
#include "sim/path/plan.hpp"

namespace ovolo {

/// Throws JobError when an undercut bit goes straight up or down where it would tear away what its path
/// leaves standing: its widest part must be off the sheet there, clear of the part, or over a place that
/// earlier moves have opened as wide and as deep (looked at in 129 points under the bit). Moves as planned,
/// before a turned sheet's errors.
void check_undercut_moves(const Job& job, const Plan& plan);

}  // namespace ovolo
