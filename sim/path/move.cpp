#include "sim/path/move.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "sim/path/climb.hpp"

namespace ovolo {
namespace {

// The move is turned so that it climbs from `low` (at z_low) over `length` mm by `slope` per mm. Going back
// from the foot of p the tip sinks while the distance grows, so the lowest place lies behind the foot; places
// ahead of it are higher and no nearer than their mirror images.
double climbing_line(const Move& move, const Profile& profile, double whole, Vec2 p) {
  const bool up = move.z1 > move.z0;
  const Vec2 low = up ? move.path.a : move.path.b, high = up ? move.path.b : move.path.a;
  const double z_low = std::min(move.z0, move.z1), z_high = std::max(move.z0, move.z1);
  const double reach = profile.cutting_radius();
  const Vec2 along = (high - low) / whole;
  const double foot = dot(along, p - low);
  const double y = std::abs(cross(along, p - low));
  if (y > reach) return std::numeric_limits<double>::infinity();
  const double ends =
      std::min(z_low + profile.height(distance(p, low)), z_high + profile.height(distance(p, high)));
  const double w0 = std::max(0.0, foot - whole), w1 = std::min(foot, reach);
  if (!(w0 < w1)) return ends;
  const double slope = (z_high - z_low) / whole;
  return std::min(ends, z_low + slope * foot + lowest_behind(profile, Beside::line(y), slope, w0, w1).height);
}

double climbing_arc(const Move& move, const Profile& profile, double whole, Vec2 p) {
  const Segment& path = move.path;
  const bool up = move.z1 > move.z0;
  const double z_low = std::min(move.z0, move.z1), z_high = std::max(move.z0, move.z1);
  const double rho = distance(p, path.centre);
  if (std::abs(rho - path.radius) > profile.cutting_radius()) return std::numeric_limits<double>::infinity();
  const Vec2 low = up ? path.a : path.b, high = up ? path.b : path.a;
  const double ends =
      std::min(z_low + profile.height(distance(p, low)), z_high + profile.height(distance(p, high)));
  if (rho < 1e-12 * path.radius) return ends;  // every place is equally near: the low end
  // Angle of p's foot from the low end, in the climbing sense.
  const double from = up ? path.angle : path.angle + path.sweep;
  const double sense = (path.sweep > 0) == up ? 1 : -1;
  constexpr double kTurn = 2 * std::numbers::pi;
  double angle = sense * (angle_of(p - path.centre) - from);
  angle -= kTurn * std::floor(angle / kTurn);
  const double foot = path.radius * angle;
  const double w0 = std::max(0.0, foot - whole), w1 = std::min(foot, path.radius * std::numbers::pi);
  if (!(w0 < w1)) return ends;
  const double slope = (z_high - z_low) / whole;
  return std::min(
      ends, z_low + slope * foot + lowest_behind(profile, Beside::arc(rho, path.radius), slope, w0, w1).height);
}

}  // namespace

double Region::distance(Vec2 p) const {
  bool inside = false;
  double nearest = std::numeric_limits<double>::infinity();
  for (const Contour& loop : loops) {
    if (loop.contains(p)) inside = !inside;
    nearest = std::min(nearest, loop.nearest(p).distance);
  }
  return inside ? 0 : nearest;
}

Box2 Region::box() const {
  Box2 box;
  for (const Contour& loop : loops) box.add(loop.box());
  return box;
}

double swept_height(const Move& move, const Profile& profile, const std::vector<Region>& regions, Vec2 p) {
  if (move.region >= 0)
    return move.z0 + profile.height(regions[static_cast<std::size_t>(move.region)].distance(p));
  if (move.level()) return move.z0 + profile.height(move.path.distance(p));
  const double whole = move.path.length();
  if (!(whole > 0)) return std::min(move.z0, move.z1) + profile.height(distance(p, move.path.a));
  return move.path.is_arc() ? climbing_arc(move, profile, whole, p) : climbing_line(move, profile, whole, p);
}

}  // namespace ovolo
