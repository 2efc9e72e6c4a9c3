#include "sim/measure/graph.hpp"

#include <algorithm>
#include <cmath>

namespace ovolo {
namespace {

double side_of(const Segment& s) { return (s.a.y + s.b.y) / 2 >= s.centre.y ? 1 : -1; }

// Angle about the arc's centre of its point at u, on the upper (side 1) or lower half.
double angle_at(const Segment& s, double side, double u) {
  return side * std::acos(std::clamp((u - s.centre.x) / s.radius, -1.0, 1.0));
}

Vec2 point_at_height(const Segment& s, double z) {
  if (!s.is_arc()) {
    const double t = (z - s.a.y) / (s.b.y - s.a.y);
    return {s.a.x + t * (s.b.x - s.a.x), z};
  }
  const double d = z - s.centre.y;
  const double run = std::sqrt(std::max(0.0, s.radius * s.radius - d * d));
  const double u = (s.a.x + s.b.x) / 2 >= s.centre.x ? s.centre.x + run : s.centre.x - run;
  return {std::clamp(u, std::min(s.a.x, s.b.x), std::max(s.a.x, s.b.x)), z};
}

}  // namespace

LengthIntegral length_integral(const Segment& s) {
  if (!s.is_arc()) {
    const double len = distance(s.a, s.b);
    return {len, len * (s.a.x + s.b.x) / 2};
  }
  const double len = std::abs(s.sweep) * s.radius;
  const double sign = s.sweep < 0 ? -1 : 1;
  const double turn = std::sin(s.angle + s.sweep) - std::sin(s.angle);
  return {len, s.centre.x * len + sign * s.radius * s.radius * turn};
}

AreaIntegral area_integral(const Segment& s, double u0, double u1) {
  if (!s.is_arc()) {
    const double slope = (s.b.y - s.a.y) / (s.b.x - s.a.x), base = s.a.y - slope * s.a.x;
    const double d1 = u1 - u0, d2 = (u1 * u1 - u0 * u0) / 2, d3 = (u1 * u1 * u1 - u0 * u0 * u0) / 3;
    return {base * d1 + slope * d2, base * d2 + slope * d3};
  }
  const double side = side_of(s), R = s.radius;
  const double p0 = angle_at(s, side, u0), p1 = angle_at(s, side, u1);
  const double s0 = std::sin(p0), s1 = std::sin(p1);
  // z = cz + R sin p and du = -R sin p dp on either half.
  const double area =
      s.centre.y * (u1 - u0) - R * R / 2 * ((p1 - p0) - (std::sin(2 * p1) - std::sin(2 * p0)) / 2);
  const double about_centre =
      -R * R * s.centre.y * (s1 * s1 - s0 * s0) / 2 - R * R * R * (s1 * s1 * s1 - s0 * s0 * s0) / 3;
  return {area, s.centre.x * area + about_centre};
}

double height_at(const Segment& s, double u) {
  if (!s.is_arc()) return s.b.x == s.a.x ? s.a.y : s.a.y + (s.b.y - s.a.y) * ((u - s.a.x) / (s.b.x - s.a.x));
  const double d = u - s.centre.x;
  return s.centre.y + side_of(s) * std::sqrt(std::max(0.0, s.radius * s.radius - d * d));
}

void part_between(const Segment& s, double lo, double hi, std::vector<Segment>& out) {
  const double bottom = std::min(s.a.y, s.b.y), top = std::max(s.a.y, s.b.y);
  if (bottom >= lo && top <= hi) {
    out.push_back(s);
    return;
  }
  if (top <= lo || bottom >= hi) return;
  const bool rising = s.a.y < s.b.y;
  Vec2 low = bottom < lo ? point_at_height(s, lo) : (rising ? s.a : s.b);
  Vec2 high = top > hi ? point_at_height(s, hi) : (rising ? s.b : s.a);
  if (!rising) std::swap(low, high);
  if (distance(low, high) < 1e-12) return;
  if (!s.is_arc()) {
    out.push_back(Segment::line(low, high));
    return;
  }
  Segment arc = Segment::arc_between(low, high, s.centre, s.sweep > 0);
  arc.radius = s.radius;
  out.push_back(arc);
}

}  // namespace ovolo
