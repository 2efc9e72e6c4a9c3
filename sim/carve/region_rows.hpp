#pragma once
#include <cstdint>
#include <span>
#include <vector>

#include "sim/carve/tile_plan.hpp"
#include "sim/path/move.hpp"

namespace ovolo {

/// Where each row of cells enters and leaves a region: x of the boundary's crossings with the row's middle
/// line, ascending; inside lies between the first and the second, the third and the fourth, and so on.
class RegionRows {
 public:
  RegionRows() = default;
  RegionRows(const Region& region, const Grid& grid);
  std::span<const double> crossings(std::int64_t row) const;

 private:
  std::int64_t first_row_ = 0;
  std::vector<std::size_t> first_;
  std::vector<double> x_;
};

}  // namespace ovolo
