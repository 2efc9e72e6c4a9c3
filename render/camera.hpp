#pragma once
#include "render/vec3.hpp"

namespace ovolo::render {

/// A perspective camera. Pixels count from the upper left corner, pixel (0, 0) reaching from 0 to 1.
class Camera {
 public:
  /// Looks from `eye` at `target` with Z upright; `field` mm wide at the target, over `width` px.
  Camera(Vec3 eye, Vec3 target, double field, int width, int height);
  Ray ray(double px, double py) const;
  /// Where a point in front of the camera appears.
  Vec2 project(Vec3 p) const;
  Vec3 eye() const { return eye_; }

 private:
  Vec3 eye_, forward_, right_, up_;
  double focal_, centre_x_, centre_y_;  // px
};

}  // namespace ovolo::render
