#include "sim/geometry/fit_arcs.hpp"

#include <algorithm>
#include <array>
#include <numbers>
#include <stdexcept>

namespace ovolo {
namespace {

constexpr std::size_t kMostPieces = 100000;
constexpr std::size_t kMostPoints = 26;  // of one Bezier piece
constexpr int kDeepest = 40;
constexpr int kSamples = 15;          // per biarc, where its distance from the curve is read
constexpr double kStraight = 1e-6;    // mm of sagitta below which an arc is a line
constexpr double kCoCircular = 2e-6;  // mm: pieces nearer than this to one circle are one arc
constexpr double kLargest = 1e7;      // mm: coordinates beyond this leave no digits for the tolerance

bool finite(Vec2 p) { return std::abs(p.x) < kLargest && std::abs(p.y) < kLargest; }

struct Sample {
  Vec2 point, derivative;
};

/// De Casteljau's scheme in homogeneous coordinates: point and derivative.
Sample evaluate(const BezierCurve& curve, double t) {
  const std::size_t n = curve.points.size();
  std::array<Vec2, kMostPoints> p;
  std::array<double, kMostPoints> w;
  for (std::size_t i = 0; i < n; ++i) {
    w[i] = curve.weights.empty() ? 1.0 : curve.weights[i];
    p[i] = w[i] * curve.points[i];
  }
  for (std::size_t k = n - 1; k > 1; --k)
    for (std::size_t i = 0; i < k; ++i) {
      p[i] = p[i] + t * (p[i + 1] - p[i]);
      w[i] += t * (w[i + 1] - w[i]);
    }
  const double weight = w[0] + t * (w[1] - w[0]);
  const double degree = static_cast<double>(n - 1);
  const Vec2 point = (p[0] + t * (p[1] - p[0])) / weight;
  return {point, degree * ((p[1] - p[0]) - (w[1] - w[0]) * point) / weight};
}

Sample evaluate(const EllipseArc& curve, double t) {
  const double a = curve.from + t * curve.sweep;
  return {curve.point(a), curve.sweep * (std::cos(a) * curve.v - std::sin(a) * curve.u)};
}

Segment arc_or_line(Vec2 a, Vec2 b, double half_sweep) {
  const double bulge = std::tan(half_sweep / 2);
  if (std::abs(bulge) * distance(a, b) / 2 < kStraight) return Segment::line(a, b);
  return Segment::bulge(a, b, bulge);
}

template <class Curve>
class Fitter {
 public:
  // A tenth is kept in hand for what lies between the samples.
  Fitter(const Curve& curve, double tolerance) : curve_(curve), limit_(0.9 * tolerance) {}

  void run(double t0, double t1, Vec2 p0, Vec2 p1) { piece(t0, t1, p0, p1, 0); }
  std::vector<Segment> take() { return std::move(out_); }

 private:
  void piece(double t0, double t1, Vec2 p0, Vec2 p1, int depth) {
    if (try_biarc(t0, t1, p0, p1)) return;
    const double middle = (t0 + t1) / 2;
    if (depth >= kDeepest || small(t0, t1, p0)) {
      if (!(p0 == p1)) add(Segment::line(p0, p1));
      return;
    }
    const Vec2 pm = evaluate(curve_, middle).point;
    piece(t0, middle, p0, pm, depth + 1);
    piece(middle, t1, pm, p1, depth + 1);
  }

  /// The whole piece lies within the tolerance of its start: a speck, as at the point of a cusp.
  bool small(double t0, double t1, Vec2 p0) const {
    for (int i = 1; i <= kSamples; ++i)
      if (distance(evaluate(curve_, t0 + (t1 - t0) * i / kSamples).point, p0) > limit_ / 2) return false;
    return true;
  }

  /// Direction at t, seen from inside the piece: where the derivative vanishes, towards a near point of it.
  bool direction(double t, double inside, Vec2& out) const {
    const Sample s = evaluate(curve_, t);
    const double size = std::abs(inside - t);
    Vec2 d = s.derivative;
    const Vec2 chord = evaluate(curve_, inside).point - s.point;
    if (length(d) * size < 1e-6 * length(chord)) {
      const double near = t + (inside - t) * 1e-4;
      d = (evaluate(curve_, near).point - s.point) / (near - t);
    }
    const double l = length(d);
    if (!(l > 0) || !std::isfinite(l)) return false;
    out = d / l;
    return true;
  }

