#include "sim/stock/heightfield.hpp"

#include <stdexcept>

#include "sim/stock/pages.hpp"

namespace ovolo {
namespace {

constexpr std::size_t kTileCells = std::size_t{Heightfield::kTile} * Heightfield::kTile;

}  // namespace

Heightfield::Heightfield(Vec2 origin, double cell, std::int64_t columns, std::int64_t rows)
    : origin_(origin),
      cell_(cell),
      columns_(columns),
      rows_(rows),
      tile_columns_((columns + kTile - 1) / kTile),
      tile_rows_((rows + kTile - 1) / kTile) {
  if (!(cell > 0) || columns < 0 || rows < 0)
    throw std::invalid_argument("heightfield: the cell must be more than 0, columns and rows 0 or more");
}

Vec2 Heightfield::cell_centre(std::int64_t i, std::int64_t j) const {
  return {origin_.x + (static_cast<double>(i) + 0.5) * cell_,
          origin_.y + (static_cast<double>(j) + 0.5) * cell_};
}

std::size_t Heightfield::tiles_held() const { return held_; }

std::size_t Heightfield::bytes() const {
  return held_ * kTileCells * sizeof(float) + slot_.size() * sizeof(slot_[0]);
}

void Heightfield::hold(const std::vector<std::int64_t>& tiles) {
  slot_.assign(tiles.empty() ? 0 : static_cast<std::size_t>(tile_columns_ * tile_rows_), -1);
  std::int32_t next = 0;
  for (const std::int64_t t : tiles) slot_[static_cast<std::size_t>(t)] = next++;
  held_ = tiles.size();
  data_ = zeroed_pages<float>(held_ * kTileCells);
}

float* Heightfield::tile_for_write(std::int64_t ti, std::int64_t tj) {
  return const_cast<float*>(tile(ti, tj));
}

}  // namespace ovolo
