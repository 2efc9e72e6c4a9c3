#include "render/grain.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <cstdint>
#include <string_view>

namespace ovolo::render {

namespace {

double lattice(std::int64_t x, std::int64_t y, std::int64_t z) {
  auto h = static_cast<std::uint64_t>(x) * 0x9e3779b97f4a7c15ULL ^
           static_cast<std::uint64_t>(y) * 0xc2b2ae3d27d4eb4fULL ^
           static_cast<std::uint64_t>(z) * 0x165667b19e3779f9ULL;
  h ^= h >> 29;
  h *= 0xbf58476d1ce4e5b9ULL;
  h ^= h >> 32;
  return static_cast<double>(h >> 11) * (2.0 / 9007199254740992.0) - 1;
}

/// Smooth noise of unit spacing, -1 to 1.
double noise(double x, double y, double z) {
  const double fx = std::floor(x), fy = std::floor(y), fz = std::floor(z);
  const auto i = static_cast<std::int64_t>(fx), j = static_cast<std::int64_t>(fy),
             k = static_cast<std::int64_t>(fz);
  const auto ease = [](double t) { return t * t * (3 - 2 * t); };
  const double u = ease(x - fx), v = ease(y - fy), w = ease(z - fz);
  const auto along = [&](std::int64_t b, std::int64_t c) {
    const double p = lattice(i, b, c);
    return p + u * (lattice(i + 1, b, c) - p);
  };
  const double a = along(j, k), b = along(j + 1, k), c = along(j, k + 1), d = along(j + 1, k + 1);
  const double low = a + v * (b - a), high = c + v * (d - c);
  return low + w * (high - low);
}

}  // namespace

Grain grain_of(const std::string& layer_name) {
  constexpr std::array<std::string_view, 4> fibres{"mdf", "fibre", "fiber", "particle"};
  constexpr std::array<std::string_view, 15> woods{"wood",   "veneer", "ply",    "oak",      "ash",
                                                   "walnut", "maple",  "birch",  "beech",    "cherry",
                                                   "pine",   "teak",   "spruce", "mahogany", "poplar"};
  const auto any_begins = [](const auto& words, std::string_view word) {
    return std::any_of(words.begin(), words.end(),
                       [word](std::string_view w) { return word.starts_with(w); });
  };
  std::string name = layer_name + " ";
  bool wood = false;
  std::string word;
  for (const char c : name) {
    if (std::isalpha(static_cast<unsigned char>(c)) != 0) {
      word += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
      continue;
    }
    if (any_begins(fibres, word)) return Grain::fibre;
    wood = wood || any_begins(woods, word) || word.ends_with("wood");
    word.clear();
  }
  return wood ? Grain::wood : Grain::plastic;
}

Reflectance to_reflectance(Color c) {
  return {to_linear(c.r / 255.0), to_linear(c.g / 255.0), to_linear(c.b / 255.0)};
}

double tone_at(Grain grain, Vec3 p) {
  switch (grain) {
    case Grain::wood: {
      const double wave = 0.5 * noise(0.05 * p.x, 0.25 * p.y, 0.25 * p.z);
      const double rings = std::sin(7 * (0.35 * p.y + 0.2 * p.z + wave));
      const double pores = noise(0.6 * p.x, 9 * p.y, 9 * p.z);
      return 1 + 0.06 * rings + 0.07 * pores + 0.05 * noise(0.15 * p.x, 2.5 * p.y, 2.5 * p.z);
    }
    case Grain::fibre:
      return 1 + 0.045 * noise(24 * p.x, 24 * p.y, 30 * p.z) + 0.035 * noise(6 * p.x, 6 * p.y, 8 * p.z) +
             0.02 * noise(1.3 * p.x, 1.3 * p.y, 2 * p.z);
    case Grain::plastic:
      break;
  }
  return 1 + 0.018 * noise(14 * p.x, 14 * p.y, 14 * p.z) + 0.012 * noise(1.1 * p.x, 1.1 * p.y, 1.1 * p.z);
}

}  // namespace ovolo::render
