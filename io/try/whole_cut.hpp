#pragma once
#include <cstddef>
#include <cstdint>
#include <string>

#include "sim/job.hpp"

namespace ovolo::io {

/// Places of a contour that are looked at for a quick answer, some milliseconds of sections: fewer where they
/// fold.
std::size_t quick_places(const Job& job);

/// One edge of a job for which a straight cut by itself says little (undercut bits, turned sheets, a sheet
/// that is not flat): its section and measures as all the job's moves leave it, at the worst of
/// `quick_places` along the contour, and the verdict from those places. JSON, as the answer to "/cut" has it:
/// {"wanted", "pieces", "across" (the other wall of a slot, or null), "station", "folded", "both", "turned",
/// "verdict", "warnings"}. Throws JobError when the job cannot be planned.
std::string whole_cut_json(const Job& job, std::uint32_t operation);

}  // namespace ovolo::io
