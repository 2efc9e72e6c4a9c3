#include "sim/carve/exact_kernel.hpp"

#include <algorithm>

#include "sim/stock/heightfield.hpp"

namespace ovolo {

std::int64_t carve_exactly(const TileView& tile, const Move& move, const Profile& profile) {
  constexpr int kTile = Heightfield::kTile, kBlock = 8;
  const double half = 0.5 * (kBlock - 1) * tile.cell;
  const double reach = profile.cutting_radius() + std::hypot(half, half);
  const std::vector<Region> no_regions;
  std::int64_t looked_at = 0;
  for (int bj = 0; bj < kTile; bj += kBlock) {
    for (int bi = 0; bi < kTile; bi += kBlock) {
      const Vec2 corner =
          tile.first_centre + tile.cell * Vec2{static_cast<double>(bi), static_cast<double>(bj)};
      if (move.path.distance(corner + Vec2{half, half}) > reach) continue;
      looked_at += kBlock * kBlock;
      for (int j = 0; j < kBlock; ++j) {
        for (int i = 0; i < kBlock; ++i) {
          const Vec2 p = corner + tile.cell * Vec2{static_cast<double>(i), static_cast<double>(j)};
          const double z = swept_height(move, profile, no_regions, p);
          float& height = tile.heights[(bj + j) * kTile + bi + i];
          height = std::min(height, static_cast<float>(z));
        }
      }
    }
  }
  return looked_at;
}

}  // namespace ovolo
