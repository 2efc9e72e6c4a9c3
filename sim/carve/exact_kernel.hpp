#pragma once
#include <cstdint>

#include "sim/bit/profile.hpp"
#include "sim/path/move.hpp"

namespace ovolo {

/// A tile being carved: 64 x 64 heights, row by row, and where the centre of its first cell lies. The memory
/// of the tile that comes next, if told, is asked for meanwhile.
struct TileView {
  float* heights = nullptr;
  Vec2 first_centre;
  double cell = 0;
  const float* next = nullptr;
};

/// Lowers the tile by one move, each cell in double by `swept_height`. Returns the cells looked at.
std::int64_t carve_exactly(const TileView& tile, const Move& move, const Profile& profile);

}  // namespace ovolo
