#pragma once
#include <cstdint>

#include "sim/stock/pages.hpp"

namespace ovolo::render {

/// A picture: width x height pixels, rows from the top, four bytes each (sRGB and straight alpha).
struct Image {
  int width = 0;
  int height = 0;
  PageVector<std::uint8_t> rgba;

  Image() = default;
  /// A transparent black picture.
  Image(int columns, int rows);
  std::uint8_t* pixel(int x, int y) {
    return &rgba[4 * (static_cast<std::size_t>(y) * stride() + static_cast<std::size_t>(x))];
  }
  const std::uint8_t* pixel(int x, int y) const {
    return &rgba[4 * (static_cast<std::size_t>(y) * stride() + static_cast<std::size_t>(x))];
  }
  std::size_t stride() const { return static_cast<std::size_t>(width); }
};

/// Lays `over` on `base` by its alpha, its upper left corner at pixel (x, y); what falls outside is left
/// away.
void lay_over(Image& base, const Image& over, int x = 0, int y = 0);

/// Mean difference of the two pictures' colours, 0 (equal) to 1 (black against white), after a 3 x 3 mean
/// that forgives shifted edges. Throws std::invalid_argument when the sizes differ.
double difference(const Image& a, const Image& b);

}  // namespace ovolo::render