  bool try_biarc(double t0, double t1, Vec2 p0, Vec2 p1) {
    const Vec2 v = p1 - p0;
    const double chord = length(v);
    Vec2 d0, d1;
    if (!(chord > 0) || !direction(t0, t1, d0) || !direction(t1, t0, d1)) return false;
    // A piece may not turn by more than a right angle to either side of its chord: no arc can then roam.
    if (dot(d0, v) <= 0 || dot(d1, v) <= 0) return false;
    const Vec2 sum = d0 + d1;
    const double along = dot(v, sum), bend = 2 * (1 - dot(d0, d1));
    // Equal legs d: bend d^2 + 2 along d = chord^2, its root written so that it holds for parallel ends too.
    const double d = chord * chord / (along + std::sqrt(along * along + bend * chord * chord));
    const Vec2 joint = 0.5 * (p0 + p1 + d * (d0 - d1));
    const Vec2 c0 = joint - p0, c1 = p1 - joint;
    if (!(length(c0) > 0) || !(length(c1) > 0)) return false;
    const Segment first = arc_or_line(p0, joint, std::atan2(cross(d0, c0), dot(d0, c0)));
    const Segment second = arc_or_line(joint, p1, std::atan2(cross(c1, d1), dot(c1, d1)));
    if (std::abs(first.sweep) > std::numbers::pi / 2 || std::abs(second.sweep) > std::numbers::pi / 2)
      return false;
    double at = -1e-9 * chord;
    for (int i = 1; i < kSamples; ++i) {
      const Vec2 p = evaluate(curve_, t0 + (t1 - t0) * i / kSamples).point;
      if (std::fmin(first.distance(p), second.distance(p)) > limit_) return false;
      // Running back along the chord is a loop or a fold that two arcs cannot follow.
      const double now = dot(p - p0, v) / chord;
      if (now < at) return false;
      at = now - limit_ * 1e-3;
    }
    add(first);
    add(second);
    return true;
  }

  void add(const Segment& s) {
    if (out_.size() >= kMostPieces)
      throw std::invalid_argument("the curve is too wild to follow in 100,000 pieces");
    out_.push_back(s);
  }

