#include "sim/carve/climb_backs.hpp"

#include <algorithm>
#include <cmath>

#include "sim/carve/beside_path.hpp"

namespace ovolo {

std::vector<ClimbBack> climb_backs(const Profile::Piece& piece, double radius, double slope) {
  std::vector<ClimbBack> out;
  for (const double side : {1.0, -1.0}) {
    if (side < 0 && radius == 0) break;
    // The nearest place on the piece at which the sweep is lower than on either side; negative when there is
    // none.
    const auto lowest = [&](double y) {
      const Beside from = beside(y, radius);
      const double lo = std::max(piece.r0, from.y()), hi = std::min(piece.r1, from.farthest());
      if (!(lo < hi)) return -1.0;
      const auto height = [&](double r) { return piece.height(r) - slope * from.back(r); };
      Distances places;
      places.add(lo);
      for (const double r : stationary_distances(piece, from, slope, lo, hi)) places.add(r);
      places.add(hi);
      for (int i = 1; i + 1 < places.count; ++i) {
        const double* r = places.begin() + i;
        if (height(*r) <= height(r[-1]) && height(*r) <= height(r[1])) return from.back(*r);
      }
      // Where the piece is steep the lowest place is too near the foot to be told from it.
      const bool at_foot = lo == from.y() && places.count == 2 && height(lo + 1e-6 * (hi - lo)) > height(lo);
      return at_foot ? 0.0 : -1.0;
    };
    const auto has = [&](double y) { return lowest(y) >= 0; };
    constexpr int kRaster = 256;
    const double most = side > 0 ? piece.r1 : -std::min(piece.r1, radius);
    int first = -1, last = -1;
    for (int k = 0; k <= kRaster; ++k) {
      if (!has(most * k / kRaster)) continue;
      if (first < 0) first = k;
      last = k;
    }
    if (first < 0) continue;
    const double near =
        first == 0 ? 0 : stretch_end(has, most * first / kRaster, most * (first - 1) / kRaster);
    const double far =
        last == kRaster ? most : stretch_end(has, most * last / kRaster, most * (last + 1) / kRaster);
    if (near == far) continue;
    ClimbBack curve;
    double most_back = 0;
    const auto back = [&](double y) {
      const double w = std::max(0.0, lowest(y));
      most_back = std::max(most_back, w);
      return w;
    };
    fit_cubics(back, std::min(near, far), std::max(near, far), true, curve.back);
    curve.most_back = static_cast<float>(1.05 * most_back + 1e-3);
    out.push_back(curve);
  }
  return out;
}

}  // namespace ovolo
