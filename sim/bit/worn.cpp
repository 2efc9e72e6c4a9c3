#include "sim/bit/worn.hpp"

#include <algorithm>
#include <cmath>

namespace ovolo {

Roundover worn(const Roundover& bit, double lost) {
  Roundover out = bit;
  out.working_depth = std::clamp(bit.working_depth - lost, 1e-3 * bit.radius, bit.radius);
  const double h0 = out.h0();
  const double run = std::sqrt(std::max(0.0, out.radius * out.radius - h0 * h0));
  out.tip_radius = std::max(0.0, bit.cutting_radius - run);
  out.cutting_radius = out.tip_radius + run;
  return out;
}

}  // namespace ovolo
