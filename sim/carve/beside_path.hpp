#pragma once
#include <algorithm>
#include <functional>

#include "sim/path/climb.hpp"

namespace ovolo {

/// The foot at y, on either side of a circular path; radius 0: of a straight one. mm.
inline Beside beside(double y, double radius) {
  return radius == 0 ? Beside::line(y) : Beside::arc(std::max(0.0, radius + y), radius);
}

/// The end of a stretch that has a property, between a place that has it and one that has not.
inline double stretch_end(const std::function<bool(double)>& has, double with, double without) {
  for (int i = 0; i < 50; ++i) {
    const double middle = 0.5 * (with + without);
    (has(middle) ? with : without) = middle;
  }
  return with;
}

}  // namespace ovolo
