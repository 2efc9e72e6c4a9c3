#pragma once
#include <cstddef>

#include "sim/job.hpp"

namespace ovolo::io {

/// Whether some operation takes the bit; a bits file holds the whole drawer.
bool used(const Job& job, std::size_t bit);

}  // namespace ovolo::io
