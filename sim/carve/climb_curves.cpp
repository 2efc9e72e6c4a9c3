#include "sim/carve/climb_curves.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <numbers>

#include "sim/path/climb.hpp"

namespace ovolo {
namespace {

using Function = std::function<double(double)>;

constexpr int kHalf = RootedCurve::kHalf;

// Fits cubics through four points of each of the curve's stretches; returns the worst error between them.
double fit(const Function& f, double from, double to, RootedCurve& curve) {
  const double root = std::sqrt(0.5 * (to - from));
  curve.from = static_cast<float>(from);
  curve.to = static_cast<float>(to);
  curve.scale = static_cast<float>(kHalf / root);
  double worst = 0;
  for (int i = 0; i < 2 * kHalf; ++i) {
    const auto at = [&](double t) {
      const double u = root * (i % kHalf + t) / kHalf;
      return f(std::clamp(i < kHalf ? from + u * u : to - u * u, from, to));
    };
    // Chebyshev's points on [0, 1], Newton's form, then powers of t.
    std::array<double, 4> t, v;
    for (std::size_t k = 0; k < 4; ++k) {
      t[k] = 0.5 - 0.5 * std::cos((static_cast<double>(k) + 0.5) * std::numbers::pi / 4);
      v[k] = at(t[k]);
    }
    for (std::size_t level = 1; level < 4; ++level)
      for (std::size_t k = 3; k >= level; --k) v[k] = (v[k] - v[k - 1]) / (t[k] - t[k - level]);
    std::array<double, 4> c{v[3], 0, 0, 0};
    for (std::size_t k = 3; k-- > 0;) {
      for (std::size_t j = 3; j > 0; --j) c[j] = c[j - 1] - t[k] * c[j];
      c[0] = v[k] - t[k] * c[0];
    }
    for (std::size_t k = 0; k < 4; ++k) curve.c[k][static_cast<std::size_t>(i)] = static_cast<float>(c[k]);
    for (const double s : {0.0, 0.12, 0.33, 0.5, 0.67, 0.88, 1.0}) {
      const double error = std::abs(c[0] + s * (c[1] + s * (c[2] + s * c[3])) - at(s));
      if (!(error <= worst)) worst = error;
    }
  }
  return worst;
}

Beside beside(double y, int side, double radius) {
  if (radius == 0) return Beside::line(y);
  return Beside::arc(std::max(0.0, side == 0 ? radius + y : radius - y), radius);
}

// The end of a stretch that has a property, between a place that has it and one that has not.
double edge(const std::function<bool(double)>& has, double with, double without) {
  for (int i = 0; i < 50; ++i) {
    const double middle = 0.5 * (with + without);
    (has(middle) ? with : without) = middle;
  }
  return with;
}

void add_zone(const Function& height, const Function& back, double from, double to, int side, int depth,
              std::vector<ClimbZone>& out) {
  constexpr double kTolerance = 2e-5, kSliver = 1e-3;  // mm
  if (!(to - from > kSliver)) return;
  ClimbZone zone;
  zone.side = side;
  if (fit(height, from, to, zone.height) <= kTolerance) {
    double most = 0;
    for (int k = 0; k <= 64; ++k) most = std::max(most, back(from + (to - from) * k / 64));
    zone.back = static_cast<float>(most * 1.001 + 1e-3);
    out.push_back(zone);
  } else if (depth < 3) {
    const double middle = 0.5 * (from + to);
    add_zone(height, back, from, middle, side, depth + 1, out);
    add_zone(height, back, middle, to, side, depth + 1, out);
  }
}

}  // namespace

std::vector<ClimbZone> climb_zones(const Profile& profile, double radius, double slope) {
  std::vector<ClimbZone> out;
  for (int side = 0; side < (radius > 0 ? 2 : 1); ++side) {
    const double reach = profile.cutting_radius(), most = side == 0 ? reach : std::min(reach, radius);
    const double farthest = radius > 0 ? std::numbers::pi * radius : reach;
    const auto lowest = [&](double y) {
      return lowest_behind(profile, beside(y, side, radius), slope, 0, farthest);
    };
    // Which place is the lowest; the same smooth function holds while it stays so.
    const auto place = [&](double y) {
      const Lowest l = lowest(y);
      return 3 * l.piece + static_cast<std::size_t>(l.at);
    };
    const auto height = [&](double y) { return lowest(y).height; };
    const auto back = [&](double y) { return lowest(y).back; };
    constexpr int kRaster = 200;
    double from = 0;
    std::size_t here = place(0);
    for (int k = 1; k <= kRaster; ++k) {
      const double y = most * k / kRaster;
      const std::size_t there = place(y);
      if (there == here && k < kRaster) continue;
      const double to =
          there == here ? y : edge([&](double v) { return place(v) == here; }, most * (k - 1) / kRaster, y);
      add_zone(height, back, from, to, side, 0, out);
      from = there == here ? y : edge([&](double v) { return place(v) == there; }, y, to);
      here = there;
    }
    add_zone(height, back, from, most, side, 0, out);
  }
  return out;
}

std::vector<ClimbBack> climb_backs(const Profile::Piece& piece, double radius, double slope) {
  std::vector<ClimbBack> out;
  for (int side = 0; side < (radius > 0 ? 2 : 1); ++side) {
    // The nearest place on the piece at which the sweep is lower than on either side; negative when there is
    // none.
    const auto lowest = [&](double y) {
      const Beside from = beside(y, side, radius);
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
      return -1.0;
    };
    const auto has = [&](double y) { return lowest(y) >= 0; };
    constexpr int kRaster = 256;
    const double most = side == 0 ? piece.r1 : std::min(piece.r1, radius);
    int first = -1, last = -1;
    for (int k = 0; k <= kRaster; ++k) {
      if (!has(most * k / kRaster)) continue;
      if (first < 0) first = k;
      last = k;
    }
    if (first < 0) continue;
    const double from = first == 0 ? 0 : edge(has, most * first / kRaster, most * (first - 1) / kRaster);
    const double to = last == kRaster ? most : edge(has, most * last / kRaster, most * (last + 1) / kRaster);
    if (!(to > from)) continue;
    ClimbBack curve;
    curve.side = side;
    fit([&](double y) { return std::max(0.0, lowest(y)); }, from, to, curve.back);
    out.push_back(curve);
  }
  return out;
}

}  // namespace ovolo
