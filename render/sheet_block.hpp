#pragma once
#include <cstdint>
#include <vector>

#include "render/solid.hpp"
#include "sim/solid/finished_sheet.hpp"
#include "sim/stop.hpp"

namespace ovolo::render {

/// A block cut out of a finished sheet that no heightfield holds: rays find its surface by the sheet's own
/// function, helped on their way by a grid of distances. In an edge's frame.
class SheetBlock : public CutBlock {
 public:
  /// The block over `window` (in the frame). The sheet must outlive it; `stop` may end the making.
  SheetBlock(const FinishedSheet& sheet, const EdgeFrame& frame, const Box2& window,
             const StopCheck& stop = {});

  Hit hit(const Ray& ray) const override;
  bool blocked(const Ray& ray) const override;
  double cell() const override { return 0.3 * step_; }
  double bottom() const override { return sheet_.bottom(); }

 private:
  static constexpr int kTile = 8;  // samples along a tile's side, the last shared with the next
  void build(const StopCheck& stop);
  Point3 to_sheet(Vec3 p) const;
  Vec3 to_frame(Point3 n) const;
  std::size_t tile_at(Vec3 p) const;
  double exact(Vec3 p) const;
  /// Just within the material, where a ray enters it between `out` (outside) and `in` (inside, value `f_in`).
  double entry(const Ray& ray, double out, double in, double f_in) const;
  /// A step from p that passes no surface by more than the grid's error, and the distance it was taken from.
  double sample(Vec3 p) const;
  bool enter(const Ray& ray, double& t0, double& t1, Hit& out) const;

  const FinishedSheet& sheet_;
  EdgeFrame frame_;
  Box2 window_;
  Vec3 origin_;
  double step_ = 0;
  int nx_ = 0, ny_ = 0, nz_ = 0;  // tiles
  std::vector<FinishedSheet::Near> near_;
  std::vector<std::int32_t> first_;  // of a tile's samples; negative: -1 - tiles to the nearest mixed one
  std::vector<float> samples_;
};

}  // namespace ovolo::render
