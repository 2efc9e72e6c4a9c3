#pragma once
#include <array>
#include <bitset>
#include <cstdint>
#include <vector>

namespace ovolo {

/// The pieces that the material makes within a tile of 8 x 8 x 8 voxels; voxel n stands at x = n >> 6,
/// y = n >> 3 & 7, z = n & 7. Voxels hang together through their faces.
struct TilePieces {
  static constexpr int kSide = 8, kVoxels = 512;
  using Material = std::bitset<kVoxels>;

  explicit TilePieces(const Material& in);

  std::array<std::int16_t, kVoxels> of;  ///< a voxel's piece, -1 outside the material
  /// For each piece where it reaches the tile's lower and upper face across x, y and z: bit 8 a + b, a and b
  /// the voxel's two other coordinates in their order.
  std::vector<std::array<std::uint64_t, 6>> faces;

  /// The piece beside a voxel outside the material, -1 when there is none.
  int beside(int n) const;
};

}  // namespace ovolo
