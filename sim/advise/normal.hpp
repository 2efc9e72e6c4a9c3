#pragma once
#include <cmath>
#include <numbers>

namespace ovolo {

/// Density of the normal distribution with mean 0 and standard deviation 1.
inline double normal_density(double x) { return std::exp(-x * x / 2) / std::sqrt(2 * std::numbers::pi); }

/// Chance that a normal variable exceeds x standard deviations; keeps its relative precision in the tail.
inline double normal_tail(double x) { return std::erfc(x / std::numbers::sqrt2) / 2; }

/// Chance that a normal variable falls outside [lo, hi], precise when it is small. A standard deviation of 0
/// means that the variable is its mean.
inline double chance_outside(double mean, double sigma, double lo, double hi) {
  if (lo > hi) return 1;
  if (sigma <= 0) return mean < lo || mean > hi ? 1 : 0;
  return normal_tail((mean - lo) / sigma) + normal_tail((hi - mean) / sigma);
}

}  // namespace ovolo
