#include "sim/geometry/contour.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace ovolo {
namespace {

constexpr double kGap = 1e-6;       // ends farther apart do not join
constexpr double kNoLength = 1e-9;  // shorter segments have no direction
constexpr double kTouching = 1e-9;  // a contour this near itself touches itself

bool finite(Vec2 p) { return std::isfinite(p.x) && std::isfinite(p.y); }

bool finite(const Segment& s) {
  return finite(s.a) && finite(s.b) && finite(s.centre) && std::isfinite(s.radius) &&
         std::isfinite(s.angle) && std::isfinite(s.sweep) && s.radius >= 0;
}

std::string at(Vec2 p) { return "(" + std::to_string(p.x) + ", " + std::to_string(p.y) + ")"; }

// Crossings of the ray from p toward +x with a piece that rises or falls from y0 to y1: +1, -1 or 0. Each
// piece owns its lower end, so that a ray through a joint counts once.
template <class Abscissa>
int ray_crossing(Vec2 p, double y0, double y1, Abscissa&& x_at) {
  if (y0 <= p.y && p.y < y1) return p.x < x_at(p.y) ? 1 : 0;
  if (y1 <= p.y && p.y < y0) return p.x < x_at(p.y) ? -1 : 0;
  return 0;
}

int winding(const Segment& s, Vec2 p) {
  if (!s.is_arc()) {
    return ray_crossing(p, s.a.y, s.b.y,
                        [&](double y) { return s.a.x + (s.b.x - s.a.x) * ((y - s.a.y) / (s.b.y - s.a.y)); });
  }
  // Cut at the top and the bottom of the circle: between them an arc lies on one side and rises or falls
  // throughout.
  constexpr double kHalf = std::numbers::pi;
  const double first = std::min(s.angle, s.angle + s.sweep);
  const double last = std::max(s.angle, s.angle + s.sweep);
  const double start_y = s.sweep > 0 ? s.a.y : s.b.y;
  const double end_y = s.sweep > 0 ? s.b.y : s.a.y;
  int sum = 0;
  double y0 = start_y;
  // Half turn k runs from k pi - pi/2 (the bottom for even k) to k pi + pi/2, on the right side for even k.
  for (double k = std::floor((first + 0.5 * kHalf) / kHalf);; ++k) {
    const bool right = std::fmod(k, 2) == 0;
    const bool ends = (k + 0.5) * kHalf >= last;
    const double y1 = ends ? end_y : s.centre.y + (right ? s.radius : -s.radius);
    sum += ray_crossing(p, y0, y1, [&](double y) {
      const double dy = y - s.centre.y;
      const double dx = std::sqrt(std::max(0.0, (s.radius - dy) * (s.radius + dy)));
      return right ? s.centre.x + dx : s.centre.x - dx;
    });
    if (ends) break;
    y0 = y1;
  }
  return s.sweep > 0 ? sum : -sum;
}

}  // namespace

Contour::Contour(std::vector<Segment> segments, bool closed) : closed_(closed) {
  for (const Segment& s : segments) {
    if (!finite(s)) throw std::invalid_argument("contour: a value is not finite; write plain numbers");
    if (s.length() > kNoLength) segments_.push_back(s);
  }
  if (segments_.empty())
    throw std::invalid_argument("contour: it has no length; give it at least one line or arc");
  const std::size_t n = segments_.size();
  for (std::size_t i = 0; i < (closed ? n : n - 1); ++i) {
    Segment& s = segments_[i];
    const Vec2 next = segments_[(i + 1) % n].a;
    const double gap = distance(s.b, next);
    if (gap > kGap)
      throw std::invalid_argument("contour: a gap of " + std::to_string(gap) + " mm between " + at(s.b) +
                                  " and " + at(next) + "; make the ends meet");
    s.b = next;
  }
  starts_.reserve(n + 1);
  starts_.push_back(0);
  std::vector<Box2> boxes;
  boxes.reserve(n);
  for (const Segment& s : segments_) {
    starts_.push_back(starts_.back() + s.length());
    boxes.push_back(s.box());
    box_.add(boxes.back());
  }
  tree_ = std::make_shared<BoxTree>(std::move(boxes));
}

