#include "sim/path/climb.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace ovolo {
namespace {

// A polynomial of degree 6 at most, lowest power first.
struct Polynomial {
  std::array<double, 7> c{};
  int degree = 0;

  double operator()(double t) const {
    double v = c[static_cast<std::size_t>(degree)];
    for (int i = degree - 1; i >= 0; --i) v = v * t + c[static_cast<std::size_t>(i)];
    return v;
  }
  Polynomial derivative() const {
    Polynomial d;
    d.degree = std::max(0, degree - 1);
    for (int i = 1; i <= degree; ++i)
      d.c[static_cast<std::size_t>(i - 1)] = i * c[static_cast<std::size_t>(i)];
    return d;
  }
};

Polynomial operator*(const Polynomial& a, const Polynomial& b) {
  Polynomial p;
  p.degree = a.degree + b.degree;
  for (int i = 0; i <= a.degree; ++i)
    for (int j = 0; j <= b.degree; ++j)
      p.c[static_cast<std::size_t>(i + j)] +=
          a.c[static_cast<std::size_t>(i)] * b.c[static_cast<std::size_t>(j)];
  return p;
}

Polynomial operator-(Polynomial a, const Polynomial& b) {
  a.degree = std::max(a.degree, b.degree);
  for (std::size_t i = 0; i < a.c.size(); ++i) a.c[i] -= b.c[i];
  return a;
}

// Falls from fa to fb of opposite sign within [a, b]: the false-position step kept in the bracket by halving.
double bracketed_root(const Polynomial& p, double a, double fa, double b, double fb) {
  for (int i = 0; i < 80 && b - a > 4e-16 * (1 + std::abs(a)); ++i) {
    double t = i % 3 == 2 ? 0.5 * (a + b) : a - fa * (b - a) / (fb - fa);
    if (!(t > a && t < b)) t = 0.5 * (a + b);
    const double ft = p(t);
    if (ft == 0) return t;
    if ((ft < 0) == (fa < 0)) {
      a = t;
      fa = ft;
    } else {
      b = t;
      fb = ft;
    }
  }
  return 0.5 * (a + b);
}

// Real roots in [-1, 1]. Between two neighbouring roots of the derivative a polynomial is monotone, so one
// sign change is one root. The derivative's roots are given back too: a double root must not be lost to
// rounding, and an extra candidate does no harm.
Distances real_roots(const Polynomial& p, bool with_turns) {
  Distances out;
  if (p.degree == 0) return out;
  Distances turns;
  if (p.degree > 1) turns = real_roots(p.derivative(), false);
  double a = -1, fa = p(a);
  for (int i = 0; i <= turns.count; ++i) {
    const bool last = i == turns.count;
    const double b = last ? 1 : turns.r[static_cast<std::size_t>(i)];
    const double fb = p(b);
    if (fa == 0)
      out.add(a);
    else if (fb != 0 && (fa < 0) != (fb < 0))
      out.add(bracketed_root(p, a, fa, b, fb));
    if (last && fb == 0) out.add(b);
    if (with_turns && !last) out.add(b);
    a = b;
    fa = fb;
  }
  return out;
}

}  // namespace

Beside Beside::arc(double rho, double radius) {
  Beside b(std::abs(rho - radius), 4 * rho * radius, radius);
  b.farthest_ = rho + radius;
  return b;
}

double Beside::distance(double w) const {
  if (radius_ == 0) return std::hypot(y_, w);
  const double half = std::sin(std::min(w / (2 * radius_), 0.5 * std::numbers::pi));
  return std::sqrt(y_ * y_ + chord_ * half * half);
}

double Beside::back(double r) const {
  const double square = std::max(0.0, (r - y_) * (r + y_));
  if (radius_ == 0) return std::sqrt(square);
  if (chord_ == 0) return 0;
  return 2 * radius_ * std::asin(std::sqrt(std::min(1.0, square / chord_)));
}

Distances stationary_distances(const Profile::Piece& piece, const Beside& beside, double slope, double lo,
                               double hi) {
  Distances out;
  if (!(hi > lo)) return out;
  const double y2 = beside.y() * beside.y();
  // (dr/dw)^2 = (r^2 - y^2)(1 - r^2/far^2)/r^2 * (far/2A)^2 on a circle, (r^2 - y^2)/r^2 on a line: with the
  // climb scaled by 2A/far both read (f')^2 (r^2 - y^2)(1 - r^2/far^2) = mu^2 r^2.
  const bool circular = beside.radius() > 0;
  const double mu = circular ? slope * 2 * beside.radius() / beside.farthest() : slope;
  const double inverse = circular ? 1 / (beside.farthest() * beside.farthest()) : 0;
  const auto add = [&](double r) {
    if (r > lo && r < hi) out.add(r);
  };
  if (piece.side == 0) {
    const double k = piece.slope(0.5 * (piece.r0 + piece.r1));
    if (!(k > 0)) return out;
    // q = r^2: (q - y^2)(1 - q/far^2) = (mu/k)^2 q.
    const double c = (mu / k) * (mu / k);
    const double b = 1 + y2 * inverse - c;
    const double root = b * b - 4 * inverse * y2;
    if (b <= 0 || root < 0) return out;
    const double q = 2 * y2 / (b + std::sqrt(root));
    add(std::sqrt(q));
    if (inverse > 0) add(std::sqrt((b + std::sqrt(root)) / (2 * inverse)));
    return out;
  }
  // (r - cx)^2 (r^2 - y^2)(1 - r^2/far^2) - mu^2 r^2 (R^2 - (r - cx)^2), in t with r = mid + half t.
  const double mid = 0.5 * (lo + hi), half = 0.5 * (hi - lo);
  const auto linear = [](double c0, double c1) {
    Polynomial p;
    p.c[0] = c0;
    p.c[1] = c1;
    p.degree = 1;
    return p;
  };
  const Polynomial from_centre = linear(mid - piece.curve.centre.x, half);
  const Polynomial r = linear(mid, half);
  Polynomial side =
      from_centre * from_centre * linear(mid - beside.y(), half) * linear(mid + beside.y(), half);
  if (circular) {
    const double far = beside.farthest();
    side = side * linear(1 - mid / far, -half / far) * linear(1 + mid / far, half / far);
  }
  Polynomial climb = r * r * linear(piece.curve.radius - (mid - piece.curve.centre.x), -half) *
                     linear(piece.curve.radius + (mid - piece.curve.centre.x), half);
  for (double& v : climb.c) v *= mu * mu;
  for (const double t : real_roots(side - climb, true)) add(mid + half * t);
  return out;
}

Lowest lowest_behind(const Profile& profile, const Beside& beside, double slope, double w0, double w1) {
  const double r0 = beside.distance(w0), r1 = beside.distance(w1);
  Lowest best;
  const auto& pieces = profile.pieces();
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    const Profile::Piece& piece = pieces[i];
    const double lo = std::max(r0, piece.r0), hi = std::min(r1, piece.r1);
    if (!(lo <= hi)) continue;
    const auto consider = [&](double r, Lowest::At at) {
      const double back = std::clamp(beside.back(r), w0, w1);
      const double height = piece.height(r) - slope * back;
      if (height < best.height) best = {height, back, i, at};
    };
    consider(lo, Lowest::At::inner_end);
    consider(hi, Lowest::At::outer_end);
    if (slope > 0)
      for (const double r : stationary_distances(piece, beside, slope, lo, hi))
        consider(r, Lowest::At::between);
  }
  return best;
}

}  // namespace ovolo
