#include "io/bits/tip_flat.hpp"

#include <algorithm>
#include <cmath>

namespace ovolo::io {

double tip_flat(const Bit& bit) {
  double level = 0;
  if (!bit.wanted.curve.empty()) {
    const Segment& foot = bit.wanted.curve.front();
    if (!foot.is_arc() && std::abs(foot.a.x) < 1e-9 && std::abs(foot.b.y - foot.a.y) < 1e-9) level = foot.b.x;
  }
  return 2 * std::max(0.0, bit.profile.tip_flat_radius() - level);
}

}  // namespace ovolo::io
