#pragma once
#include <cmath>
#include <cstdint>
#include <numbers>

namespace ovolo {

/// Random numbers that depend only on their keys, so that they are the same in any order and on any machine:
/// SplitMix64 (Steele, Lea and Flood 2014) started from a mixture of the keys.
class Draws {
 public:
  explicit Draws(std::uint64_t seed, std::uint64_t a = 0, std::uint64_t b = 0, std::uint64_t c = 0)
      : state_(seed) {
    for (const std::uint64_t key : {a, b, c}) state_ = bits() ^ (key + 0x9e3779b97f4a7c15ULL);
  }
  std::uint64_t bits() {
    std::uint64_t z = (state_ += 0x9e3779b97f4a7c15ULL);
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
    return z ^ (z >> 31);
  }
  /// In (0, 1).
  double uniform() { return (static_cast<double>(bits() >> 11) + 0.5) * 0x1p-53; }
  /// Mean 0, standard deviation 1 (Box and Muller).
  double normal() {
    const double r = std::sqrt(-2 * std::log(uniform()));
    return r * std::cos(2 * std::numbers::pi * uniform());
  }

 private:
  std::uint64_t state_;
};

}  // namespace ovolo
