#include "io/program/compensation.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numbers>

namespace ovolo::io {
namespace {

// A concave turn this small (radians) is the rounding of a tangent joint: the tool cuts r angle^2 / 2 too
// deep there, 6 um for a radius of 5 mm.
constexpr double kTangent = 0.05;

Vec2 turned(Vec2 v, double angle) {
  const Vec2 u = unit(angle);
  return {u.x * v.x - u.y * v.y, u.x * v.y + u.y * v.x};
}

}  // namespace

void CutterCompensation::start(Side side, double radius) {
  side_ = side;
  if (radius < 0) side_ = side == Side::left ? Side::right : Side::left;
  radius_ = std::abs(radius);
  programmed_.reset();
}

void CutterCompensation::turn_corner(Path& path, Vec2 normal, LineColumn at) const {
  if (radius_ == 0) return;
  const double turn = std::atan2(cross(normal_, normal), dot(normal_, normal));
  // On the left of the path, a turn to the right is convex. A turn right round counts as convex.
  const double concave = side_sign() * turn;
  if (concave > kTangent && std::numbers::pi - concave > 1e-9)
    throw ProgramError(
        at,
        "the path turns towards the tool here, where its circle cannot follow (a concave corner "
        "under G41 or G42): program the fillet that is wanted, with a radius above the tool's");
  if (concave > 0 && concave <= kTangent) return;
  if (std::abs(turn) < 1e-9) return;
  const double sweep = -side_sign() * std::abs(turn);
  path.add(*programmed_ + radius_ * normal, ArcShape{*programmed_, radius_, sweep});
}

CutterCompensation::Path CutterCompensation::line(Vec2 centre_now, Vec2 to, bool rapid, LineColumn at) {
  Path path;
  const Vec2 from = programmed(centre_now);
  const double length = distance(from, to);
  if (length <= kSamePoint) {
    path.add(centre_now);
    return path;
  }
  if (!programmed_) {
    if (length <= radius_)
      throw ProgramError(
          at, fmt::format("the first move after G41 or G42 is {:.4f} mm long, but the tool's radius is "
                          "{:.4f} mm: start farther away",
                          length, radius_));
    // The programmed line's end is reached with the tool touching the line drawn from it to the first circle.
    const Vec2 back = normalized(centre_now - to);
    normal_ = turned(back, -side_sign() * std::acos(radius_ / length));
  } else {
    const Vec2 normal = side_sign() * perp(normalized(to - from));
    if (!rapid) turn_corner(path, normal, at);
    normal_ = normal;
  }
  programmed_ = to;
  path.add(to + radius_ * normal_);
  return path;
}

CutterCompensation::Path CutterCompensation::arc(Vec2 centre_now, const ArcWords& words, double tolerance,
                                                 LineColumn at) {
  Path path;
  // The tool runs inside the arc when it is on the side of the centre.
  const bool inside = words.clockwise == (side_ == Side::right);
  const auto fits = [&](double radius) {
    if (inside && radius <= radius_)
      throw ProgramError(
          at, fmt::format("the tool's radius, {:.4f} mm, does not fit into this arc's, {:.4f} mm: take a "
                          "smaller tool or a larger arc",
                          radius_, radius));
    return inside ? radius - radius_ : radius + radius_;
  };
  if (!programmed_) {
    // Entry: an auxiliary arc about the centre through the end, which the tool touches from where it is.
    Vec2 centre;
    double reach = 0;
    if (words.centre) {
      centre = *words.centre;
      const double radius = distance(words.end, centre);
      reach = fits(radius);
      const double now = distance(centre_now, centre);
      if (std::abs(now - reach) > tolerance)
        throw ProgramError(
            at, fmt::format("the tool does not touch the entry arc's circle: its centre lies {:.4f} mm "
                            "from the arc's centre where {:.4f} mm would touch",
                            now, reach));
    } else {
      const double radius = std::abs(words.radius);
      reach = fits(radius);
      const double d = distance(centre_now, words.end);
      if (d > radius + reach + tolerance || d < std::abs(radius - reach) - tolerance || d <= kSamePoint)
        throw ProgramError(
            at,
            "no arc of this radius leads from the tool's circle to the end point: change R or the "
            "starting point");
      // Where the circle about the tool (reach) and the one about the end (radius) cross.
      const Vec2 along = normalized(words.end - centre_now);
      const double foot = (d * d + reach * reach - radius * radius) / (2 * d);
      const double rise = std::sqrt(std::max(0.0, reach * reach - foot * foot));
      const double side = words.clockwise == (words.radius < 0) ? 1 : -1;
      centre = centre_now + foot * along + side * rise * perp(along);
    }
    const Vec2 outward = normalized(words.end - centre);
    normal_ = inside ? -outward : outward;
    const Vec2 end = words.end + radius_ * normal_;
    path.add(end, ArcShape{centre, reach, sweep_between(centre_now, end, centre, words.clockwise)});
    programmed_ = words.end;
    return path;
  }
  const Vec2 from = *programmed_;
  const ArcShape shape = words.centre
                             ? arc_about(from, words.end, *words.centre, words.clockwise, tolerance, at)
                             : arc_with_radius(from, words.end, words.radius, words.clockwise, tolerance, at);
  const double reach = fits(shape.radius);
  const double sign = inside ? -1 : 1;
  const Vec2 normal = sign * normalized(from - shape.centre);
  turn_corner(path, normal, at);
  // Where a joint was taken as tangent the centre starts a little off the arc's own beginning.
  const Vec2 now = (path.count ? from + radius_ * normal : centre_now) - shape.centre;
  const Vec2 begin = from + radius_ * normal - shape.centre;
  const double sweep = shape.sweep + std::atan2(cross(now, begin), dot(now, begin));
  normal_ = sign * normalized(words.end - shape.centre);
  path.add(words.end + radius_ * normal_, ArcShape{shape.centre, reach, sweep});
  programmed_ = words.end;
  return path;
}

}  // namespace ovolo::io
