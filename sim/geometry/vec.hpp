#pragma once
#include <cmath>

namespace ovolo {

/// A point or vector in a plane, mm. In plan (x, y); in a section (u, z); in a bit's half profile (r, h).
struct Vec2 {
  double x = 0;
  double y = 0;
  friend bool operator==(const Vec2&, const Vec2&) = default;
};

constexpr Vec2 operator+(Vec2 a, Vec2 b) { return {a.x + b.x, a.y + b.y}; }
constexpr Vec2 operator-(Vec2 a, Vec2 b) { return {a.x - b.x, a.y - b.y}; }
constexpr Vec2 operator-(Vec2 a) { return {-a.x, -a.y}; }
constexpr Vec2 operator*(double s, Vec2 a) { return {s * a.x, s * a.y}; }
constexpr Vec2 operator*(Vec2 a, double s) { return {s * a.x, s * a.y}; }
constexpr Vec2 operator/(Vec2 a, double s) { return {a.x / s, a.y / s}; }
constexpr double dot(Vec2 a, Vec2 b) { return a.x * b.x + a.y * b.y; }
/// z component of the cross product; positive when b lies to the left of a.
constexpr double cross(Vec2 a, Vec2 b) { return a.x * b.y - a.y * b.x; }
/// a turned by +90 degrees (to the left).
constexpr Vec2 perp(Vec2 a) { return {-a.y, a.x}; }
inline double length(Vec2 a) { return std::sqrt(dot(a, a)); }
inline double distance(Vec2 a, Vec2 b) { return length(a - b); }
inline double angle_of(Vec2 a) { return std::atan2(a.y, a.x); }
inline Vec2 unit(double angle) { return {std::cos(angle), std::sin(angle)}; }
/// a scaled to length 1; a must not be zero.
inline Vec2 normalized(Vec2 a) { return a / length(a); }

/// Axis-aligned box, mm. Empty until the first point is added.
struct Box2 {
  Vec2 lo{1e300, 1e300};
  Vec2 hi{-1e300, -1e300};
  bool empty() const { return lo.x > hi.x || lo.y > hi.y; }
  void add(Vec2 p) {
    lo = {std::fmin(lo.x, p.x), std::fmin(lo.y, p.y)};
    hi = {std::fmax(hi.x, p.x), std::fmax(hi.y, p.y)};
  }
  void add(const Box2& b) {
    if (b.empty()) return;
    add(b.lo);
    add(b.hi);
  }
  Box2 grown(double d) const { return {{lo.x - d, lo.y - d}, {hi.x + d, hi.y + d}}; }
  bool contains(Vec2 p) const { return p.x >= lo.x && p.x <= hi.x && p.y >= lo.y && p.y <= hi.y; }
  bool overlaps(const Box2& b) const {
    return lo.x <= b.hi.x && b.lo.x <= hi.x && lo.y <= b.hi.y && b.lo.y <= hi.y;
  }
};

}  // namespace ovolo
