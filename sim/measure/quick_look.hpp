#pragma once
#include <cstdint>

#include "sim/measure/edge.hpp"

namespace ovolo {

/// One edge operation on the first copy of its contour, at `most` stations or fewer (> 0), each standing for
/// its neighbours: what a page answers with before the whole job has been measured. The warnings are of this
/// edge alone.
Measures quick_look(const Job& job, const Plan& plan, const MoveIndex& index, std::uint32_t operation,
                    std::size_t most);

}  // namespace ovolo
