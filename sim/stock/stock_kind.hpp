#pragma once
#include "sim/job.hpp"

namespace ovolo {

/// True when a heightfield cannot hold the finished sheet: an operation uses an undercut bit, or the sheet is
/// turned over. Such a job's sections are folded (Section::folded), its volumes and pictures come from a
/// voxel stock or are left out.
bool needs_voxels(const Job& job);

/// How often the sheet has been turned over before operation `index`.
std::uint32_t set_up_of(const Job& job, std::size_t index);

/// True when the sheet's lower face is up in this set-up.
constexpr bool turned_over(std::uint32_t set_up) { return set_up % 2 == 1; }

}  // namespace ovolo