  const Curve& curve_;
  double limit_;
  std::vector<Segment> out_;
};

void check_tolerance(double tolerance) {
  if (!(tolerance > 0) || !std::isfinite(tolerance))
    throw std::invalid_argument("the tolerance must be positive");
}

/// Circle through three points; false when they are in line.
bool circle_through(Vec2 a, Vec2 m, Vec2 b, Vec2& centre) {
  const Vec2 p = m - a, q = b - a;
  const double area = 2 * cross(p, q);
  if (std::abs(area) <= 1e-12 * dot(q, q)) return false;
  const double pp = dot(p, p), qq = dot(q, q);
  centre = a + Vec2{(q.y * pp - p.y * qq) / area, (p.x * qq - q.x * pp) / area};
  return true;
}

/// The one piece that replaces a and b, when they lie on one line or circle and go on the same way.
bool merged(const Segment& a, const Segment& b, double tolerance, Segment& out) {
  if (!(a.b == b.a) || a.is_arc() != b.is_arc()) return false;
  if (!a.is_arc()) {
    const Vec2 v = b.b - a.a;
    const double l = length(v);
    if (!(l > 0) || dot(a.b - a.a, v) <= 0 || dot(b.b - b.a, v) <= 0) return false;
    if (std::abs(cross(a.b - a.a, v)) / l > tolerance) return false;
    out = Segment::line(a.a, b.b);
    return true;
  }
  if ((a.sweep > 0) != (b.sweep > 0)) return false;
  const double sweep = a.sweep + b.sweep;
  const bool whole = a.a == b.b && std::abs(std::abs(sweep) - 2 * std::numbers::pi) < 1e-6;
  if (!whole && std::abs(sweep) > 2 * std::numbers::pi - 1e-6) return false;
  // The circle through the far ends and the joint (or, for long runs, about the mean centre) must hold both.
  Vec2 centre = (std::abs(a.sweep) * a.centre + std::abs(b.sweep) * b.centre) / std::abs(sweep);
  if (!whole && std::abs(sweep) < 1.5 * std::numbers::pi && !circle_through(a.a, a.b, b.b, centre))
    return false;
  const double radius = distance(centre, a.a);
  for (const Segment* s : {&a, &b})
    for (int i = 0; i <= 4; ++i)
      if (std::abs(distance(s->point(s->length() * i / 4), centre) - radius) > tolerance) return false;
  out = Segment::arc_between(a.a, b.b, centre, sweep > 0);
  return std::abs(out.sweep - sweep) < 1e-3;
}

}  // namespace

void merge_pieces(std::vector<Segment>& chain, double tolerance) {
  std::vector<Segment> out;
  for (const Segment& s : chain) {
    Segment one;
    if (!out.empty() && merged(out.back(), s, tolerance, one))
      out.back() = one;
    else
      out.push_back(s);
  }
  chain = std::move(out);
}

std::vector<Segment> fit_arcs(const BezierCurve& curve, double tolerance) {
  check_tolerance(tolerance);
  if (curve.points.size() < 2 || curve.points.size() > kMostPoints ||
      (!curve.weights.empty() && curve.weights.size() != curve.points.size()))
    throw std::invalid_argument("a Bezier curve needs 2 to 26 points, and a weight for each or none");
  for (const Vec2 p : curve.points)
    if (!finite(p)) throw std::invalid_argument("a curve's point is not a number or beyond 10 km");
  for (const double w : curve.weights)
    if (!(w > 0) || !std::isfinite(w)) throw std::invalid_argument("a curve's weight is not positive");
  if (curve.points.size() == 2) {
    if (curve.points[0] == curve.points[1]) return {};
    return {Segment::line(curve.points[0], curve.points[1])};
  }
  Fitter<BezierCurve> fitter(curve, tolerance);
  fitter.run(0, 1, curve.points.front(), curve.points.back());
  std::vector<Segment> out = fitter.take();
  merge_pieces(out, std::min(kCoCircular, tolerance / 50));
  return out;
}

std::vector<Segment> fit_arcs(const EllipseArc& curve, double tolerance) {
  check_tolerance(tolerance);
  if (!finite(curve.centre) || !finite(curve.u) || !finite(curve.v) || !std::isfinite(curve.from) ||
      !(std::abs(curve.sweep) <= 2 * std::numbers::pi + 1e-9))
    throw std::invalid_argument(
        "an ellipse's value is not a number or beyond 10 km, or it turns more than once");
  const double u = length(curve.u), v = length(curve.v);
  if (curve.sweep == 0 || (u == 0 && v == 0)) return {};
  // Conjugate half diameters of a circle are equal and upright to each other.
  if (std::abs(u - v) <= 1e-9 * u && std::abs(dot(curve.u, curve.v)) <= 1e-9 * u * v) {
    const bool left = cross(curve.u, curve.v) > 0;
    const double from = angle_of(curve.point(curve.from) - curve.centre);
    const double sweep = std::clamp(curve.sweep, -2 * std::numbers::pi, 2 * std::numbers::pi);
    return {Segment::arc(curve.centre, (u + v) / 2, from, left ? sweep : -sweep)};
  }
  Fitter<EllipseArc> fitter(curve, tolerance);
  const int parts = std::max(1, static_cast<int>(std::ceil(std::abs(curve.sweep) / (std::numbers::pi / 2))));
  for (int i = 0; i < parts; ++i) {
    const double t0 = static_cast<double>(i) / parts, t1 = static_cast<double>(i + 1) / parts;
    fitter.run(t0, t1, evaluate(curve, t0).point, evaluate(curve, t1).point);
  }
  std::vector<Segment> out = fitter.take();
  if (!out.empty() && std::abs(curve.sweep) >= 2 * std::numbers::pi - 1e-12) {
    // A whole ellipse ends where it began, to the bit.
    Segment& last = out.back();
    last = last.is_arc() ? Segment::arc_between(last.a, out.front().a, last.centre, last.sweep > 0)
                         : Segment::line(last.a, out.front().a);
  }
  merge_pieces(out, std::min(kCoCircular, tolerance / 50));
  return out;
}

std::vector<BezierCurve> bezier_pieces(const SplineCurve& curve) {
  const std::size_t p = static_cast<std::size_t>(std::max(curve.degree, 0));
  const std::size_t n = curve.points.size();
  if (curve.degree < 1 || curve.degree > 25) throw std::invalid_argument("a spline's degree must be 1 to 25");
  if (n < p + 1 || curve.knots.size() != n + p + 1)
    throw std::invalid_argument("a spline of degree " + std::to_string(curve.degree) + " with " +
                                std::to_string(n) + " control points needs " + std::to_string(n + p + 1) +
                                " knots, not " + std::to_string(curve.knots.size()));
  if (!curve.weights.empty() && curve.weights.size() != n)
    throw std::invalid_argument("a spline needs a weight for every control point, or none");
  for (const double k : curve.knots)
    if (!std::isfinite(k)) throw std::invalid_argument("a spline's knot is not a number");
  if (!std::is_sorted(curve.knots.begin(), curve.knots.end()))
    throw std::invalid_argument("a spline's knots must not fall");

  struct Point {
    double x, y, w;
  };
  std::vector<Point> points(n);
  for (std::size_t i = 0; i < n; ++i) {
    const double w = curve.weights.empty() ? 1.0 : curve.weights[i];
    if (!finite(curve.points[i]) || !(w > 0) || !std::isfinite(w))
      throw std::invalid_argument(
          "a spline's control point is not a number or beyond 10 km, or its weight not positive");
    points[i] = {w * curve.points[i].x, w * curve.points[i].y, w};
  }
  const std::vector<double>& knots = curve.knots;
  const double start = knots[p], end = knots[n];
  if (!(start < end)) throw std::invalid_argument("a spline's knots leave it no length");

  // The blossom of each span at its own ends gives the span's Bezier points.
  std::vector<BezierCurve> out;
  std::vector<Point> d(p + 1);
  for (std::size_t k = p; k < n; ++k) {
    const double a = knots[k], b = knots[k + 1];
    if (!(a < b)) continue;
    BezierCurve piece;
    for (std::size_t j = 0; j <= p; ++j) {
      for (std::size_t i = 0; i <= p; ++i) d[i] = points[k - p + i];
      for (std::size_t r = 1; r <= p; ++r) {
        const double t = r <= j ? b : a;
        for (std::size_t i = p; i >= r; --i) {
          const double lo = knots[k - p + i], hi = knots[k + 1 + i - r];
          const double f = (t - lo) / (hi - lo);
          d[i] = {d[i - 1].x + f * (d[i].x - d[i - 1].x), d[i - 1].y + f * (d[i].y - d[i - 1].y),
                  d[i - 1].w + f * (d[i].w - d[i - 1].w)};
        }
      }
      piece.points.push_back({d[p].x / d[p].w, d[p].y / d[p].w});
      piece.weights.push_back(d[p].w);
    }
    const bool plain = std::all_of(piece.weights.begin(), piece.weights.end(),
                                   [&](double w) { return std::abs(w - piece.weights[0]) <= 1e-14 * w; });
    if (plain) piece.weights.clear();
    out.push_back(std::move(piece));
  }
  return out;
}

std::vector<Segment> fit_arcs(const SplineCurve& curve, double tolerance) {
  check_tolerance(tolerance);
  std::vector<Segment> out;
  for (const BezierCurve& piece : bezier_pieces(curve)) {
    for (Segment s : fit_arcs(piece, tolerance)) {
      // Spans meet to the last digits only: start where the last one ended.
      if (!out.empty() && !(s.a == out.back().b))
        s = s.is_arc() ? Segment::arc_between(out.back().b, s.b, s.centre, s.sweep > 0)
                       : Segment::line(out.back().b, s.b);
      out.push_back(s);
    }
    if (out.size() > kMostPieces)
      throw std::invalid_argument("the curve is too wild to follow in 100,000 pieces");
  }
  merge_pieces(out, std::min(kCoCircular, tolerance / 50));
  return out;
}

}  // namespace ovolo
