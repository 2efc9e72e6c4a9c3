#pragma once
#include <cmath>

#include "sim/geometry/vec.hpp"

namespace ovolo::render {

/// A point or direction in space, mm.
struct Vec3 {
  double x = 0, y = 0, z = 0;
};

constexpr Vec3 operator+(Vec3 a, Vec3 b) { return {a.x + b.x, a.y + b.y, a.z + b.z}; }
constexpr Vec3 operator-(Vec3 a, Vec3 b) { return {a.x - b.x, a.y - b.y, a.z - b.z}; }
constexpr Vec3 operator-(Vec3 a) { return {-a.x, -a.y, -a.z}; }
constexpr Vec3 operator*(double s, Vec3 a) { return {s * a.x, s * a.y, s * a.z}; }
constexpr double dot(Vec3 a, Vec3 b) { return a.x * b.x + a.y * b.y + a.z * b.z; }
constexpr Vec3 cross(Vec3 a, Vec3 b) {
  return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
inline Vec3 normalized(Vec3 a) { return (1 / std::sqrt(dot(a, a))) * a; }

struct Ray {
  Vec3 origin;
  Vec3 direction;  ///< unit
  Vec3 at(double t) const { return origin + t * direction; }
};

}  // namespace ovolo::render
