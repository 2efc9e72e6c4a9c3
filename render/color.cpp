#include "render/color.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ovolo::render {

std::string hex(Color c) { return fmt::format("#{:02x}{:02x}{:02x}", c.r, c.g, c.b); }

Color mix(Color a, Color b, double t) {
  const auto channel = [t](std::uint8_t x, std::uint8_t y) {
    return static_cast<std::uint8_t>(std::lround(std::clamp(x + t * (y - x), 0.0, 255.0)));
  };
  return {channel(a.r, b.r), channel(a.g, b.g), channel(a.b, b.b)};
}

double to_linear(double c) { return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4); }

double to_srgb(double c) { return c <= 0.0031308 ? 12.92 * c : 1.055 * std::pow(c, 1 / 2.4) - 0.055; }

ToneTable::ToneTable() {
  for (std::size_t i = 0; i < linear_.size(); ++i) linear_[i] = to_linear(static_cast<double>(i) / 255);
  for (std::size_t i = 0; i < bytes_.size(); ++i) {
    bytes_[i] =
        static_cast<std::uint8_t>(std::lround(255 * to_srgb((static_cast<double>(i) + 0.5) / kSteps)));
  }
}

double luminance(Color c) {
  return 0.2126 * to_linear(c.r / 255.0) + 0.7152 * to_linear(c.g / 255.0) + 0.0722 * to_linear(c.b / 255.0);
}

}  // namespace ovolo::render
