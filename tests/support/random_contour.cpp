#include "tests/support/random_contour.hpp"

#include <algorithm>

namespace ovolo::test {

std::optional<Contour> random_contour(std::mt19937_64& random, int corners) {
  std::uniform_real_distribution<double> place(-20, 20);
  std::uniform_real_distribution<double> bulge(-0.6, 0.6);
  std::vector<Vec2> points;
  for (int i = 0; i < corners; ++i) points.push_back({place(random), place(random)});
  const std::size_t n = points.size();
  for (bool changed = true; changed;) {
    changed = false;
    for (std::size_t i = 0; i < n; ++i) {
      for (std::size_t j = i + 2; j < n; ++j) {
        if (i == 0 && j + 1 == n) continue;
        const Vec2 a = points[i], b = points[i + 1], c = points[j], d = points[(j + 1) % n];
        if (distance(a, c) + distance(b, d) >= distance(a, b) + distance(c, d) - 1e-12) continue;
        std::reverse(points.begin() + static_cast<std::ptrdiff_t>(i) + 1,
                     points.begin() + static_cast<std::ptrdiff_t>(j) + 1);
        changed = true;
      }
    }
  }
  std::vector<Segment> sides;
  for (std::size_t i = 0; i < n; ++i)
    sides.push_back(Segment::bulge(points[i], points[(i + 1) % n], random() % 2 == 0 ? 0 : bulge(random)));
  Contour c(sides, true);
  Vec2 where;
  if (self_crossing(c, where)) return std::nullopt;
  return c;
}

}  // namespace ovolo::test
