#pragma once
#include <cstddef>
#include <cstdint>
#include <memory>
#include <vector>

#include "sim/geometry/vec.hpp"

namespace ovolo {

/// A sparse heightfield of the sheet's upper surface: square tiles of float heights (mm, <= 0, 0 the face),
/// held only where a bit has been. Cell (i, j) has its centre at (origin.x + (i + 0.5) cell, origin.y + (j +
/// 0.5) cell).
class Heightfield {
 public:
  static constexpr int kTile = 64;  ///< cells along a tile's side

  Heightfield() = default;
  /// A field of columns x rows cells with its lower left corner at `origin`; no tile is held yet.
  Heightfield(Vec2 origin, double cell, std::int64_t columns, std::int64_t rows);

  Vec2 origin() const { return origin_; }
  double cell() const { return cell_; }
  std::int64_t columns() const { return columns_; }
  std::int64_t rows() const { return rows_; }
  std::int64_t tile_columns() const { return tile_columns_; }
  std::int64_t tile_rows() const { return tile_rows_; }
  /// Height of a cell; 0 where no tile is held.
  float at(std::int64_t i, std::int64_t j) const {
    const float* heights = tile(i / kTile, j / kTile);
    return heights != nullptr ? heights[(j % kTile) * kTile + i % kTile] : 0;
  }
  Vec2 cell_centre(std::int64_t i, std::int64_t j) const;
  /// kTile * kTile heights, row by row; nullptr where no tile is held.
  const float* tile(std::int64_t ti, std::int64_t tj) const {
    if (slot_.empty()) return nullptr;
    const std::int32_t slot = slot_[static_cast<std::size_t>(tj * tile_columns_ + ti)];
    return slot < 0 ? nullptr : data_.get() + static_cast<std::size_t>(slot) * kTile * kTile;
  }
  std::size_t tiles_held() const;
  std::size_t bytes() const;

  // Filling in (the carve's side).
  /// Gives every listed tile (tj * tile_columns + ti, ascending) memory; their heights are 0. Copies of the
  /// field share it.
  void hold(const std::vector<std::int64_t>& tiles);
  float* tile_for_write(std::int64_t ti, std::int64_t tj);

 private:
  Vec2 origin_;
  double cell_ = 0;
  std::int64_t columns_ = 0, rows_ = 0, tile_columns_ = 0, tile_rows_ = 0;
  std::vector<std::int32_t> slot_;  // -1: no tile
  std::size_t held_ = 0;
  std::shared_ptr<float[]> data_;
};

}  // namespace ovolo
