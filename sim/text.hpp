#pragma once
#include <string>
#include <string_view>

namespace ovolo {

/// A length for a message, in both units: "3.62 mm (0.1425 in)".
std::string both_units(double mm);
/// The same to the micrometre, for bits, settings and readings: "3.620 mm (0.1425 in)".
std::string fine_units(double mm);
/// Heights of marks and lips: "1.9 um (0.07 thou)", of mm.
std::string micro_units(double mm);
/// Feeds: "1500 mm/min (59.1 in/min)".
std::string feed_units(double mm_per_min);
/// Areas: "12.340 mm2 (0.01913 in2)".
std::string area_units(double mm2);
/// Lengths as `both_units` rounded so that a setting of that value still holds: up for "or more", down for
/// "or less".
std::string at_least(double mm);
std::string at_most(double mm);
/// An angle for a message: "9.6 degrees".
std::string degrees_text(double radians);
/// Text as HTML and XML carry it, between tags or in quotes.
std::string markup_text(std::string_view text);
/// "a, b and c".
template <class Range>
std::string list_text(const Range& names) {
  std::string out;
  std::size_t i = 0;
  const std::size_t n = names.size();
  for (const auto& name : names) {
    if (i > 0) out += i + 1 == n ? " and " : ", ";
    out += name;
    ++i;
  }
  return out;
}

}  // namespace ovolo
