#pragma once
#include "sim/stock/heightfield.hpp"
#include "tests/support/slow_twin.hpp"

namespace ovolo::test {

/// How far the cell's height lies from what the moves, one by one, leave within `hair` mm of its centre:
/// beside an upright step the least error in place is a large one in height.
double cell_error(const Job& job, const Plan& plan, const Heightfield& field, std::int64_t i, std::int64_t j,
                  double hair = 2e-5);

/// The worst over all cells, or every `stride`-th.
double worst_cell(const Job& job, const Plan& plan, const Heightfield& field, double hair = 2e-5,
                  std::int64_t stride = 1);

}  // namespace ovolo::test
