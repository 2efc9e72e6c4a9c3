#pragma once
#include <string>
#include <vector>

namespace ovolo::render {

/// Round places (steps of 1, 2 or 5 times a power of ten) from 0 to `top`, about `wanted` of them, with
/// labels of equal decimals.
struct Ticks {
  std::vector<double> at;
  std::vector<std::string> label;
};
Ticks ticks(double top, int wanted);

}  // namespace ovolo::render
