#include "sim/geometry/medial.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace ovolo {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();

// Radius at which a ball that grows from p along n (always touching p) meets q.
double reach_to_point(Vec2 p, Vec2 n, Vec2 q) {
  const Vec2 w = q - p;
  const double ahead = dot(n, w);
  return ahead > 0 ? dot(w, w) / (2 * ahead) : kNever;
}

double reach_to_ends(Vec2 p, Vec2 n, const Segment& s) {
  return std::min(reach_to_point(p, n, s.a), reach_to_point(p, n, s.b));
}

// The same for the whole segment. Along a line or a circle the radius has one minimum, where the ball is
// tangent; when that point is not part of the segment the minimum is at an end.
double reach_to_line(Vec2 p, Vec2 n, const Segment& s) {
  const Vec2 along = s.tangent(0);
  Vec2 m = perp(along);
  double height = dot(m, p - s.a);
  if (height < 0) {
    m = -m;
    height = -height;
  }
  const double closing = 1 - dot(m, n);
  if (closing <= 0) return kNever;
  const double u = height / closing;
  const double foot = dot(p + u * n - s.a, along);
  return foot >= 0 && foot <= s.length() ? u : reach_to_ends(p, n, s);
}

double reach_to_arc(Vec2 p, Vec2 n, const Segment& s) {
  const Vec2 w = s.centre - p;
  const double away = length(w);
  const double outside = (away - s.radius) * (away + s.radius);
  const double closing = outside >= 0 ? 2 * (dot(w, n) + s.radius) : 2 * (dot(w, n) - s.radius);
  if (outside >= 0 && closing <= 0) return kNever;
  const double u = outside / closing;
  const Vec2 ball = p + u * n;
  const Vec2 touch = s.point(s.nearest(ball));
  // The whole circle is met at distance u from the ball's centre; the arc only where it reaches that far
  // round.
  const bool reached = std::abs(std::abs(distance(ball, s.centre) - s.radius) - distance(ball, touch)) <=
                       1e-12 * (u + s.radius) + 1e-13;
  return reached ? u : reach_to_ends(p, n, s);
}

}  // namespace

double medial_reach(const Contour& contour, Vec2 point, Vec2 unit_normal, double limit, double tolerance) {
  // A ball smaller by the tolerance stays inside the one that touches: it starts that far off the contour.
  const Vec2 p = point + tolerance * unit_normal;
  double best = std::max(0.0, limit - tolerance);
  contour.tree().search(
      best,
      [&](const Box2& box) {
        // Boxes outside the ball found so far cannot shrink it: balls from p along n lie inside one another.
        return distance(box, p + best * unit_normal) <= best ? 0.0 : kNever;
      },
      [&](std::uint32_t i) {
        const Segment& s = contour.segments()[i];
        best =
            std::min(best, s.is_arc() ? reach_to_arc(p, unit_normal, s) : reach_to_line(p, unit_normal, s));
        // On an arc the centre is the end, however short the arc.
        if (s.is_arc() && dot(s.centre - point, unit_normal) > 0 && s.distance(point) <= tolerance)
          best = std::min(best, std::max(0.0, s.radius - tolerance));
        return best;
      });
  return std::min(limit, best + tolerance);
}

}  // namespace ovolo
