#pragma once
#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace ovolo {

/// Gauss-Legendre rule with 16 points on [a, b].
template <class F>
double gauss_16(F f, double a, double b) {
  // Abscissae and weights: Abramowitz and Stegun, table 25.4.
  constexpr std::array<double, 8> x{0.0950125098376374401853193, 0.2816035507792589132304605,
                                    0.4580167776572273863424194, 0.6178762444026437484466718,
                                    0.7554044083550030338951012, 0.8656312023878317438804679,
                                    0.9445750230732325760779884, 0.9894009349916499325961542};
  constexpr std::array<double, 8> w{0.1894506104550684962853967, 0.1826034150449235888667637,
                                    0.1691565193950025381893121, 0.1495959888165767320815017,
                                    0.1246289712555338720524763, 0.0951585116824927848099251,
                                    0.0622535239386478928628438, 0.0271524594117540948517806};
  const double middle = (a + b) / 2, half = (b - a) / 2;
  double sum = 0;
  for (std::size_t i = 0; i < x.size(); ++i)
    sum += w[i] * (f(middle - half * x[i]) + f(middle + half * x[i]));
  return half * sum;
}

namespace detail {
template <class F>
double adapt(const F& f, double a, double b, double whole, double tolerance, int depth) {
  const double m = (a + b) / 2;
  const double left = gauss_16(f, a, m), right = gauss_16(f, m, b);
  if (depth == 0 || std::abs(left + right - whole) <= tolerance) return left + right;
  return adapt(f, a, m, left, tolerance / 2, depth - 1) + adapt(f, m, b, right, tolerance / 2, depth - 1);
}
}  // namespace detail

/// Integral of f over [a, b], halving until halves and whole agree to `tolerance`; the same points on every
/// run. `cuts` are places where f jumps or bends, in any order.
template <class F>
double integrate(const F& f, double a, double b, std::vector<double> cuts, double tolerance) {
  if (!(b > a)) return 0;
  cuts.push_back(a);
  cuts.push_back(b);
  std::sort(cuts.begin(), cuts.end());
  double sum = 0, from = a;
  for (const double cut : cuts) {
    const double to = std::clamp(cut, a, b);
    if (to <= from) continue;
    sum += detail::adapt(f, from, to, gauss_16(f, from, to), tolerance, 40);
    from = to;
  }
  return sum;
}

/// Integral of f over [a, b] by 16-point rules: cut at `cuts` (any order), then each stretch into
/// pieces(from, to) equal pieces.
template <class F, class Pieces>
double integrate_pieces(const F& f, double a, double b, std::vector<double> cuts, const Pieces& pieces) {
  if (!(b > a)) return 0;
  cuts.push_back(b);
  std::sort(cuts.begin(), cuts.end());
  double sum = 0, from = a;
  for (const double cut : cuts) {
    const double to = std::clamp(cut, a, b);
    if (to <= from) continue;
    const int n = std::clamp(pieces(from, to), 1, 256);
    for (int i = 0; i < n; ++i)
      sum += gauss_16(f, from + (to - from) * i / n, from + (to - from) * (i + 1) / n);
    from = to;
  }
  return sum;
}

}  // namespace ovolo
