#pragma once
#include <array>
#include <cstddef>

namespace ovolo {

/// The powers' coefficients, lowest first, of the polynomial that takes the values v at the places t (all
/// different): Newton's divided differences, multiplied out.
template <std::size_t N>
std::array<double, N> polynomial_through(const std::array<double, N>& t, std::array<double, N> v) {
  for (std::size_t level = 1; level < N; ++level)
    for (std::size_t k = N - 1; k >= level; --k) v[k] = (v[k] - v[k - 1]) / (t[k] - t[k - level]);
  std::array<double, N> c{};
  c[0] = v[N - 1];
  for (std::size_t k = N - 1; k-- > 0;) {
    for (std::size_t j = N - 1; j > 0; --j) c[j] = c[j - 1] - t[k] * c[j];
    c[0] = v[k] - t[k] * c[0];
  }
  return c;
}

}  // namespace ovolo
