#include "sim/advise/least_squares.hpp"

#include <cmath>

namespace ovolo {
namespace {

double sum_of_squares(const std::vector<double>& r) {
  double sum = 0;
  for (const double v : r) sum += v * v;
  return sum;
}

// Lower triangle L with L L' = m; empty when m is not positive definite.
Matrix root(const Matrix& m, std::size_t n) {
  Matrix l(n * n, 0);
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t k = 0; k <= i; ++k) {
      double sum = m[i * n + k];
      for (std::size_t j = 0; j < k; ++j) sum -= l[i * n + j] * l[k * n + j];
      if (i == k) {
        if (!(sum > 0)) return {};
        l[i * n + i] = std::sqrt(sum);
      } else {
        l[i * n + k] = sum / l[k * n + k];
      }
    }
  return l;
}

std::vector<double> solve(const Matrix& l, std::size_t n, std::vector<double> b) {
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t k = 0; k < i; ++k) b[i] -= l[i * n + k] * b[k];
    b[i] /= l[i * n + i];
  }
  for (std::size_t i = n; i-- > 0;) {
    for (std::size_t k = i + 1; k < n; ++k) b[i] -= l[k * n + i] * b[k];
    b[i] /= l[i * n + i];
  }
  return b;
}

}  // namespace

Matrix inverse(const Matrix& m, std::size_t n) {
  const Matrix l = root(m, n);
  if (l.empty()) return {};
  Matrix out(n * n);
  for (std::size_t c = 0; c < n; ++c) {
    std::vector<double> e(n, 0);
    e[c] = 1;
    e = solve(l, n, std::move(e));
    for (std::size_t r = 0; r < n; ++r) out[r * n + c] = e[r];
  }
  return out;
}

LeastSquares least_squares(const std::function<std::vector<double>(const std::vector<double>&)>& residuals,
                           std::vector<double> start, double step,
                           const std::function<void(std::vector<double>&)>& bounded) {
  const std::size_t n = start.size();
  LeastSquares out;
  out.at = std::move(start);
  bounded(out.at);
  out.residuals = residuals(out.at);
  out.sum = sum_of_squares(out.residuals);
  const auto slopes_at = [&](const std::vector<double>& at) {
    Matrix j(out.residuals.size() * n);
    for (std::size_t c = 0; c < n; ++c) {
      std::vector<double> up = at, down = at;
      up[c] += step;
      down[c] -= step;
      bounded(up);
      bounded(down);
      const std::vector<double> ru = residuals(up), rd = residuals(down);
      const double run = up[c] - down[c];
      for (std::size_t r = 0; r < ru.size(); ++r) j[r * n + c] = run > 0 ? (ru[r] - rd[r]) / run : 0;
    }
    return j;
  };
  const auto normal = [&](const Matrix& j) {
    Matrix m(n * n, 0);
    for (std::size_t r = 0; r < out.residuals.size(); ++r)
      for (std::size_t a = 0; a < n; ++a)
        for (std::size_t b = 0; b < n; ++b) m[a * n + b] += j[r * n + a] * j[r * n + b];
    return m;
  };
  double damping = 1e-3;
  for (int i = 0; i < 100; ++i) {
    const Matrix j = slopes_at(out.at);
    const Matrix m = normal(j);
    std::vector<double> g(n, 0);
    for (std::size_t r = 0; r < out.residuals.size(); ++r)
      for (std::size_t a = 0; a < n; ++a) g[a] -= j[r * n + a] * out.residuals[r];
    bool better = false;
    double moved = 0;
    for (int k = 0; k < 20 && !better; ++k) {
      Matrix damped = m;
      for (std::size_t a = 0; a < n; ++a) damped[a * n + a] *= 1 + damping;
      const Matrix l = root(damped, n);
      if (!l.empty()) {
        std::vector<double> trial = solve(l, n, g);
        moved = 0;
        for (std::size_t a = 0; a < n; ++a) {
          moved = std::fmax(moved, std::abs(trial[a]));
          trial[a] += out.at[a];
        }
        bounded(trial);
        std::vector<double> r = residuals(trial);
        const double sum = sum_of_squares(r);
        if (sum <= out.sum) {
          better = true;
          out.at = std::move(trial);
          out.residuals = std::move(r);
          out.sum = sum;
        }
      }
      damping *= better ? 0.2 : 5;
    }
    if (!better || moved < 1e-9) break;
  }
  out.slopes = slopes_at(out.at);
  out.covariance = inverse(normal(out.slopes), n);
  return out;
}

}  // namespace ovolo
