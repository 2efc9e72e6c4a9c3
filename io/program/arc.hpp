#pragma once
#include "io/program/place.hpp"

namespace ovolo::io {

/// How far an arc's start and end may differ in their distance from its centre (NISTIR 6556): mm.
inline constexpr double kArcToleranceMm = 0.002;
inline constexpr double kArcToleranceInch = 0.0002 * 25.4;
inline constexpr double kSamePoint = 1e-9;    ///< mm; closer points are one
inline constexpr double kMaxArcRadius = 1e6;  ///< mm

/// A circular arc in its plane: sweep in radians, counter-clockwise positive, never 0, |sweep| <= 2 pi.
struct ArcShape {
  Vec2 centre;
  double radius = 0;
  double sweep = 0;
};

/// The turn from a to b about the centre in the given direction, in (0, 2 pi] or [-2 pi, 0); a whole turn
/// when a and b are one point.
double sweep_between(Vec2 a, Vec2 b, Vec2 centre, bool clockwise);

/// Centre form. Throws ProgramError when the end radii differ by more than the tolerance (mm) or are nothing.
ArcShape arc_about(Vec2 start, Vec2 end, Vec2 centre, bool clockwise, double tolerance, LineColumn at);

/// Radius form: up to half a turn for radius > 0, more for radius < 0. Throws ProgramError when the end is
/// the start or lies farther than a diameter off (beyond the tolerance).
ArcShape arc_with_radius(Vec2 start, Vec2 end, double radius, bool clockwise, double tolerance,
                         LineColumn at);

}  // namespace ovolo::io
