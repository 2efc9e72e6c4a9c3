#pragma once
#include <cmath>
#include <vector>

#include "sim/geometry/vec.hpp"

namespace ovolo {

inline constexpr double kChord = 5e-5;  ///< mm between a sampled curve and its chords, across them

/// Shrinks a bracket [a, b] of a sign change of f to the last bit but a few; fa = f(a).
template <class F>
double bisect(F f, double a, double b, double fa) {
  for (int i = 0; i < 60 && b - a > 1e-13 * (1 + std::abs(a)); ++i) {
    const double m = (a + b) / 2;
    const double fm = f(m);
    if (fm == 0) return m;
    if ((fm < 0) == (fa < 0))
      a = m;
    else
      b = m;
  }
  return (a + b) / 2;
}

/// Points of the graph of f from a to b, a left out, so close that chords lie within kChord of it; at most
/// 2^depth.
template <class F>
void sample(F f, Vec2 a, Vec2 b, int depth, std::vector<Vec2>& out) {
  if (depth > 0) {
    bool straight = true;
    for (const double t : {0.25, 0.5, 0.75}) {
      const double u = a.x + t * (b.x - a.x);
      straight = straight &&
                 std::abs(f(u) - (a.y + t * (b.y - a.y))) * std::abs(b.x - a.x) <= kChord * distance(a, b);
    }
    if (!straight) {
      const double u = (a.x + b.x) / 2;
      const Vec2 m{u, f(u)};
      sample(f, a, m, depth - 1, out);
      sample(f, m, b, depth - 1, out);
      return;
    }
  }
  out.push_back(b);
}

}  // namespace ovolo
