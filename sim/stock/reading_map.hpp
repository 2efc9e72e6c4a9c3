#pragma once
#include <atomic>
#include <memory>
#include <mutex>
#include <vector>

#include "sim/stock/sheet_shape.hpp"

namespace ovolo {

/// The smoothest surface through readings at points: a thin-plate spline (Duchon 1977), which is exact at the
/// points and gives back a plane from readings of a plane.
class ThinPlate {
 public:
  /// Throws JobError on fewer than 3 readings, two at one place, or all on one line.
  explicit ThinPlate(const std::vector<SheetShape::Reading>& readings);
  double operator()(Vec2 p) const;
  std::size_t readings() const { return at_.size(); }

 private:
  std::vector<Vec2> at_;
  std::vector<double> weight_;
  Vec2 centre_;
  double unit_ = 1;
  double plane_[3] = {0, 0, 0};
};

/// A height map on a grid over the sheet, bilinear between its nodes and level beyond them. The nodes are
/// worked out tile by tile where they are first asked for; any thread may ask.
class ReadingMap {
 public:
  /// Sums `parts` at the nodes, the grid 1 mm wide, wider on sheets above 1 m or with many
  /// readings (at most 1024 nodes a side, at least 128).
  ReadingMap(std::vector<ThinPlate> parts, double width, double height);
  double operator()(Vec2 p) const;
  /// Least and greatest value in a box.
  void range(const Box2& box, double& lo, double& hi) const;

 private:
  static constexpr std::size_t kTile = 16;  // nodes along a tile's side
  struct Tile {
    std::atomic<bool> ready = false;
    std::once_flag once;
  };
  double at(std::size_t i, std::size_t k) const;
  void fill(std::size_t tile) const;

  std::vector<ThinPlate> parts_;
  std::size_t columns_ = 2, rows_ = 2, tiles_across_ = 1;
  double step_x_ = 1, step_y_ = 1;
  std::unique_ptr<Tile[]> tiles_;
  std::unique_ptr<double[]> node_;  // tile after tile
};

}  // namespace ovolo
