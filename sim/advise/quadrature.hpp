#pragma once
#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace ovolo {

namespace detail {

/// Abscissae (of the positive half) and weights of a Gauss-Legendre rule on [-1, 1]: Abramowitz and Stegun,
/// table 25.4.
template <std::size_t N>
struct GaussRule {
  std::array<double, N> x, w;
};
inline constexpr GaussRule<4> kGauss8{{0.1834346424956498049394761, 0.5255324099163289858177390,
                                       0.7966664774136267395915539, 0.9602898564975362316835609},
                                      {0.3626837833783619829651504, 0.3137066458778872873379622,
                                       0.2223810344533744705443560, 0.1012285362903762591525314}};
inline constexpr GaussRule<8> kGauss16{
    {0.0950125098376374401853193, 0.2816035507792589132304605, 0.4580167776572273863424194,
     0.6178762444026437484466718, 0.7554044083550030338951012, 0.8656312023878317438804679,
     0.9445750230732325760779884, 0.9894009349916499325961542},
    {0.1894506104550684962853967, 0.1826034150449235888667637, 0.1691565193950025381893121,
     0.1495959888165767320815017, 0.1246289712555338720524763, 0.0951585116824927848099251,
     0.0622535239386478928628438, 0.0271524594117540948517806}};

template <std::size_t N, class F>
double gauss(const GaussRule<N>& rule, const F& f, double a, double b) {
  const double middle = (a + b) / 2, half = (b - a) / 2;
  double sum = 0;
  for (std::size_t i = 0; i < N; ++i)
    sum += rule.w[i] * (f(middle - half * rule.x[i]) + f(middle + half * rule.x[i]));
  return half * sum;
}

// 16 points on the whole are far nearer to the truth than 8 on each half, which they are checked by. Parts
// are held to the same tolerance as the whole: one that shrank with them would fall below what f is known to.
template <class F>
double adapt(const F& f, double a, double b, double tolerance, int depth) {
  const double m = (a + b) / 2, whole = gauss(kGauss16, f, a, b);
  if (depth == 0 || std::abs(gauss(kGauss8, f, a, m) + gauss(kGauss8, f, m, b) - whole) <= tolerance)
    return whole;
  return adapt(f, a, m, tolerance, depth - 1) + adapt(f, m, b, tolerance, depth - 1);
}

}  // namespace detail

/// Integral of f over [a, b], halving until two rules agree to `tolerance` on each part; the same points on
/// every run. `cuts` are places where f jumps or bends, in any order.
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
    sum += detail::adapt(f, from, to, tolerance, 40);
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
      sum += detail::gauss(detail::kGauss16, f, from + (to - from) * i / n, from + (to - from) * (i + 1) / n);
    from = to;
  }
  return sum;
}

}  // namespace ovolo
