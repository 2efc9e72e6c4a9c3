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

/// The unit of an axis and how many mm it is.
struct AxisUnit {
  const char* name;
  double mm;
};
/// The reader's own unit, which the left and the lower axis are in, and the other, on the right and above.
struct AxisUnits {
  AxisUnit own, other;
};
constexpr AxisUnits axis_units(bool inch) {
  constexpr AxisUnit kMm{"mm", 1}, kInches{"inch", 25.4};
  return inch ? AxisUnits{kInches, kMm} : AxisUnits{kMm, kInches};
}

}  // namespace ovolo::render
