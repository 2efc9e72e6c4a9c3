#include "sim/carve/tile_carver.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "sim/parallel.hpp"
#include "sim/stock/heightfield.hpp"

namespace ovolo {
namespace {

constexpr int kTile = Heightfield::kTile;

// Lowers the cells inside the region to z. Returns the cells lowered.
std::int64_t fill_region(const TileView& tile, std::int64_t first_row, const RegionRows& rows, double z) {
  const float height = static_cast<float>(z);
  std::int64_t filled = 0;
  for (int j = 0; j < kTile; ++j) {
    const std::span<const double> x = rows.crossings(first_row + j);
    float* row = tile.heights + j * kTile;
    const auto column = [&](double at) {
      return static_cast<int>(
          std::clamp(std::ceil((at - tile.first_centre.x) / tile.cell), 0.0, double{kTile}));
    };
    for (std::size_t k = 0; k + 1 < x.size(); k += 2) {
      const int begin = column(x[k]), end = column(x[k + 1]);
      for (int i = begin; i < end; ++i) row[i] = std::min(row[i], height);
      filled += std::max(0, end - begin);
    }
  }
  return filled;
}

}  // namespace

TileCarver::TileCarver(const Job& job, const Plan& plan, const std::vector<Cut>& cuts, const Grid& grid,
                       bool simd)
    : job_(job),
      plan_(plan),
      cuts_(cuts),
      grid_(grid),
      simd_(simd),
      regions_(plan.regions.size()),
      fast_(job, cuts, grid.cell) {
  std::vector<char> used(plan.regions.size(), 0);
  for (const Cut& cut : cuts) {
    if (cut.move.region >= 0) used[static_cast<std::size_t>(cut.move.region)] = 1;
    if (!plan.surfaces[cut.move.surface].flat()) flat_ = false;
  }
  parallel_for(used.size(), [&](std::size_t r) {
    if (used[r]) regions_[r] = RegionRows(plan.regions[r], grid);
  });
}

// Lowers the tile by those of the cuts that are made on this state of the sheet, as if it were flat.
std::int64_t TileCarver::lower(TileView tile, std::int64_t tile_row, std::span<const std::uint32_t> cuts,
                               std::uint32_t surface) const {
  const double half = 0.5 * (kTile - 1) * grid_.cell, around = std::hypot(half, half);
  const Vec2 middle = tile.first_centre + Vec2{half, half};
  std::int64_t cells = 0;
  for (const std::uint32_t i : cuts) {
    const Move& move = cuts_[i].move;
    if (move.surface != surface) continue;
    const Profile& profile = job_.bits[move.bit].profile;
    const double low = std::min(move.z0, move.z1);
    // A cut that cannot come below the tile's highest cell does nothing: the deepest come first.
    if (cells > 0) {
      const double highest = static_cast<double>(highest_cell(tile.heights));
      if (low + profile.height(0) >= highest) continue;
      if (highest < 0 && move.region < 0 &&
          low + profile.height(std::max(0.0, move.path.distance(middle) - around)) >= highest)
        continue;
    }
    if (move.region >= 0)
      cells += fill_region(tile, tile_row * kTile, regions_[static_cast<std::size_t>(move.region)],
                           low + profile.height(0));
    else if (simd_)
      cells += fast_.lower(tile, i);
    else
      cells += carve_exactly(tile, move, profile);
    tile.next = nullptr;  // once is enough
  }
  return cells;
}

std::int64_t TileCarver::carve(float* heights, std::int64_t tile_column, std::int64_t tile_row,
                               std::span<const std::uint32_t> cuts, const float* next) const {
  TileView tile{heights, grid_.cell_centre(tile_column * kTile, tile_row * kTile), grid_.cell, next};
  if (flat_) return lower(tile, tile_row, cuts, cuts.empty() ? 0 : cuts_[cuts.front()].move.surface);
  // Each state of the sheet by itself: within it, all cuts lie off by the same amount at a place.
  std::vector<std::uint32_t> surfaces;
  for (const std::uint32_t i : cuts) surfaces.push_back(cuts_[i].move.surface);
  std::sort(surfaces.begin(), surfaces.end());
  surfaces.erase(std::unique(surfaces.begin(), surfaces.end()), surfaces.end());
  std::int64_t cells = 0;
  alignas(64) std::array<float, std::size_t{kTile} * kTile> alone;
  for (const std::uint32_t s : surfaces) {
    const Surface& surface = plan_.surfaces[s];
    alone.fill(std::numeric_limits<float>::infinity());
    tile.heights = alone.data();
    cells += lower(tile, tile_row, cuts, s);
    for (int j = 0; j < kTile; ++j) {
      for (int i = 0; i < kTile; ++i) {
        const std::size_t k = static_cast<std::size_t>(j * kTile + i);
        if (std::isinf(alone[k])) continue;
        const double delta =
            surface.flat() ? 0
                           : surface.delta(grid_.cell_centre(tile_column * kTile + i, tile_row * kTile + j));
        heights[k] = std::min(heights[k], static_cast<float>(static_cast<double>(alone[k]) + delta));
      }
    }
  }
  return cells;
}

}  // namespace ovolo
