#include "sim/carve/smooth_curve.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/carve/interpolate.hpp"

namespace ovolo {

// Through four points of each of the curve's stretches.
double fit_cubics(const std::function<double(double)>& f, double from, double to, bool rooted,
                  SmoothCurve& curve) {
  constexpr int kCubics = SmoothCurve::kCubics, kHalf = kCubics / 2;
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

}  // namespace ovolo
