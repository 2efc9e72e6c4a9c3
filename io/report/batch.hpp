#pragma once
#include <string>
#include <vector>

#include "sim/advise/batch.hpp"

namespace ovolo::io {

/// What a batch comes to, for people: shares within the wishes, how the measures spread, sanding, when to
/// look.
std::string batch_text(const Job& job, const BatchResult& batch);
/// The same for programs: lengths in mm, angles in degrees, shares from 0 to 1, hours.
std::string batch_json(const Job& job, const BatchResult& batch, const std::vector<std::string>& pictures);

}  // namespace ovolo::io
