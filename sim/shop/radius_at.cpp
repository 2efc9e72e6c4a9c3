#include "sim/shop/radius_at.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace ovolo {
namespace {

/// Smallest r of the segment where it passes the height; infinity when it does not.
double segment_radius(const Segment& s, double height) {
  double least = std::numeric_limits<double>::infinity();
  if (!s.is_arc()) {
    const double lo = std::min(s.a.y, s.b.y), hi = std::max(s.a.y, s.b.y);
    if (height < lo || height > hi) return least;
    if (hi == lo) return std::min(s.a.x, s.b.x);
    return s.a.x + (height - s.a.y) / (s.b.y - s.a.y) * (s.b.x - s.a.x);
  }
  const double dh = height - s.centre.y;
  if (std::fabs(dh) > s.radius) return least;
  const double run = std::sqrt(s.radius * s.radius - dh * dh);
  for (const double x : {s.centre.x - run, s.centre.x + run}) {
    const Vec2 p{x, height};
    if (s.distance(p) < 1e-6) least = std::min(least, x);
  }
  return least;
}

}  // namespace

double radius_at(const Profile& profile, double height) {
  double least = std::numeric_limits<double>::infinity();
  for (const Segment& s : profile.chain()) {
    const bool tip = !s.is_arc() && s.a.y == s.b.y && s.a.x == 0;
    if (tip) {  // the tip's flat is as wide as its rim
      if (height == s.a.y) least = std::min(least, s.b.x);
      continue;
    }
    least = std::min(least, segment_radius(s, height));
  }
  return std::isfinite(least) ? least : profile.chain().back().b.x;
}

}  // namespace ovolo
