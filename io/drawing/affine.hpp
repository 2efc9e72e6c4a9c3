#pragma once
#include "sim/geometry/vec.hpp"

namespace ovolo::io {

/// x' = a x + c y + e, y' = b x + d y + f (the order of SVG's matrix()).
struct Affine {
  double a = 1, b = 0, c = 0, d = 1, e = 0, f = 0;

  Vec2 operator()(Vec2 p) const { return {a * p.x + c * p.y + e, b * p.x + d * p.y + f}; }
  /// A difference of two points: not shifted.
  Vec2 vector(Vec2 p) const { return {a * p.x + c * p.y, b * p.x + d * p.y}; }
  /// First `inner`, then this.
  Affine operator*(const Affine& inner) const {
    const Vec2 x = vector({inner.a, inner.b}), y = vector({inner.c, inner.d});
    const Vec2 o = (*this)({inner.e, inner.f});
    return {x.x, x.y, y.x, y.y, o.x, o.y};
  }

  static Affine translation(double x, double y) { return {1, 0, 0, 1, x, y}; }
  static Affine scaling(double x, double y) { return {x, 0, 0, y, 0, 0}; }
  static Affine rotation(double angle) {
    const double c = std::cos(angle), s = std::sin(angle);
    return {c, s, -s, c, 0, 0};
  }
};

}  // namespace ovolo::io
