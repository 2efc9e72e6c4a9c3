#include "sim/text.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

namespace ovolo {

namespace {

// Decimals of a length in mm; its inches have four.
int decimals(double mm) { return std::abs(mm) < 0.1 ? 3 : 2; }

std::string rounded(double mm, double (*round)(double)) {
  const int digits = decimals(mm);
  const auto to = [&](double v, int places) {
    const double scale = std::pow(10.0, places);
    const double nearest = std::round(v * scale);
    // A value that is a round number but for noise stays that number.
    return (std::abs(v * scale - nearest) < 1e-6 * scale ? nearest : round(v * scale)) / scale + 0.0;
  };
  return fmt::format("{:.{}f} mm ({:.4f} in)", to(mm, digits), digits, to(mm / 25.4, 4));
}

}  // namespace

std::string both_units(double mm) {
  return rounded(mm, [](double v) { return std::round(v); });
}
std::string fine_units(double mm) {
  if (std::abs(mm) < 5e-4) mm = 0;  // no -0.000
  return fmt::format("{:.3f} mm ({:.4f} in)", mm, mm / 25.4);
}
std::string micro_units(double mm) {
  return fmt::format("{:.1f} um ({:.2f} thou)", 1000 * mm, 1000 * mm / 25.4);
}
std::string feed_units(double mm_per_min) {
  return fmt::format("{:.0f} mm/min ({:.1f} in/min)", mm_per_min, mm_per_min / 25.4);
}
std::string area_units(double mm2) {
  return fmt::format("{:.3f} mm2 ({:.5f} in2)", mm2, mm2 / (25.4 * 25.4));
}
std::string at_least(double mm) {
  return rounded(mm, [](double v) { return std::ceil(v); });
}
std::string at_most(double mm) {
  return rounded(mm, [](double v) { return std::floor(v); });
}

std::string degrees_text(double radians) {
  return fmt::format("{:.1f} degrees", radians * 180 / std::numbers::pi);
}

std::string markup_text(std::string_view text) {
  std::string out;
  for (const char c : text) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

}  // namespace ovolo
