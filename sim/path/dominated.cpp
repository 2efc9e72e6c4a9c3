#include "sim/path/dominated.hpp"

#include <cmath>

namespace ovolo {
namespace {

bool same_circle(const Segment& a, const Segment& b) {
  return distance(a.centre, b.centre) < 1e-9 && std::abs(a.radius - b.radius) < 1e-9;
}

}  // namespace

bool dominated(const Move& inner, const Move& outer) {
  if (inner.region >= 0 || outer.region >= 0 || inner.bit != outer.bit || inner.surface != outer.surface ||
      inner.set_up != outer.set_up)
    return false;
  if (!outer.level() || std::fmin(inner.z0, inner.z1) < outer.z0) return false;
  const Segment &a = inner.path, &b = outer.path;
  if (a.length() > b.length() + 1e-9) return false;
  if (a.is_arc() != b.is_arc() || (a.is_arc() && !same_circle(a, b))) return false;
  return b.distance(a.a) < 1e-9 && b.distance(a.b) < 1e-9 && b.distance(a.point(a.length() / 2)) < 1e-9;
}

}  // namespace ovolo
