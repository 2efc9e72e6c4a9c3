#include "io/in_units.hpp"

#include <fmt/format.h>

#include <cmath>

#include "io/text.hpp"

namespace ovolo::io {
namespace {

constexpr double kSquareInch = kInch * kInch;         // mm^2
constexpr double kCubicInch = kInch * kInch * kInch;  // mm^3
constexpr double kFoot = 0.3048;                      // m

// A fixed number of decimals, without the sign of a zero.
std::string fixed(double v, int decimals) {
  const double half = 0.5 * std::pow(10.0, -decimals);
  return fmt::format("{:.{}f}", std::abs(v) < half ? 0.0 : v, decimals);
}

std::string in_mm(double mm, int decimals) { return fixed(mm, decimals) + " mm"; }
std::string in_inch(double mm, int decimals) { return fixed(mm / kInch, decimals + 1) + " in"; }

}  // namespace

std::string InUnits::number(double mm, int decimals) const {
  return inch_ ? fixed(mm / kInch, decimals + 1) : fixed(mm, decimals);
}

std::string InUnits::length(double mm, int decimals) const {
  return inch_ ? in_inch(mm, decimals) : in_mm(mm, decimals);
}

std::string InUnits::both(double mm, int decimals) const {
  const std::string a = in_mm(mm, decimals), b = in_inch(mm, decimals);
  return inch_ ? fmt::format("{} ({})", b, a) : fmt::format("{} ({})", a, b);
}

std::string InUnits::columns(double mm) const {
  const std::string a = fmt::format("{:>9} mm", fixed(mm, 3)),
                    b = fmt::format("{:>9} in", fixed(mm / kInch, 4));
  return inch_ ? b + ' ' + a : a + ' ' + b;
}

std::string InUnits::place(Vec2 at) const {
  return fmt::format("x {}, y {} {}", number(at.x, 1), number(at.y, 1), unit());
}

std::string InUnits::both_places(Vec2 at) const {
  return fmt::format("{} ({})", place(at), InUnits(!inch_).place(at));
}

std::string InUnits::fine(double mm) const {
  const std::string um = fixed(mm * 1000, 1) + " um", thou = fixed(mm / kInch * 1000, 2) + " thou";
  return inch_ ? fmt::format("{} ({})", thou, um) : fmt::format("{} ({})", um, thou);
}

std::string InUnits::roughness(double mm) const {
  return inch_ ? fixed(mm / kInch * 1e6, 0) + " uin" : fixed(mm * 1000, 2) + " um";
}

std::string InUnits::area(double mm2, int decimals) const {
  return inch_ ? fixed(mm2 / kSquareInch, decimals + 2) + " in2" : fixed(mm2, decimals) + " mm2";
}

std::string InUnits::volume(double mm3, int decimals) const {
  return inch_ ? fixed(mm3 / kCubicInch, 5) + " in3" : fixed(mm3, decimals) + " mm3";
}

std::string InUnits::large_volume(double mm3) const {
  return inch_ ? fixed(mm3 / kCubicInch, 2) + " in3" : fixed(mm3 / 1000, 1) + " cm3";
}

std::string InUnits::speed(double metres_per_second) const {
  return inch_ ? fixed(metres_per_second / kFoot * 60, 0) + " ft/min" : fixed(metres_per_second, 1) + " m/s";
}

std::string InUnits::feed(double mm_per_min) const {
  return inch_ ? fixed(mm_per_min / kInch, 1) + " in/min" : fixed(mm_per_min, 0) + " mm/min";
}

std::string InUnits::way(double metres) const {
  return inch_ ? fixed(metres / kFoot, 0) + " ft" : fixed(metres, 0) + " m";
}

std::string InUnits::sentence(std::string_view text) const {
  return inch_ ? inch_first(text) : std::string(text);
}

}  // namespace ovolo::io
