#include "render/image.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace ovolo::render {

Image::Image(int columns, int rows)
    : width(columns),
      height(rows),
      rgba(4 * static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows)) {}

void lay_over(Image& base, const Image& over, int x, int y) {
  const int x0 = std::max(0, -x), x1 = std::min(over.width, base.width - x);
  const int y0 = std::max(0, -y), y1 = std::min(over.height, base.height - y);
  for (int j = y0; j < y1; ++j) {
    for (int i = x0; i < x1; ++i) {
      const std::uint8_t* s = over.pixel(i, j);
      std::uint8_t* d = base.pixel(i + x, j + y);
      const int sa = s[3];
      if (sa == 0) continue;
      const int da = d[3] * (255 - sa) / 255;
      const int alpha = sa + da;
      for (int c = 0; c < 3; ++c)
        d[c] = static_cast<std::uint8_t>((s[c] * sa + d[c] * da + alpha / 2) / alpha);
      d[3] = static_cast<std::uint8_t>(alpha);
    }
  }
}

namespace {

double softened(const Image& image, int x, int y, int channel) {
  double sum = 0;
  int n = 0;
  for (int j = std::max(0, y - 1); j <= std::min(image.height - 1, y + 1); ++j) {
    for (int i = std::max(0, x - 1); i <= std::min(image.width - 1, x + 1); ++i, ++n)
      sum += image.pixel(i, j)[channel];
  }
  return sum / n;
}

}  // namespace

double difference(const Image& a, const Image& b) {
  if (a.width != b.width || a.height != b.height) {
    throw std::invalid_argument("pictures of different sizes cannot be compared");
  }
  if (a.rgba.empty()) return 0;
  double sum = 0;
  for (int y = 0; y < a.height; ++y) {
    for (int x = 0; x < a.width; ++x) {
      for (int c = 0; c < 3; ++c) sum += std::fabs(softened(a, x, y, c) - softened(b, x, y, c));
    }
  }
  return sum / (3.0 * 255.0 * a.width * a.height);
}

}  // namespace ovolo::render
