#include "sim/shop/engagement.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace ovolo {
namespace {

/// A thin strip across the path and the heights above the tip between which it is cut.
struct Column {
  double v, from, to;
};

}  // namespace

Engagement engagement(const Profile& profile, double tip_z, const SurfaceAcross& before,
                      const EngagementOptions& options) {
  Engagement e;
  const double c = profile.cutting_radius();
  const double width = c / options.columns;
  std::vector<Column> columns;
  double lowest = std::numeric_limits<double>::infinity(), highest = 0;
  e.inner = c;
  for (int i = 0; i < options.columns; ++i) {
    const double r = (i + 0.5) * width;
    const double from = std::max(profile.height(r), options.bottom - tip_z);
    for (const double v : {-r, r}) {
      const double to = before(v) - tip_z;
      if (!(to > from)) continue;
      columns.push_back({v, from, to});
      e.area += (to - from) * width;
      e.swept += (to - from) * width * std::max(0.0, 1 - options.curvature * v);
      e.width += width;
      e.inner = std::min(e.inner, r - width / 2);
      e.outer = std::max(e.outer, r + width / 2);
      lowest = std::min(lowest, from);
      highest = std::max(highest, to);
    }
  }
  if (columns.empty()) {
    e.inner = 0;
    return e;
  }
  e.depth = highest - lowest;
  // Largest radius at or below each height: columns ascend in r, so their profile heights do too.
  for (int k = 0; k < options.slices; ++k) {
    ContactSlice s;
    s.height = highest * (k + 0.5) / options.slices;
    double nearest = std::numeric_limits<double>::infinity();
    for (const Column& column : columns) {
      if (column.from > s.height || column.to <= s.height) continue;
      s.width += width;
      nearest = std::min(nearest, std::fabs(column.v) - width / 2);
    }
    int wide = 0;
    for (int lo = 0, hi = options.columns; lo < hi;) {
      const int mid = (lo + hi) / 2;
      if (profile.height((mid + 0.5) * width) <= s.height)
        wide = lo = mid + 1;
      else
        hi = mid;
    }
    s.radius = wide * width;
    if (s.radius > 0 && s.width > 0) {
      const double ratio = std::clamp(nearest / s.radius, 0.0, 1.0);
      s.chip = std::sqrt(1 - ratio * ratio);
    }
    e.slices.push_back(s);
  }
  return e;
}

}  // namespace ovolo
