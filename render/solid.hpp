#pragma once
#include <cstdint>
#include <functional>
#include <memory>
#include <vector>

#include "render/vec3.hpp"
#include "sim/stock/heightfield.hpp"

namespace ovolo::render {

/// The frame of a close-up: origin on the contour (z the sheet's), x into the part, y along the edge away
/// from the viewer, z up; mm.
struct EdgeFrame {
  Vec2 origin;          ///< on the sheet
  Vec2 inward;          ///< unit, on the sheet
  bool turned = false;  ///< the sheet's lower face is up
  Vec2 away() const { return turned ? -perp(inward) : perp(inward); }
  Vec2 to_sheet(Vec2 p) const { return origin + p.x * inward + p.y * away(); }
  Vec2 to_frame(Vec2 p) const { return {dot(p - origin, inward), dot(p - origin, away())}; }
};

/// A block cut out of the finished sheet, for rays, in an edge's frame.
class CutBlock {
 public:
  enum class Face : unsigned char { none, top, wall, cut, bottom };
  struct Hit {
    double t = 0;
    Vec3 normal;
    Face face = Face::none;
  };
  virtual ~CutBlock() = default;
  /// The first face a ray meets; `Face::none` when there is none.
  virtual Hit hit(const Ray& ray) const = 0;
  virtual bool blocked(const Ray& ray) const = 0;
  /// How fine the surface is for rays that start on it, mm.
  virtual double cell() const = 0;
  virtual double bottom() const = 0;
};

/// A block cut out of the finished sheet, for rays: on top the heightfield, upright walls where the part
/// ends, flat faces where the block is cut out. All in an edge's frame.
class Solid : public CutBlock {
 public:
  /// Distance to the part's wall at a place on the sheet, mm, positive inside the part.
  using Inside = std::function<double(Vec2)>;

  /// The block over `window` (in the frame), down to `bottom` (z, mm). The field should
  /// cover it; beyond its edge the last heights go on.
  Solid(const Heightfield& field, const EdgeFrame& frame, const Box2& window, double bottom,
        const Inside& inside);

  Hit hit(const Ray& ray) const override;
  bool blocked(const Ray& ray) const override { return trace(ray, 2).face != Face::none; }
  /// Height of the surface at a place in the frame.
  double height(Vec2 p) const;
  double wall_distance(Vec2 p) const;
  double cell() const override { return cell_; }
  double bottom() const override { return bottom_; }
  double top() const { return top_; }

 private:
  void sample_walls(const EdgeFrame& frame, const Inside& inside);
  void sample_heights(const Heightfield& field, const EdgeFrame& frame);
  void build_pyramid();
  /// The block's own faces and the stretch of the ray that lies inside its box; false when it passes by.
  bool enter(const Ray& ray, double& t0, double& t1, Hit& out) const;
  /// As hit, without the normals of top and wall.
  /// `level`: how coarse the first look is; low for rays that start on the surface.
  Hit trace(const Ray& ray, int level) const;
  bool hit_patch(const Ray& ray, int i, int j, double t0, double t1, Hit& out) const;
  Vec3 top_normal(Vec2 p) const;
  Vec3 wall_normal(Vec2 p) const;
  float sample(int i, int j) const {
    return heights_[static_cast<std::size_t>(j) * static_cast<std::size_t>(nx_) +
                    static_cast<std::size_t>(i)];
  }

  Box2 window_;  ///< the block in plan
  Vec2 origin_;  ///< of the samples
  double cell_ = 0, bottom_ = 0, top_ = 0;
  int nx_ = 0, ny_ = 0;  ///< height samples; one patch less each way
  std::shared_ptr<float[]> heights_;
  double wall_step_ = 0;
  int wall_nx_ = 0, wall_ny_ = 0;
  std::vector<float> walls_;  ///< distance to the wall, positive inside
  struct Level {
    int nx = 0, ny = 0;
    /// Greatest height in a block of patches; far below everything where no part is.
    std::shared_ptr<float[]> most;
  };
  std::vector<Level> levels_;  ///< blocks of 2, 4, 8 ... patches a side
  int wall_nx8_ = 0;
  std::vector<std::uint8_t> near_wall_;  ///< for each block of 8 x 8 patches: the wall may run through it
};

}  // namespace ovolo::render
