#include "io/program/arc.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numbers>

namespace ovolo::io {
namespace {

constexpr double kTurn = 2 * std::numbers::pi;

void check_radius(double radius, LineColumn at) {
  if (radius < kSamePoint)
    throw ProgramError(at, "the arc's radius is zero: its centre must lie off its start");
  if (!(radius <= kMaxArcRadius))
    throw ProgramError(at, "the arc's radius is over 1 km: write a straight line");
}

}  // namespace

double sweep_between(Vec2 a, Vec2 b, Vec2 centre, bool clockwise) {
  if (distance(a, b) <= kSamePoint) return clockwise ? -kTurn : kTurn;
  const Vec2 from = a - centre, to = b - centre;
  const double turn = std::atan2(cross(from, to), dot(from, to));
  if (clockwise) return turn < 0 ? turn : turn - kTurn;
  return turn > 0 ? turn : turn + kTurn;
}

ArcShape arc_about(Vec2 start, Vec2 end, Vec2 centre, bool clockwise, double tolerance, LineColumn at) {
  const double r0 = distance(start, centre), r1 = distance(end, centre);
  check_radius(r0, at);
  if (std::abs(r0 - r1) > tolerance)
    throw ProgramError(
        at, fmt::format("the arc's start lies {:.4f} mm from its centre and its end {:.4f} mm: they may "
                        "differ by {:.4f} mm at most; correct the centre or the end point",
                        r0, r1, tolerance));
  return {centre, 0.5 * (r0 + r1), sweep_between(start, end, centre, clockwise)};
}

ArcShape arc_with_radius(Vec2 start, Vec2 end, double radius, bool clockwise, double tolerance,
                         LineColumn at) {
  const double chord = distance(start, end);
  if (chord <= kSamePoint)
    throw ProgramError(
        at, "an arc in radius form cannot end where it starts: write the centre (I and J) instead of R");
  double r = std::abs(radius);
  check_radius(r, at);
  const double half = 0.5 * chord;
  if (half > r + tolerance)
    throw ProgramError(
        at, fmt::format("radius {:.4f} mm is too small: the end lies {:.4f} mm away, so it must be "
                        "{:.4f} mm or more",
                        r, chord, half));
  r = std::max(r, half);
  const double rise = std::sqrt(std::max(0.0, r * r - half * half));
  // The centre of a counter-clockwise arc under half a turn lies to the left of the chord.
  const double side = clockwise == (radius < 0) ? 1 : -1;
  const Vec2 centre = 0.5 * (start + end) + side * rise * perp((end - start) / chord);
  double sweep = 2 * std::asin(std::min(1.0, half / r));
  if (radius < 0) sweep = kTurn - sweep;
  return {centre, r, clockwise ? -sweep : sweep};
}

}  // namespace ovolo::io
