#include <algorithm>
#include <array>
#include <cmath>

#include "sim/carve/carve.hpp"
#include "sim/parallel.hpp"

namespace ovolo {
namespace {

constexpr int kTile = Heightfield::kTile;

// Parts of cells first .. first + kTile - 1 along one axis that lie on the sheet's [0, size].
std::array<double, kTile> overlaps(double origin, double cell, std::int64_t first, std::int64_t cells,
                                   double size) {
  std::array<double, kTile> part{};
  for (std::size_t k = 0; k < part.size() && first + static_cast<std::int64_t>(k) < cells; ++k) {
    const double lo = origin + static_cast<double>(first + static_cast<std::int64_t>(k)) * cell;
    const double on = std::min(lo + cell, size) - std::max(lo, 0.0);
    part[k] = on > cell * (1 - 1e-9) ? 1 : std::max(0.0, on / cell);
  }
  return part;
}

}  // namespace

RemovedVolume removed_volume(const Heightfield& field, const Stock& stock) {
  std::vector<double> bottoms;  // of the layers, mm below the face
  for (const Layer& layer : stock.layers)
    bottoms.push_back((bottoms.empty() ? 0 : bottoms.back()) + layer.thickness);
  const std::size_t layers = bottoms.size();
  std::vector<std::pair<std::int64_t, std::int64_t>> tiles;
  for (std::int64_t tj = 0; tj < field.tile_rows(); ++tj)
    for (std::int64_t ti = 0; ti < field.tile_columns(); ++ti)
      if (field.tile(ti, tj)) tiles.emplace_back(ti, tj);

  // Per tile and layer bottom: the sum over cells of the depth cut, no deeper than that bottom.
  std::vector<double> sums(tiles.size() * layers, 0);
  parallel_for(tiles.size(), [&](std::size_t k) {
    const auto [ti, tj] = tiles[k];
    const float* heights = field.tile(ti, tj);
    const auto x = overlaps(field.origin().x, field.cell(), ti * kTile, field.columns(), stock.width);
    const auto y = overlaps(field.origin().y, field.cell(), tj * kTile, field.rows(), stock.height);
    for (std::size_t layer = 0; layer < layers; ++layer) {
      const double bottom = bottoms[layer];
      double sum = 0;
      for (std::size_t j = 0; j < kTile; ++j) {
        constexpr std::size_t kLanes = 8;  // partial sums in a fixed order
        std::array<double, kLanes> lanes{};
        for (std::size_t i = 0; i < kTile; i += kLanes)
          for (std::size_t l = 0; l < kLanes; ++l)
            lanes[l] += x[i + l] * std::min(bottom, -static_cast<double>(heights[j * kTile + i + l]));
        double row = 0;
        for (const double lane : lanes) row += lane;
        sum += y[j] * row;
      }
      sums[k * layers + layer] = sum;
    }
  });

  RemovedVolume out;
  out.by_layer.assign(layers, 0);
  const double area = field.cell() * field.cell();
  double above = 0;
  for (std::size_t layer = 0; layer < layers; ++layer) {
    double sum = 0;
    for (std::size_t k = 0; k < tiles.size(); ++k) sum += sums[k * layers + layer];
    out.by_layer[layer] = area * (sum - above);
    above = sum;
  }
  out.total = area * above;
  return out;
}

}  // namespace ovolo
