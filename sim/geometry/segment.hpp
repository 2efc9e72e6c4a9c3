#pragma once
#include <vector>

#include "sim/geometry/vec.hpp"

namespace ovolo {

/// A directed straight line or circular arc, mm. An arc keeps its start angle and signed sweep (radians,
/// counter-clockwise positive, |sweep| <= 2 pi), so that full circles and long arcs are exact.
struct Segment {
  Vec2 a;             ///< start point
  Vec2 b;             ///< end point
  Vec2 centre;        ///< arcs only
  double radius = 0;  ///< 0 for a line
  double angle = 0;   ///< direction from the centre to a; arcs only
  double sweep = 0;   ///< signed angle from a to b about the centre; 0 for a line

  static Segment line(Vec2 a, Vec2 b);
  /// Arc about `centre` from angle `from` through the signed angle `sweep`.
  static Segment arc(Vec2 centre, double radius, double from, double sweep);
  /// Arc from a to b about `centre`, counter-clockwise when ccw. a == b gives the full circle. The radius is
  /// the mean of the two end radii; the ends a and b are kept to the bit.
  static Segment arc_between(Vec2 a, Vec2 b, Vec2 centre, bool ccw);
  /// Arc from a to b with bulge = tan(sweep / 4), as in DXF; one within 1e-9 mm of its chord gives a line.
  static Segment bulge(Vec2 a, Vec2 b, double bulge);

  bool is_arc() const { return radius > 0; }
  double length() const;
  /// Point at arc length s from the start, 0 <= s <= length().
  Vec2 point(double s) const;
  /// Unit tangent at arc length s, in the direction of travel.
  Vec2 tangent(double s) const;
  /// Signed curvature, 1/mm; positive when the path bends to the left.
  double curvature() const;
  /// Arc length of the point nearest to p.
  double nearest(Vec2 p) const;
  /// Distance from p to the nearest point.
  double distance(Vec2 p) const;
  Box2 box() const;
  Segment reversed() const;
  /// The part from arc length s0 to s1, s0 < s1.
  Segment part(double s0, double s1) const;
  /// The parallel curve at distance d to the left (negative: right). An arc whose radius would pass through
  /// zero gives radius 0: check with `offset_exists`.
  Segment offset_left(double d) const;
  bool offset_exists(double d) const;
};

/// Points where two segments meet (touching counts once), as arc lengths on each. Overlapping collinear or
/// co-circular pieces report the ends of the common part. Tolerance in mm.
struct Crossing {
  double s;  ///< on the first
  double t;  ///< on the second
};
std::vector<Crossing> crossings(const Segment& a, const Segment& b, double tolerance = 1e-9);

}  // namespace ovolo
