#include <algorithm>
#include <cmath>

#include "sim/geometry/segment.hpp"

namespace ovolo {
namespace {

constexpr double kFar = 1e4;  // radius, mm

// Gathers meeting points of two segments; one place counts once.
struct Meetings {
  const Segment& a;
  const Segment& b;
  double tolerance;
  std::vector<Crossing> found;
  std::vector<Vec2> places;

  // p lies on both curves before they are cut to length; keep it when both segments reach it.
  void offer(Vec2 p) {
    double s = a.nearest(p);
    double t = b.nearest(p);
    if (std::max(a.radius, b.radius) > kFar) polish(s, t, p);
    if (distance(a.point(s), p) > tolerance || distance(b.point(t), p) > tolerance) return;
    add(s, t, p);
  }
  // A far centre places the crossing badly; Newton's steps from point and tangent, which are exact, mend
  // that.
  void polish(double& s, double& t, Vec2& p) const {
    for (int step = 0; step < 3; ++step) {
      const Vec2 u = a.tangent(s);
      const Vec2 v = b.tangent(t);
      const double sine = cross(u, v);
      if (std::abs(sine) < 1e-9) return;
      const Vec2 gap = b.point(t) - a.point(s);
      s = std::clamp(s + cross(gap, v) / sine, 0.0, a.length());
      t = std::clamp(t + cross(gap, u) / sine, 0.0, b.length());
      p = a.point(s);
    }
  }
  // An end of one segment that lies on the other is a meeting however steep or flat they cross.
  void offer_ends() {
    for (const bool end : {false, true}) {
      const Vec2 pa = end ? a.b : a.a;
      if (b.distance(pa) <= tolerance) add(end ? a.length() : 0, b.nearest(pa), pa);
      const Vec2 pb = end ? b.b : b.a;
      if (a.distance(pb) <= tolerance) add(a.nearest(pb), end ? b.length() : 0, pb);
    }
  }
  void add(double s, double t, Vec2 p) {
    for (const Vec2 place : places)
      if (distance(place, p) <= 4 * tolerance) return;
    found.push_back({s, t});
    places.push_back(p);
  }
};

void line_line(const Segment& a, const Segment& b, Meetings& meet) {
  const double la = a.length();
  const double lb = b.length();
  if (la == 0 || lb == 0) return;
  const Vec2 u = (a.b - a.a) / la;
  const Vec2 v = (b.b - b.a) / lb;
  const double sine = cross(u, v);
  // Lines that part by less than the tolerance over the shorter one are parallel: their ends tell everything.
  if (std::abs(sine) * std::min(la, lb) <= meet.tolerance) return;
  const Vec2 w = b.a - a.a;
  const double s = cross(w, v) / sine;
  const double t = cross(w, u) / sine;
  const double slack = meet.tolerance;
  if (s < -slack || s > la + slack || t < -slack || t > lb + slack) return;
  meet.add(std::clamp(s, 0.0, la), std::clamp(t, 0.0, lb), a.a + std::clamp(s, 0.0, la) * u);
}

void line_arc(const Segment& line, const Segment& arc, Meetings& meet) {
  const double whole = line.length();
  if (whole == 0) return;
  const Vec2 u = (line.b - line.a) / whole;
  const Vec2 w = line.a - arc.centre;
  const Vec2 foot = w - dot(w, u) * u;
  const double away = std::abs(cross(u, w));
  if (away > arc.radius + meet.tolerance) return;
  if (away >= arc.radius - meet.tolerance) {
    meet.offer(arc.centre + foot);
    return;
  }
  const double half = std::sqrt((arc.radius - away) * (arc.radius + away));
  meet.offer(arc.centre + foot - half * u);
  meet.offer(arc.centre + foot + half * u);
}

void arc_arc(const Segment& a, const Segment& b, Meetings& meet) {
  const Vec2 between = b.centre - a.centre;
  const double d = length(between);
  const double sum = a.radius + b.radius;
  const double difference = a.radius - b.radius;
  const double tolerance = meet.tolerance;
  // Concentric: apart, or one circle, whose common part the ends tell.
  if (d <= tolerance || d > sum + tolerance || d < std::abs(difference) - tolerance) return;
  const Vec2 u = between / d;
  if (d >= sum - tolerance) {
    meet.offer(a.centre + (a.radius + 0.5 * (d - sum)) * u);
    return;
  }
  if (d <= std::abs(difference) + tolerance) {
    // Touching inside: the point lies beyond the smaller circle's centre, on the far side from the larger
    // one's.
    const double far = difference > 0 ? a.radius : -a.radius;
    meet.offer(a.centre + far * u);
    return;
  }
  const double along = 0.5 * (d + sum * difference / d);
  const double area = (sum + d) * (sum - d) * (d + difference) * (d - difference);
  const double across = std::sqrt(std::max(0.0, area)) / (2 * d);
  meet.offer(a.centre + along * u + across * perp(u));
  meet.offer(a.centre + along * u - across * perp(u));
}

}  // namespace

std::vector<Crossing> crossings(const Segment& a, const Segment& b, double tolerance) {
  Meetings meet{a, b, tolerance, {}, {}};
  meet.offer_ends();
  if (!a.is_arc() && !b.is_arc()) {
    line_line(a, b, meet);
  } else if (!a.is_arc()) {
    line_arc(a, b, meet);
  } else if (!b.is_arc()) {
    line_arc(b, a, meet);
  } else {
    arc_arc(a, b, meet);
  }
  std::sort(meet.found.begin(), meet.found.end(),
            [](const Crossing& x, const Crossing& y) { return x.s != y.s ? x.s < y.s : x.t < y.t; });
  return meet.found;
}

}  // namespace ovolo
