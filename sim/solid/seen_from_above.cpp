#include "sim/solid/seen_from_above.hpp"

#include <algorithm>
#include <cmath>

#include "sim/parallel.hpp"

namespace ovolo {

Heightfield seen_from_above(const FinishedSheet& sheet, double cell, const StopCheck& stop) {
  constexpr int kTile = Heightfield::kTile;
  const Box2& box = sheet.plan_box();
  const auto cells = [&](double d) { return static_cast<std::int64_t>(std::ceil(d / cell - 1e-9)); };
  Heightfield field(box.lo, cell, cells(box.hi.x - box.lo.x), cells(box.hi.y - box.lo.y));
  const double bottom = sheet.bottom(), enough = 0.05 * cell;
  const std::int64_t columns = field.tile_columns();
  const auto n = static_cast<std::size_t>(columns * field.tile_rows());
  std::vector<FinishedSheet::Near> near(n);
  // The box's own top, seen from a place just within it, says nothing of what was cut: ask the whole column.
  const double side = kTile * cell, radius = std::hypot(side / 1.414, -bottom / 2) + 2 * cell;
  std::vector<std::int64_t> held;
  for (std::size_t t = 0; t < n; ++t) {
    if (stop) stop();
    const auto i = static_cast<std::int64_t>(t) % columns, j = static_cast<std::int64_t>(t) / columns;
    near[t] = sheet.near({box.lo.x + side * (static_cast<double>(i) + 0.5),
                          box.lo.y + side * (static_cast<double>(j) + 0.5), bottom / 2},
                         radius);
    held.push_back(static_cast<std::int64_t>(t));
  }
  field.hold(held);
  parallel_for(n, [&](std::size_t t) {
    if (stop) stop();
    const auto ti = static_cast<std::int64_t>(t) % columns, tj = static_cast<std::int64_t>(t) / columns;
    float* heights = field.tile_for_write(ti, tj);
    for (int k = 0; k < kTile * kTile; ++k) {
      const Vec2 p = field.cell_centre(ti * kTile + k % kTile, tj * kTile + k / kTile);
      if (!box.contains(p)) continue;
      double z = -1e-6;
      while (z > bottom) {
        const double f = sheet.value(near[t], {p.x, p.y, z});
        if (f < 0) break;
        z -= std::max(f, enough);
      }
      heights[k] = static_cast<float>(z > bottom ? (z > -1e-5 ? 0 : z) : bottom);
    }
  });
  return field;
}

}  // namespace ovolo
