#include "sim/solid/least_squares_point.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace ovolo {
namespace {

using Matrix = std::array<std::array<double, 3>, 3>;

// Jacobi's rotations: a becomes diagonal, the columns of v its directions.
void diagonalize(Matrix& a, Matrix& v) {
  v = {{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}};
  for (int sweep = 0; sweep < 12; ++sweep) {
    if (std::abs(a[0][1]) + std::abs(a[0][2]) + std::abs(a[1][2]) < 1e-15) return;
    for (std::size_t p = 0; p < 2; ++p)
      for (std::size_t q = p + 1; q < 3; ++q) {
        if (a[p][q] == 0) continue;
        const double theta = (a[q][q] - a[p][p]) / (2 * a[p][q]);
        const double t = (theta < 0 ? -1 : 1) / (std::abs(theta) + std::sqrt(theta * theta + 1));
        const double c = 1 / std::sqrt(t * t + 1), s = t * c;
        for (std::size_t k = 0; k < 3; ++k) {
          const double kp = a[k][p], kq = a[k][q];
          a[k][p] = c * kp - s * kq;
          a[k][q] = s * kp + c * kq;
        }
        for (std::size_t k = 0; k < 3; ++k) {
          const double pk = a[p][k], qk = a[q][k];
          a[p][k] = c * pk - s * qk;
          a[q][k] = s * pk + c * qk;
          const double vp = v[k][p], vq = v[k][q];
          v[k][p] = c * vp - s * vq;
          v[k][q] = s * vp + c * vq;
        }
      }
  }
}

}  // namespace

Point3 meeting_point(const std::vector<PlaneThrough>& planes, int& rank) {
  Point3 mean;
  for (const PlaneThrough& p : planes) mean = mean + p.at;
  mean = (1.0 / static_cast<double>(planes.size())) * mean;
  Matrix a{}, v{};
  std::array<double, 3> b{};
  for (const PlaneThrough& p : planes) {
    const std::array<double, 3> n{p.normal.x, p.normal.y, p.normal.z};
    const double d = dot(p.normal, p.at - mean);
    for (std::size_t i = 0; i < 3; ++i) {
      for (std::size_t j = 0; j < 3; ++j) a[i][j] += n[i] * n[j];
      b[i] += n[i] * d;
    }
  }
  diagonalize(a, v);
  const double most = std::max({a[0][0], a[1][1], a[2][2]});
  rank = 0;
  Point3 out = mean;
  for (std::size_t k = 0; k < 3; ++k) {
    if (a[k][k] < 0.003 * most) continue;
    ++rank;
    const double step = (v[0][k] * b[0] + v[1][k] * b[1] + v[2][k] * b[2]) / a[k][k];
    out = out + step * Point3{v[0][k], v[1][k], v[2][k]};
  }
  return out;
}

}  // namespace ovolo
