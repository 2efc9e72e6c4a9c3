#include "sim/shop/cut_area.hpp"

#include <algorithm>
#include <cmath>

namespace ovolo {
namespace {

// Largest r of the piece with f(r) <= depth; the piece holds the depth.
double reach_at(const Profile::Piece& p, double depth) {
  if (p.side == 0) return p.r0 + (depth - p.h0) / (p.h1 - p.h0) * (p.r1 - p.r0);
  const double dh = depth - p.curve.centre.y;
  const double run = std::sqrt(std::max(0.0, p.curve.radius * p.curve.radius - dh * dh));
  // On the way up an upper half runs left of the centre, a lower half right of it.
  return std::clamp(p.side > 0 ? p.curve.centre.x - run : p.curve.centre.x + run, p.r0, p.r1);
}

double integral_of_height(const Profile::Piece& p, double r0, double r1) {
  if (p.side == 0) return (p.height(r0) + p.height(r1)) / 2 * (r1 - r0);
  const double radius = p.curve.radius;
  const auto primitive = [&](double r) {
    const double x = std::clamp(r - p.curve.centre.x, -radius, radius);
    return (x * std::sqrt(radius * radius - x * x) + radius * radius * std::asin(x / radius)) / 2;
  };
  return p.curve.centre.y * (r1 - r0) + p.side * (primitive(r1) - primitive(r0));
}

}  // namespace

double cut_area(const Profile& profile, double r0, double r1, double depth) {
  double area = 0;
  for (const Profile::Piece& p : profile.pieces()) {
    if (p.h0 >= depth) break;
    const double lo = std::max(r0, p.r0);
    const double hi = std::min({r1, p.r1, p.h1 > depth ? reach_at(p, depth) : p.r1});
    if (hi > lo) area += depth * (hi - lo) - integral_of_height(p, lo, hi);
  }
  return area;
}

double pass_area(const Profile& profile, const CutSide& side, double depth) {
  const double all = cut_area(profile, 0, profile.cutting_radius(), depth);
  if (side.waste) return 2 * all;
  const double beyond = cut_area(profile, 0, std::fabs(side.offset), depth);
  return side.offset >= 0 ? all - beyond : all + beyond;
}

}  // namespace ovolo
