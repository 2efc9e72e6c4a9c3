#pragma once
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>

namespace ovolo::io {

/// What a bare number of a scene is in.
enum class Units { mm, inch };

inline constexpr double kInch = 25.4;  ///< mm, by definition since 1959

/// A text is not the quantity it should be; what() says why and how to write it.
class UnitError : public std::invalid_argument {
 public:
  using std::invalid_argument::invalid_argument;
};

/// A length with its unit as text, in mm: "6.35 mm", "1/4 in", "1-1/2 in", "0.177in", "15 thou", "4 ft".
/// A text without a unit is taken in `bare`, and is an error where that is not given. Throws UnitError.
double parse_length(std::string_view text, std::optional<Units> bare = {});
/// An angle with its unit as text ("45 deg", "45°", "0.5 rad"), in radians. Throws UnitError.
double parse_angle(std::string_view text);
/// A feed with its unit as text ("1500 mm/min", "60 in/min", "1.5 m/min"), in mm/min. Throws UnitError.
double parse_feed(std::string_view text);
/// A spindle speed with its unit as text ("18000 rpm"), in rpm. Throws UnitError.
double parse_spindle(std::string_view text);

/// mm in one of the units.
constexpr double to_mm(double value, Units units) { return units == Units::inch ? value * kInch : value; }
constexpr double from_mm(double mm, Units units) { return units == Units::inch ? mm / kInch : mm; }

/// A length as a bare number of such units.
constexpr std::string_view bare_example(Units units) { return units == Units::inch ? "0.25" : "6.35"; }
/// The same as text with the other unit.
constexpr std::string_view text_example(Units units) {
  return units == Units::inch ? "\"6.35 mm\"" : "\"1/4 in\"";
}

/// A number without trailing zeros: (3.620, 3) gives "3.62", (-0.0001, 3) gives "0".
/// From 1e12 on four digits and a power of ten: "1e+300".
std::string format_number(double value, int decimals);
/// "3.62 mm", to 0.0001 mm.
std::string format_mm(double mm);
/// "0.1425 in", to 0.0001 in; `mm` is the length in mm.
std::string format_inch(double mm);
std::string format_length(double mm, Units units);

}  // namespace ovolo::io
