#include "io/report/form_numbers.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ovolo::io {
namespace {

FormNumber size(const char* key, const char* name, double v) {
  return {key, name, v, 0.5 * v, 1.5 * v, false};
}

// May be nothing at all.
FormNumber extra(const char* key, const char* name, double v, double most) {
  const double known = v < 1e-9 ? 0 : v;
  return {key, name, known, 0, std::max(most, 2 * known), false};
}

}  // namespace

std::vector<FormNumber> form_numbers(const Bit& bit) {
  const double across = 2 * bit.profile.cutting_radius(), r = bit.nominal_radius, tall = bit.working_depth;
  if (!bit.profile.undercut()) return {};
  const double top = 2 * bit.profile.chain().back().b.x;
  if (bit.form == "bullnose")
    return {size("radius", "Radius", r), size("neck_diameter", "Neck diameter", across - 2 * r),
            extra("land", "Land, height", tall / 2 - r, r)};
  if (bit.form == "bottom_round")
    return {size("radius", "Radius", r), size("neck_diameter", "Neck diameter", top),
            extra("land", "Land, height", tall - r, r)};
  if (bit.form == "dovetail") {
    const double degrees = std::atan2((across - top) / 2, tall) * 180 / std::numbers::pi;
    return {size("cutting_diameter", "Cutting diameter", across),
            {"angle", "Angle from the axis", degrees, std::max(1.0, 0.4 * degrees),
             std::min(80.0, 1.8 * degrees), true},
            size("height", "Height of the flank", tall)};
  }
  if (bit.form == "t_slot")
    return {size("cutting_diameter", "Cutting diameter", across),
            size("head_height", "Height of the head", tall), size("neck_diameter", "Neck diameter", top)};
  if (bit.form == "finger_pull")
    return {size("radius", "Radius", r), size("cutting_diameter", "Cutting diameter", across),
            size("neck_diameter", "Neck diameter", top),
            extra("lip_radius", "Radius of the lip", tall - 2 * r, r)};
  return {};
}

}  // namespace ovolo::io
