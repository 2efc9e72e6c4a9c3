#include "sim/geometry/segment.hpp"

#include <algorithm>
#include <numbers>

namespace ovolo {
namespace {

constexpr double kTurn = 2 * std::numbers::pi;

double sign(double v) { return v < 0 ? -1 : 1; }

// Beyond this radius (mm) the centre is so far away that differences are taken from the arc's start instead.
constexpr double kFar = 1e4;

// Is p within the arc's sweep as seen from the centre? Ends count.
bool in_sweep(const Segment& arc, Vec2 p) {
  const double turn = std::abs(arc.sweep);
  if (turn >= kTurn) return true;
  const Vec2 first = arc.sweep > 0 ? arc.a : arc.b;
  const Vec2 last = arc.sweep > 0 ? arc.b : arc.a;
  const Vec2 from = first - arc.centre;
  const Vec2 to = last - arc.centre;
  // Equal to cross(from, p - centre) and cross(p - centre, to), without the rounding of a far centre.
  const double after_first = cross(from, p - first);
  const double before_last = cross(p - last, to);
  if (turn <= std::numbers::pi) {
    // The bisector tells a narrow wedge from its mirror image behind the centre.
    return after_first >= 0 && before_last >= 0 && (turn > 3 || dot(p - arc.centre, from + to) >= 0);
  }
  const bool outside =
      before_last < 0 && after_first < 0 && (turn < kTurn - 3 || dot(p - arc.centre, from + to) > 0);
  return !outside;
}

// Angle from the arc's start to p about the centre, in the arc's own sense, in [0, 2 pi).
double angle_along(const Segment& arc, Vec2 p) {
  const Vec2 from = arc.a - arc.centre;
  double along = sign(arc.sweep) * std::atan2(cross(from, p - arc.a), dot(from, p - arc.centre));
  if (along < 0) along += kTurn;
  return along < kTurn ? along : 0;
}

// Distance of p from the whole circle, positive outside.
double height_over(const Segment& arc, Vec2 p) {
  const double away = ovolo::length(p - arc.centre);
  if (arc.radius < kFar) return away - arc.radius;
  const Vec2 w = p - arc.a;
  return (dot(w, w) + 2 * dot(w, arc.a - arc.centre)) / (away + arc.radius);
}

}  // namespace

Segment Segment::line(Vec2 a, Vec2 b) {
  Segment s;
  s.a = a;
  s.b = b;
  return s;
}

Segment Segment::arc(Vec2 centre, double radius, double from, double sweep) {
  Segment s;
  s.centre = centre;
  s.radius = radius;
  s.angle = from;
  s.sweep = sweep;
  s.a = centre + radius * unit(from);
  s.b = std::abs(sweep) >= kTurn ? s.a : centre + radius * unit(from + sweep);
  return s;
}

Segment Segment::arc_between(Vec2 a, Vec2 b, Vec2 centre, bool ccw) {
  Segment s;
  s.a = a;
  s.b = b;
  s.centre = centre;
  s.radius = 0.5 * (ovolo::distance(a, centre) + ovolo::distance(b, centre));
  s.angle = angle_of(a - centre);
  if (a == b) {
    s.sweep = ccw ? kTurn : -kTurn;
    return s;
  }
  // The turn from a to b, from the vectors themselves: exact where the arc is short.
  double turn = std::atan2(cross(a - centre, b - centre), dot(a - centre, b - centre));
  if (ccw && turn < 0) turn += kTurn;
  if (!ccw && turn > 0) turn -= kTurn;
  s.sweep = turn;
  return s;
}

Segment Segment::bulge(Vec2 a, Vec2 b, double bulge) {
  // An arc that rises over its chord by less than 1e-9 mm is the chord.
  if (a == b || std::abs(bulge) * ovolo::distance(a, b) < 2e-9) return line(a, b);
  // Centre: from the chord's middle along its left normal by chord * (1 - bulge^2) / (4 bulge).
  const Vec2 chord = b - a;
  Segment s;
  s.a = a;
  s.b = b;
  s.centre = 0.5 * (a + b) + (1 - bulge * bulge) / (4 * bulge) * perp(chord);
  s.radius = ovolo::length(chord) * (1 + bulge * bulge) / (4 * std::abs(bulge));
  s.angle = angle_of(a - s.centre);
  s.sweep = 4 * std::atan(bulge);
  return s;
}

double Segment::length() const { return is_arc() ? radius * std::abs(sweep) : ovolo::distance(a, b); }

Vec2 Segment::point(double s) const {
  const double whole = length();
  if (s <= 0) return a;
  if (s >= whole) return b;
  if (!is_arc()) return a + (s / whole) * (b - a);
  if (radius < kFar) return centre + radius * unit(angle + sign(sweep) * s / radius);
  const double half = 0.5 * sign(sweep) * s / radius;
  return a + 2 * radius * std::sin(half) * perp(unit(angle + half));
}

Vec2 Segment::tangent(double s) const {
  if (!is_arc()) return a == b ? Vec2{1, 0} : normalized(b - a);
  s = std::clamp(s, 0.0, length());
  return sign(sweep) * perp(unit(angle + sign(sweep) * s / radius));
}

double Segment::curvature() const { return is_arc() ? sign(sweep) / radius : 0; }

double Segment::nearest(Vec2 p) const {
  if (!is_arc()) {
    const double whole = length();
    if (whole == 0) return 0;
    return std::clamp(dot(p - a, b - a) / whole, 0.0, whole);
  }
  if (p == centre) return 0;
  if (in_sweep(*this, p)) return std::min(radius * angle_along(*this, p), length());
  return ovolo::distance(p, a) <= ovolo::distance(p, b) ? 0 : length();
}

double Segment::distance(Vec2 p) const {
  if (!is_arc()) {
    const Vec2 d = b - a;
    const double square = dot(d, d);
    const double along = dot(p - a, d);
    if (square == 0 || along <= 0) return ovolo::distance(p, a);
    if (along >= square) return ovolo::distance(p, b);
    return std::abs(cross(d, p - a)) / std::sqrt(square);
  }
  if (in_sweep(*this, p)) return std::abs(height_over(*this, p));
  return std::min(ovolo::distance(p, a), ovolo::distance(p, b));
}

Box2 Segment::box() const {
  Box2 box;
  box.add(a);
  box.add(b);
  if (is_arc()) {
    for (const Vec2 v : {Vec2{1, 0}, Vec2{0, 1}, Vec2{-1, 0}, Vec2{0, -1}})
      if (in_sweep(*this, centre + radius * v)) box.add(centre + radius * v);
  }
  return box;
}

Segment Segment::reversed() const {
  Segment s = *this;
  s.a = b;
  s.b = a;
  if (is_arc()) {
    s.angle = angle + sweep;
    s.sweep = -sweep;
  }
  return s;
}

Segment Segment::part(double s0, double s1) const {
  Segment s = *this;
  const double whole = length();
  s.a = point(s0);
  s.b = point(s1);
  if (is_arc()) {
    s0 = std::clamp(s0, 0.0, whole);
    s1 = std::clamp(s1, s0, whole);
    s.angle = angle + sign(sweep) * s0 / radius;
    s.sweep = s0 == 0 && s1 == whole ? sweep : sign(sweep) * (s1 - s0) / radius;
  }
  return s;
}

bool Segment::offset_exists(double d) const { return !is_arc() || radius - sign(sweep) * d > 0; }

Segment Segment::offset_left(double d) const {
  Segment s = *this;
  s.a = a + d * perp(tangent(0));
  s.b = b + d * perp(tangent(length()));
  if (is_arc()) {
    s.radius = std::max(0.0, radius - sign(sweep) * d);
    if (s.radius == 0) s.a = s.b = centre;
    if (std::abs(sweep) >= kTurn) s.b = s.a;
  }
  return s;
}

}  // namespace ovolo
