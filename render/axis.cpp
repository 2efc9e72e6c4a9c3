#include "render/axis.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "render/labels.hpp"

namespace ovolo::render {

Ticks ticks(double top, int wanted) {
  Ticks out;
  if (!(top > 0) || !std::isfinite(top)) return out;
  double step = round_below(top / wanted);
  while (top / step > 1.6 * wanted)
    step *= std::fabs(step / std::pow(10.0, std::floor(std::log10(step) + 1e-9)) - 2) < 0.1 ? 2.5 : 2;
  const int decimals = std::max(0, static_cast<int>(-std::floor(std::log10(step) + 1e-9)));
  for (int i = 0; i * step <= top * (1 + 1e-9); ++i) {
    out.at.push_back(i * step);
    out.label.push_back(fmt::format("{:.{}f}", i * step, decimals));
  }
  return out;
}

}  // namespace ovolo::render
