#include "sim/carve/region_rows.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ovolo {
namespace {

// Calls piece(y0, y1, x_at) for every part of the loop that only rises or only falls; their ends join
// exactly, so that a row through a joint is counted once.
template <class Piece>
void monotone_parts(const Contour& loop, Piece&& piece) {
  const auto& segments = loop.segments();
  for (std::size_t i = 0; i < segments.size(); ++i) {
    const Segment& s = segments[i];
    const double end_y = segments[(i + 1) % segments.size()].a.y;
    if (!s.is_arc()) {
      piece(s.a.y, end_y,
            [&](double y) { return s.a.x + (s.b.x - s.a.x) * ((y - s.a.y) / (end_y - s.a.y)); });
      continue;
    }
    // Half turn k runs from the bottom (even k) or the top (odd k) of the circle to its other end.
    constexpr double kHalf = std::numbers::pi;
    const double sense = s.sweep > 0 ? 1 : -1;
    double k = s.sweep > 0 ? std::floor((s.angle + 0.5 * kHalf) / kHalf)
                           : std::ceil((s.angle + 0.5 * kHalf) / kHalf) - 1;
    const double last = s.angle + s.sweep;
    double y0 = s.a.y;
    for (;; k += sense) {
      const bool right = std::fmod(k, 2) == 0;
      const double stop = (sense > 0 ? k + 0.5 : k - 0.5) * kHalf;
      const bool ends = sense * (stop - last) >= 0;
      const bool top = right == (sense > 0);
      const double y1 = ends ? end_y : s.centre.y + (top ? s.radius : -s.radius);
      piece(y0, y1, [&](double y) {
        const double dy = y - s.centre.y;
        const double dx = std::sqrt(std::max(0.0, (s.radius - dy) * (s.radius + dy)));
        return right ? s.centre.x + dx : s.centre.x - dx;
      });
      if (ends) break;
      y0 = y1;
    }
  }
}

}  // namespace

RegionRows::RegionRows(const Region& region, const Grid& grid) {
  const Box2 box = region.box();
  if (box.empty()) return;
  const auto row_at = [&](double y) {  // first row whose middle lies at y or above
    const double row = std::ceil((y - grid.origin().y) / grid.cell - 0.5);
    return static_cast<std::int64_t>(std::clamp(row, 0.0, static_cast<double>(grid.rows)));
  };
  const auto middle = [&](std::int64_t row) {
    return grid.origin().y + (static_cast<double>(row) + 0.5) * grid.cell;
  };
  first_row_ = row_at(box.lo.y);
  const std::int64_t end_row = std::max(first_row_, std::min(grid.rows, row_at(box.hi.y) + 1));
  first_.assign(static_cast<std::size_t>(end_row - first_row_) + 1, 0);
  // Two rounds: count, then fill in.
  const auto each_crossing = [&](auto&& found) {
    for (const Contour& loop : region.loops) {
      monotone_parts(loop, [&](double y0, double y1, auto&& x_at) {
        const double lo = std::min(y0, y1), hi = std::max(y0, y1);
        for (std::int64_t row = std::max(first_row_, row_at(lo) - 1); row < end_row; ++row) {
          const double y = middle(row);
          if (y < lo) continue;
          if (!(y < hi)) break;
          found(static_cast<std::size_t>(row - first_row_), x_at(y));
        }
      });
    }
  };
  each_crossing([&](std::size_t row, double) { ++first_[row + 1]; });
  for (std::size_t r = 0; r + 1 < first_.size(); ++r) first_[r + 1] += first_[r];
  x_.resize(first_.back());
  std::vector<std::size_t> next(first_.begin(), first_.end() - 1);
  each_crossing([&](std::size_t row, double x) { x_[next[row]++] = x; });
  for (std::size_t r = 0; r + 1 < first_.size(); ++r)
    std::sort(x_.begin() + static_cast<std::ptrdiff_t>(first_[r]),
              x_.begin() + static_cast<std::ptrdiff_t>(first_[r + 1]));
}

std::span<const double> RegionRows::crossings(std::int64_t row) const {
  const std::int64_t r = row - first_row_;
  if (r < 0 || r + 1 >= static_cast<std::int64_t>(first_.size())) return {};
  const std::size_t k = static_cast<std::size_t>(r);
  return {x_.data() + first_[k], x_.data() + first_[k + 1]};
}

}  // namespace ovolo
