#include "sim/text.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

namespace ovolo {

std::string both_units(double mm) {
  const int digits = std::abs(mm) < 0.1 ? 3 : 2;
  return fmt::format("{:.{}f} mm ({:.4f} in)", mm, digits, mm / 25.4);
}

std::string degrees_text(double radians) {
  return fmt::format("{:.1f} degrees", radians * 180 / std::numbers::pi);
}

}  // namespace ovolo
