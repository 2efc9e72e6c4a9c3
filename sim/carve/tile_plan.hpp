#pragma once
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "sim/carve/cuts.hpp"

namespace ovolo {

/// Where the cells lie: columns x rows of them on a raster through the sheet's corner, from the tile corner
/// at cell (first_column, first_row) of that raster. The same cell has the same centre, to the bit, in every
/// grid.
struct Grid {
  double cell = 0;
  std::int64_t first_column = 0, first_row = 0;
  std::int64_t columns = 0, rows = 0;
  Vec2 origin() const;
  Vec2 cell_centre(std::int64_t column, std::int64_t row) const;
  std::int64_t tile_columns() const;
  std::int64_t tile_rows() const;
};

/// Which tiles are cut, and by which cuts.
struct TilePlan {
  std::vector<std::int64_t> tiles;   ///< row * tile columns + column, ascending
  std::vector<std::uint64_t> first;  ///< tile k's cuts start at cuts[first[k]]; one more than the tiles
  std::vector<std::uint32_t> cuts;   ///< in the order given
  std::span<const std::uint32_t> cuts_of(std::size_t k) const {
    return {cuts.data() + first[k], cuts.data() + first[k + 1]};
  }
};

/// Assigns the cuts to the tiles whose cell centres they may touch. Empty when the lists would take more than
/// `limit` bytes.
std::optional<TilePlan> plan_tiles(const std::vector<Cut>& cuts, const std::vector<Region>& regions,
                                   const Grid& grid, std::size_t limit);

}  // namespace ovolo
