#pragma once
#include <vector>

#include "sim/geometry/segment.hpp"

namespace ovolo {

/// A rational Bezier curve of any degree >= 1; lengths in mm, weights > 0 (all 1 for the plain kind).
struct BezierCurve {
  std::vector<Vec2> points;
  std::vector<double> weights;  ///< empty: all 1
};

/// Part of an ellipse: centre + cos(t) u + sin(t) v, t from `from` through the signed `sweep` (radians, at
/// most 2 pi). u and v are any two conjugate half diameters, so an affine map of an ellipse is one again.
struct EllipseArc {
  Vec2 centre, u, v;
  double from = 0;
  double sweep = 0;
  Vec2 point(double t) const { return centre + std::cos(t) * u + std::sin(t) * v; }
};

/// A rational B-spline: knots.size() == points.size() + degree + 1, knots not falling, weights > 0 or empty.
struct SplineCurve {
  int degree = 3;
  std::vector<double> knots;
  std::vector<Vec2> points;
  std::vector<double> weights;
};

/// Lines and arcs that run within `tolerance` (mm, > 0) of the curve, join end to end to the bit, and follow
/// its direction at every joint (biarcs, Bolton 1975). Straight curves give one line, circular ones one arc.
/// The first and last points are the curve's own. Empty when the curve is a single point. Throws
/// std::invalid_argument on non-finite values, a malformed spline, or a curve too wild to follow in 100,000
/// pieces.
std::vector<Segment> fit_arcs(const BezierCurve& curve, double tolerance);
std::vector<Segment> fit_arcs(const EllipseArc& curve, double tolerance);
std::vector<Segment> fit_arcs(const SplineCurve& curve, double tolerance);

/// The Bezier pieces of a spline over its domain, by knot insertion (Boehm 1980). Throws as fit_arcs.
std::vector<BezierCurve> bezier_pieces(const SplineCurve& curve);

/// Joins neighbouring lines on one straight and neighbouring arcs on one circle where nothing moves by more
/// than `tolerance` (mm). Joints that turn back on themselves stay.
void merge_pieces(std::vector<Segment>& chain, double tolerance);

}  // namespace ovolo
