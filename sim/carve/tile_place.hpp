#pragma once
#include <algorithm>
#include <cmath>

#include "sim/carve/cell_task.hpp"
#include "sim/carve/exact_kernel.hpp"
#include "sim/geometry/segment.hpp"
#include "sim/stock/heightfield.hpp"

namespace ovolo {

// A tile as the geometry sees it: the box around its cell centres.
class TilePlace {
 public:
  TilePlace(const TileView& tile, double cell)
      : heights(tile.heights),
        next(tile.next),
        cell_(cell),
        first(tile.first_centre),
        half{0.5 * (Heightfield::kTile - 1) * cell, 0.5 * (Heightfield::kTile - 1) * cell},
        middle(first + half) {}

  /// dot(direction, p - from) as a function of the cell.
  Linear linear(Vec2 direction, Vec2 from) const {
    return {static_cast<float>(dot(direction, first - from)), static_cast<float>(direction.x * cell_),
            static_cast<float>(direction.y * cell_)};
  }
  double spread(Vec2 direction) const { return half.x * (std::abs(direction.x) + std::abs(direction.y)); }
  /// Adds the limit dot(direction, p - from) >= 0 where part of the tile fails it; false when all of it does.
  template <class Limited>
  bool limit(Limited& task, Vec2 direction, Vec2 from) const {
    const double at_middle = dot(direction, middle - from), around = spread(direction);
    if (at_middle + around < -kBeyond) return false;
    if (at_middle - around < 0)
      task.within[static_cast<std::size_t>(task.limits++)] = linear(direction, from);
    return true;
  }
  void set_centre(CellTask& task, Vec2 centre) const {
    task.centre_x = static_cast<float>(centre.x - first.x);
    task.centre_y = static_cast<float>(centre.y - first.y);
  }

  /// The circle's path as the kernels take it.
  void set_circle(CellTask& task, const Segment& arc) const;
  /// Least and largest square of the distance of the tile's cells from p.
  void squares(Vec2 p, double& least, double& most) const {
    const Vec2 away{std::abs(middle.x - p.x), std::abs(middle.y - p.y)};
    const Vec2 near{std::max(0.0, away.x - half.x), std::max(0.0, away.y - half.y)};
    least = dot(near, near);
    most = dot(away + half, away + half);
  }
  /// Least and largest distance of the tile's cells from p.
  void distances(Vec2 p, double& least, double& most) const {
    squares(p, least, most);
    least = std::sqrt(least);
    most = std::sqrt(most);
  }

  float* heights;
  const float* next;

 private:
  static constexpr double kBeyond = 1e-4;  // mm, the kernels' own leniency and more
  double cell_;

 public:
  Vec2 first, half, middle;
};

}  // namespace ovolo