Contour Contour::rectangle(Vec2 centre, Vec2 size, double corner_radius) {
  if (!(size.x > 0 && size.y > 0)) throw std::invalid_argument("rectangle: its size must be more than 0");
  if (!(corner_radius >= 0 && 2 * corner_radius <= std::min(size.x, size.y)))
    throw std::invalid_argument("rectangle: set corner_radius between 0 and " +
                                std::to_string(0.5 * std::min(size.x, size.y)));
  constexpr double kQuarter = 0.5 * std::numbers::pi;
  const double r = corner_radius;
  const Vec2 lo = centre - 0.5 * size;
  const Vec2 hi = centre + 0.5 * size;
  std::vector<Segment> sides;
  const auto corner = [&](Vec2 at_centre, double from, Vec2 a, Vec2 b) {
    if (r == 0) return;
    Segment s = Segment::arc(at_centre, r, from, kQuarter);
    s.a = a;
    s.b = b;
    sides.push_back(s);
  };
  sides.push_back(Segment::line({lo.x + r, lo.y}, {hi.x - r, lo.y}));
  corner({hi.x - r, lo.y + r}, -kQuarter, {hi.x - r, lo.y}, {hi.x, lo.y + r});
  sides.push_back(Segment::line({hi.x, lo.y + r}, {hi.x, hi.y - r}));
  corner({hi.x - r, hi.y - r}, 0, {hi.x, hi.y - r}, {hi.x - r, hi.y});
  sides.push_back(Segment::line({hi.x - r, hi.y}, {lo.x + r, hi.y}));
  corner({lo.x + r, hi.y - r}, kQuarter, {lo.x + r, hi.y}, {lo.x, hi.y - r});
  sides.push_back(Segment::line({lo.x, hi.y - r}, {lo.x, lo.y + r}));
  corner({lo.x + r, lo.y + r}, 2 * kQuarter, {lo.x, lo.y + r}, {lo.x + r, lo.y});
  return Contour(std::move(sides), true);
}

Contour Contour::circle(Vec2 centre, double radius) {
  if (!(radius > 0)) throw std::invalid_argument("circle: its radius must be more than 0");
  return Contour({Segment::arc(centre, radius, 0, 2 * std::numbers::pi)}, true);
}

std::size_t Contour::locate(double s, double& within) const {
  const auto after = std::upper_bound(starts_.begin() + 1, starts_.end() - 1, s);
  const std::size_t i = static_cast<std::size_t>(after - starts_.begin()) - 1;
  within = std::clamp(s - starts_[i], 0.0, segments_[i].length());
  return i;
}

Vec2 Contour::point(double s) const {
  double within = 0;
  const std::size_t i = locate(s, within);
  return segments_[i].point(within);
}

Vec2 Contour::tangent(double s) const {
  double within = 0;
  const std::size_t i = locate(s, within);
  return segments_[i].tangent(within);
}

Contour::Nearest Contour::nearest(Vec2 p) const {
  double best = 1e300;
  std::size_t segment = 0;
  tree_->search(
      best, [&](const Box2& box) { return ovolo::distance(box, p); },
      [&](std::uint32_t i) {
        const double d = segments_[i].distance(p);
        // Ties go to the first segment, whatever the tree's order.
        if (d < best || (d == best && i < segment)) {
          best = d;
          segment = i;
        }
        return best;
      });
  const double within = segments_[segment].nearest(p);
  return {best, starts_[segment] + within, segment, segments_[segment].point(within)};
}

double Contour::signed_area() const {
  const Vec2 origin = segments_.front().a;
  double area = 0;
  for (const Segment& s : segments_) {
    area += 0.5 * cross(s.a - origin, s.b - origin);
    if (s.is_arc()) area += 0.5 * s.radius * s.radius * (s.sweep - std::sin(s.sweep));
  }
  return area;
}

bool Contour::contains(Vec2 p) const {
  const Box2 ray{p, {std::max(p.x, box_.hi.x), p.y}};
  int sum = 0;
  tree_->any(ray, [&](std::uint32_t i) {
    sum += winding(segments_[i], p);
    return false;
  });
  return sum != 0;
}

Contour Contour::reversed() const {
  std::vector<Segment> back;
  back.reserve(segments_.size());
  for (auto s = segments_.rbegin(); s != segments_.rend(); ++s) back.push_back(s->reversed());
  return Contour(std::move(back), closed_);
}

Contour Contour::translated(Vec2 by) const {
  std::vector<Segment> moved = segments_;
  for (Segment& s : moved) {
    s.a = s.a + by;
    s.b = s.b + by;
    if (s.is_arc()) s.centre = s.centre + by;
  }
  return Contour(std::move(moved), closed_);
}

bool self_crossing(const Contour& contour, Vec2& where) {
  const std::vector<Segment>& segments = contour.segments();
  const std::size_t n = segments.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Segment& first = segments[i];
    double soonest = 1e300;
    contour.tree().any(first.box().grown(kTouching), [&](std::uint32_t j) {
      if (j <= i) return false;
      const Segment& second = segments[j];
      const bool follows = j == i + 1;
      const bool precedes = contour.closed() && i == 0 && j + 1 == n;
      for (const Crossing& c : crossings(first, second, kTouching)) {
        if (follows && first.length() - c.s <= kGap && c.t <= kGap) continue;
        if (precedes && c.s <= kGap && second.length() - c.t <= kGap) continue;
        soonest = std::min(soonest, c.s);
      }
      return false;
    });
    if (soonest < 1e300) {
      where = first.point(soonest);
      return true;
    }
  }
  return false;
}

}  // namespace ovolo
