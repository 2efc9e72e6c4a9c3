#pragma once
#include <cstdint>
#include <span>
#include <vector>

#include "sim/carve/cuts.hpp"
#include "sim/carve/exact_kernel.hpp"
#include "sim/carve/fast_carver.hpp"
#include "sim/carve/region_rows.hpp"
#include "sim/carve/tile_plan.hpp"

namespace ovolo {

/// Carves one tile at a time. Thread-safe after construction; what it is given must outlive it.
class TileCarver {
 public:
  TileCarver(const Job& job, const Plan& plan, const std::vector<Cut>& cuts, const Grid& grid, bool simd);
  /// Lowers the tile's 64 x 64 heights (64-byte aligned) by these cuts. Returns the cells evaluated. The
  /// heights that are carved next, if told, are asked for from memory meanwhile.
  std::int64_t carve(float* heights, std::int64_t tile_column, std::int64_t tile_row,
                     std::span<const std::uint32_t> cuts, const float* next = nullptr) const;

 private:
  std::int64_t lower(TileView tile, std::int64_t tile_row, std::span<const std::uint32_t> cuts,
                     std::uint32_t surface) const;

  const Job& job_;
  const Plan& plan_;
  const std::vector<Cut>& cuts_;
  const Grid grid_;
  const bool simd_;
  bool flat_ = true;  // all cuts are made on a flat sheet
  std::vector<RegionRows> regions_;
  FastCarver fast_;
};

}  // namespace ovolo
