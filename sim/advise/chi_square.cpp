#include "sim/advise/chi_square.hpp"

#include <cmath>

namespace ovolo {

double chi_square_tail(double x, int freedom) {
  if (freedom <= 0 || x <= 0) return 1;
  const double a = freedom / 2.0, y = x / 2;
  const double front = std::exp(-y + a * std::log(y) - std::lgamma(a));
  if (y < a + 1) {
    double term = 1 / a, sum = term;
    for (int n = 1; n < 1000 && term > 1e-17 * sum; ++n) sum += term *= y / (a + n);
    return 1 - front * sum;
  }
  // Lentz's method.
  constexpr double tiny = 1e-300;
  double b = y + 1 - a, c = 1 / tiny, d = 1 / b, h = d;
  for (int n = 1; n < 1000; ++n) {
    const double an = -n * (n - a);
    b += 2;
    d = an * d + b;
    if (std::abs(d) < tiny) d = tiny;
    c = b + an / c;
    if (std::abs(c) < tiny) c = tiny;
    d = 1 / d;
    const double step = d * c;
    h *= step;
    if (std::abs(step - 1) < 1e-15) break;
  }
  return front * h;
}

}  // namespace ovolo
