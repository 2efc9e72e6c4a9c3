#include "render/camera.hpp"

namespace ovolo::render {

Camera::Camera(Vec3 eye, Vec3 target, double field, int width, int height)
    : eye_(eye), forward_(normalized(target - eye)), centre_x_(width / 2.0), centre_y_(height / 2.0) {
  right_ = normalized(cross(forward_, {0, 0, 1}));
  up_ = cross(right_, forward_);
  focal_ = width / field * std::sqrt(dot(target - eye, target - eye));
}

Ray Camera::ray(double px, double py) const {
  return {eye_, normalized(focal_ * forward_ + (px - centre_x_) * right_ + (centre_y_ - py) * up_)};
}

Vec2 Camera::project(Vec3 p) const {
  const Vec3 d = p - eye_;
  const double s = focal_ / dot(d, forward_);
  return {centre_x_ + s * dot(d, right_), centre_y_ - s * dot(d, up_)};
}

}  // namespace ovolo::render
