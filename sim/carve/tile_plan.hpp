#pragma once
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "sim/path/plan.hpp"

namespace ovolo {

/// Where the cells lie: columns x rows of them, the lower left corner of the first at `origin`.
struct Grid {
  Vec2 origin;
  double cell = 0;
  std::int64_t columns = 0, rows = 0;
  std::int64_t tile_columns() const;
  std::int64_t tile_rows() const;
};

/// Which tiles are cut, and by which moves.
struct TilePlan {
  std::vector<std::int64_t> tiles;   ///< row * tile columns + column, ascending
  std::vector<std::uint64_t> first;  ///< tile k's moves start at moves[first[k]]; one more than the tiles
  std::vector<std::uint32_t> moves;  ///< in the order given
  std::span<const std::uint32_t> moves_of(std::size_t k) const {
    return {moves.data() + first[k], moves.data() + first[k + 1]};
  }
};

/// Assigns the moves to the tiles whose cell centres they may touch. `reach[i]` is how far move i's bit
/// reaches from its path, mm; a move with a region counts for the region's inside alone. Empty when the lists
/// would take more than `limit` bytes.
std::optional<TilePlan> plan_tiles(const std::vector<Move>& moves, const std::vector<double>& reach,
                                   const std::vector<Region>& regions, const Grid& grid, std::size_t limit);

}  // namespace ovolo
