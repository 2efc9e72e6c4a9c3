#include "sim/measure/stations.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace ovolo {
namespace {

constexpr std::size_t kMostMarks = 2000;                          // beyond this only the joints are kept
constexpr std::array<double, 5> kNear{0.01, 0.1, 0.4, 1.0, 2.0};  // mm from a mark

}  // namespace

double to_border(const Stock& stock, Vec2 p, Vec2 d, double limit) {
  double u = limit;
  if (d.x > 1e-12) u = std::min(u, (stock.width - p.x) / d.x);
  if (d.x < -1e-12) u = std::min(u, -p.x / d.x);
  if (d.y > 1e-12) u = std::min(u, (stock.height - p.y) / d.y);
  if (d.y < -1e-12) u = std::min(u, -p.y / d.y);
  return std::max(u, 0.0);
}

std::vector<StationPlace> station_places(const Contour& contour, std::vector<double> marks, double spacing) {
  const double total = contour.length();
  if (marks.size() > kMostMarks) marks.clear();
  if (contour.segments().size() > kMostMarks)
    spacing = std::max(spacing, total / static_cast<double>(kMostMarks));
  else
    for (std::size_t i = 0; i < contour.segments().size(); ++i) marks.push_back(contour.start_of(i));
  marks.push_back(0);
  marks.push_back(total);
  std::sort(marks.begin(), marks.end());

  std::vector<StationPlace> places;
  std::vector<double> inner;
  double from = 0;
  for (const double mark : marks) {
    if (mark > total) break;
    if (mark - from < 1e-6) continue;
    const double run = mark - from, half = run / 2;
    inner.clear();
    for (const double d : kNear)
      if (d < half) {
        inner.push_back(d);
        inner.push_back(run - d);
      }
    const double start = std::min(kNear.back(), half);
    const auto steps = static_cast<std::size_t>(std::ceil((run - 2 * start) / spacing));
    for (std::size_t i = 1; i < steps; ++i)
      inner.push_back(start + (run - 2 * start) * static_cast<double>(i) / static_cast<double>(steps));
    if (steps <= 1) inner.push_back(half);
    std::sort(inner.begin(), inner.end());
    for (std::size_t i = 0; i < inner.size(); ++i) {
      const double lo = i == 0 ? 0 : (inner[i - 1] + inner[i]) / 2;
      const double hi = i + 1 == inner.size() ? run : (inner[i] + inner[i + 1]) / 2;
      places.push_back({from + inner[i], hi - lo});
    }
    from = mark;
  }
  return places;
}

}  // namespace ovolo
