#include "sim/carve/climb_curves.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <numbers>

#include "sim/carve/interpolate.hpp"
#include "sim/path/climb.hpp"

namespace ovolo {
namespace {

using Function = std::function<double(double)>;

constexpr int kCubics = SmoothCurve::kCubics;

// Fits cubics through four points of each of the curve's stretches; returns the worst error between them.
double fit(const Function& f, double from, double to, bool rooted, SmoothCurve& curve) {
  constexpr int kHalf = kCubics / 2;
  const double root = std::sqrt(0.5 * (to - from));
  curve.from = static_cast<float>(from);
  curve.to = static_cast<float>(to);
  curve.rooted = rooted;
  // A hair less than whole cubics: no place within the curve is beyond the last one.
  curve.scale = static_cast<float>((1 - 1e-6) * (rooted ? kHalf / root : kCubics / (to - from)));
  double worst = 0;
  for (int i = 0; i < kCubics; ++i) {
    const auto at = [&](double t) {
      const double u = root * (i % kHalf + t) / kHalf;
      const double y = !rooted     ? from + (to - from) * (i + t) / kCubics
                       : i < kHalf ? from + u * u
                                   : to - u * u;
      return f(std::clamp(y, from, to));
    };
    // Chebyshev's points on [0, 1].
    std::array<double, 4> t, v;
    for (std::size_t k = 0; k < 4; ++k) {
      t[k] = 0.5 - 0.5 * std::cos((static_cast<double>(k) + 0.5) * std::numbers::pi / 4);
      v[k] = at(t[k]);
    }
    const std::array<double, 4> c = polynomial_through(t, v);
    for (std::size_t k = 0; k < 4; ++k) curve.c[k][static_cast<std::size_t>(i)] = static_cast<float>(c[k]);
    for (const double s : {0.0, 0.12, 0.33, 0.5, 0.67, 0.88, 1.0}) {
      const double error = std::abs(c[0] + s * (c[1] + s * (c[2] + s * c[3])) - at(s));
      if (!(error <= worst)) worst = error;
    }
  }
  return worst;
}

// The foot at y, on either side of a circular path.
Beside beside(double y, double radius) {
  return radius == 0 ? Beside::line(y) : Beside::arc(std::max(0.0, radius + y), radius);
}

// The end of a stretch that has a property, between a place that has it and one that has not.
double edge(const std::function<bool(double)>& has, double with, double without) {
  for (int i = 0; i < 50; ++i) {
    const double middle = 0.5 * (with + without);
    (has(middle) ? with : without) = middle;
  }
  return with;
}

constexpr double kHair = 2e-5;  // mm: narrower stretches are left to their neighbours

constexpr double kTolerance = 2e-5;  // mm

// The zone of a profile and a path.
struct Sweep {
  const Profile& profile;
  double radius, slope;  // of the path; radius 0: straight
  Lowest at(double y) const {
    const double farthest = radius > 0 ? std::numbers::pi * radius : profile.cutting_radius();
    return lowest_behind(profile, beside(y, radius), slope, 0, farthest);
  }
};

// The polynomial of degree N - 1 through Chebyshev's points on [-1, 1].
template <std::size_t N>
std::array<double, N> polynomial(const Function& f) {
  std::array<double, N> t, v;
  for (std::size_t k = 0; k < N; ++k) {
    t[k] = -std::cos((static_cast<double>(k) + 0.5) * std::numbers::pi / static_cast<double>(N));
    v[k] = f(t[k]);
  }
  return polynomial_through(t, v);
}

template <std::size_t N>
float value(const std::array<float, N>& c, float t) {
  float v = c[N - 1];
  for (std::size_t k = N - 1; k-- > 0;) v = v * t + c[k];
  return v;
}

template <std::size_t N, std::size_t M>
void keep(const std::array<double, N>& c, std::array<float, M>& out) {
  std::transform(c.begin(), c.end(), out.begin(), [](double v) { return static_cast<float>(v); });
}

// Tells the zone's height by a form where one is near enough.
bool fit_form(const Sweep& sweep, double from, double to, ClimbZone& zone) {
  const double middle = 0.5 * (from + to), half = 0.5 * (to - from);
  const auto y_at = [&](double t) { return std::clamp(middle + half * t, from, to); };
  const Lowest lowest = sweep.at(middle);
  const Profile::Piece& piece = sweep.profile.pieces()[lowest.piece];
  RootForm& form = zone.form;
  form.middle = static_cast<float>(middle);
  form.scale = static_cast<float>(1 / half);
  // As the kernels work it out.
  const auto root_at = [&](float y) {
    return std::sqrt(std::max(0.0f, (form.upper - y) * (y - form.lower)));
  };
  const auto near = [&](const auto& told) {
    constexpr int kChecks = 60;
    for (int k = 0; k <= kChecks; ++k) {
      const double y = y_at(-std::cos(k * std::numbers::pi / kChecks));
      const float at = static_cast<float>(y);
      if (!(std::abs(static_cast<double>(told(at, (at - form.middle) * form.scale)) - sweep.at(y).height) <=
            kTolerance))
        return false;
    }
    return true;
  };
  const bool outer = lowest.at == Lowest::At::outer_end;
  const double r = outer ? piece.r1 : piece.r0, h = outer ? piece.h1 : piece.h0;
  if (outer || (lowest.at == Lowest::At::inner_end && r > std::abs(middle))) {
    form.upper = static_cast<float>(r);
    form.lower = static_cast<float>(-r);
    form.base[0] = static_cast<float>(h);
    keep(polynomial<RootForm::kShare>([&](double t) {
           const double y = y_at(t), root = std::sqrt(std::max(1e-24, (r - y) * (r + y)));
           return -sweep.slope * (sweep.radius == 0 ? 1 : beside(y, sweep.radius).back(r) / root);
         }),
         form.share);
    zone.kind = ClimbZone::Kind::corner;
    if (near([&](float y, float t) { return form.base[0] + value(form.share, t) * root_at(y); })) return true;
  }
  keep(polynomial<RootForm::kBase>([&](double t) { return sweep.at(y_at(t)).height; }), form.base);
  zone.kind = ClimbZone::Kind::polynomial;
  if (near([&](float, float t) { return value(form.base, t); })) return true;
  if (piece.side == 0) return false;
  // The root is that of the profile's arc; inside of a circular path y is negative.
  const double at = middle < 0 ? -piece.curve.centre.x : piece.curve.centre.x;
  form.upper = static_cast<float>(at + piece.curve.radius);
  form.lower = static_cast<float>(at - piece.curve.radius);
  constexpr int kBase = RootForm::kArcBase, kShare = RootForm::kShare, kPlaces = 3 * (kBase + kShare);
  Eigen::Matrix<double, kPlaces, kBase + kShare> powers;
  Eigen::Matrix<double, kPlaces, 1> heights;
  for (int i = 0; i < kPlaces; ++i) {
    const double t = -std::cos((i + 0.5) * std::numbers::pi / kPlaces), y = y_at(t);
    const double root =
        std::sqrt(std::max(0.0, (at + piece.curve.radius - y) * (y - at + piece.curve.radius)));
    heights[i] = sweep.at(y).height;
    for (int k = 0; k < kBase + kShare; ++k)
      powers(i, k) = k < kBase ? std::pow(t, k) : root * std::pow(t, k - kBase);
  }
  // Of coefficients that hardly differ in what they tell the smallest: large ones would cancel each other.
  Eigen::CompleteOrthogonalDecomposition<decltype(powers)> system;
  system.setThreshold(1e-7);
  system.compute(powers);
  const Eigen::Matrix<double, kBase + kShare, 1> c = system.solve(heights);
  for (int k = 0; k < kBase; ++k) form.base[static_cast<std::size_t>(k)] = static_cast<float>(c[k]);
  for (int k = 0; k < kShare; ++k) form.share[static_cast<std::size_t>(k)] = static_cast<float>(c[kBase + k]);
  zone.kind = ClimbZone::Kind::arc;
  return near([&](float y, float t) {
    float base = 0;
    for (std::size_t k = kBase; k-- > 0;) base = base * t + form.base[k];
    return base + value(form.share, t) * root_at(y);
  });
}

void add_zones(const Sweep& sweep, double from, double to, int depth, std::vector<ClimbZone>& out) {
  if (!(to - from > kHair)) return;
  const auto height = [&](double y) { return sweep.at(y).height; };
  ClimbZone zone;
  bool found = fit_form(sweep, from, to, zone);
  for (const bool rooted : {false, true}) {
    if (found || fit(height, from, to, rooted, zone.cubics) > kTolerance) continue;
    zone.kind = rooted ? ClimbZone::Kind::rooted_cubics : ClimbZone::Kind::cubics;
    found = true;
  }
  if (found) {
    zone.from = static_cast<float>(from);
    zone.to = static_cast<float>(to);
    double most = 0;
    for (int k = 0; k <= 64; ++k) most = std::max(most, sweep.at(from + (to - from) * k / 64).back);
    zone.back = static_cast<float>(most * 1.001 + 1e-3);
    out.push_back(zone);
  } else if (depth < 8) {
    const double middle = 0.5 * (from + to);
    add_zones(sweep, from, middle, depth + 1, out);
    add_zones(sweep, middle, to, depth + 1, out);
  }
}

}  // namespace

std::vector<ClimbZone> climb_zones(const Profile& profile, double radius, double slope) {
  const double reach = profile.cutting_radius(), inside = std::min(reach, radius);
  const Sweep sweep{profile, radius, slope};
  // Which place is the lowest: the same smooth function holds while it stays so, for a corner on both sides
  // of a circle.
  const auto place = [&](double y) {
    const Lowest l = sweep.at(y);
    const std::size_t inner_corner = 4 * l.piece;
    if (l.at == Lowest::At::between) return inner_corner + (y < 0 ? 1 : 2);
    if (l.at == Lowest::At::outer_end) return inner_corner + 4;
    return profile.pieces()[l.piece].r0 > std::abs(y) ? inner_corner : inner_corner + 3;
  };
  std::vector<ClimbZone> out;
  constexpr int kRaster = 400;
  double from = -inside, before = from;
  std::size_t here = place(from);
  for (int k = 1; k <= kRaster; ++k) {
    const double y = -inside + (reach + inside) * k / kRaster;
    const std::size_t there = place(y);
    if (there != here) {
      const double end = edge([&](double v) { return place(v) == here; }, before, y);
      const double next = edge([&](double v) { return place(v) == there; }, y, before);
      add_zones(sweep, from, end, 0, out);
      add_zones(sweep, end, next, 0, out);  // a third place between the two
      from = next;
      here = there;
    }
    before = y;
  }
  add_zones(sweep, from, reach, 0, out);
  // Gaps of a hair are left to the neighbours.
  const float hair = 2 * static_cast<float>(kHair);
  for (std::size_t i = 0; i + 1 < out.size(); ++i)
    if (out[i + 1].from - out[i].to < hair) out[i].to = out[i + 1].from;
  if (!out.empty()) {
    const float first = static_cast<float>(-inside), last = static_cast<float>(reach);
    if (out.front().from - first < hair) out.front().from = first;
    if (last - out.back().to < hair) out.back().to = last;
  }
  return out;
}

std::vector<ClimbBack> climb_backs(const Profile::Piece& piece, double radius, double slope) {
  std::vector<ClimbBack> out;
  for (const double side : {1.0, -1.0}) {
    if (side < 0 && radius == 0) break;
    // The nearest place on the piece at which the sweep is lower than on either side; negative when there is
    // none.
    const auto lowest = [&](double y) {
      const Beside from = beside(y, radius);
      const double lo = std::max(piece.r0, from.y()), hi = std::min(piece.r1, from.farthest());
      if (!(lo < hi)) return -1.0;
      const auto height = [&](double r) { return piece.height(r) - slope * from.back(r); };
      Distances places;
      places.add(lo);
      for (const double r : stationary_distances(piece, from, slope, lo, hi)) places.add(r);
      places.add(hi);
      for (int i = 1; i + 1 < places.count; ++i) {
        const double* r = places.begin() + i;
        if (height(*r) <= height(r[-1]) && height(*r) <= height(r[1])) return from.back(*r);
      }
      // Where the piece is steep the lowest place is too near the foot to be told from it.
      const bool at_foot = lo == from.y() && places.count == 2 && height(lo + 1e-6 * (hi - lo)) > height(lo);
      return at_foot ? 0.0 : -1.0;
    };
    const auto has = [&](double y) { return lowest(y) >= 0; };
    constexpr int kRaster = 256;
    const double most = side > 0 ? piece.r1 : -std::min(piece.r1, radius);
    int first = -1, last = -1;
    for (int k = 0; k <= kRaster; ++k) {
      if (!has(most * k / kRaster)) continue;
      if (first < 0) first = k;
      last = k;
    }
    if (first < 0) continue;
    const double near = first == 0 ? 0 : edge(has, most * first / kRaster, most * (first - 1) / kRaster);
    const double far = last == kRaster ? most : edge(has, most * last / kRaster, most * (last + 1) / kRaster);
    if (near == far) continue;
    ClimbBack curve;
    double most_back = 0;
    const auto back = [&](double y) {
      const double w = std::max(0.0, lowest(y));
      most_back = std::max(most_back, w);
      return w;
    };
    fit(back, std::min(near, far), std::max(near, far), true, curve.back);
    curve.most_back = static_cast<float>(1.05 * most_back + 1e-3);
    out.push_back(curve);
  }
  return out;
}

}  // namespace ovolo
