#include "io/length.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <numbers>
#include <span>

#include "io/text.hpp"

namespace ovolo::io {
namespace {

struct Unit {
  std::string_view name;
  double factor;  // to mm, radians, mm/min or rpm
};

constexpr std::array kLengths{
    Unit{"mm", 1},        Unit{"cm", 10},         Unit{"m", 1000},       Unit{"um", 1e-3},  Unit{"µm", 1e-3},
    Unit{"in", kInch},    Unit{"inch", kInch},    Unit{"inches", kInch}, Unit{"\"", kInch}, Unit{"''", kInch},
    Unit{"thou", 0.0254}, Unit{"ft", 12 * kInch}, Unit{"'", 12 * kInch}};
constexpr double kDegree = std::numbers::pi / 180;
constexpr std::array kAngles{Unit{"deg", kDegree}, Unit{"degree", kDegree}, Unit{"degrees", kDegree},
                             Unit{"°", kDegree}, Unit{"rad", 1}};
constexpr std::array kFeeds{Unit{"mm/min", 1},        Unit{"m/min", 1000},       Unit{"mm/s", 60},
                            Unit{"in/min", kInch},    Unit{"inch/min", kInch},   Unit{"ipm", kInch},
                            Unit{"in/s", 60 * kInch}, Unit{"ft/min", 12 * kInch}};
constexpr std::array kSpindles{Unit{"rpm", 1}, Unit{"1/min", 1}, Unit{"/min", 1}};

// What a kind of quantity is called, and how it is written.
struct Kind {
  std::string_view name;
  std::string_view example;
  std::string_view units;
  std::span<const Unit> known;
};

constexpr Kind kLength{"a length", "\"6.35 mm\" or \"1/4 in\"", "mm, cm, m, um, in, thou or ft", kLengths};
constexpr Kind kAngle{"an angle", "\"45 deg\"", "deg or rad", kAngles};
constexpr Kind kFeed{"a feed", "\"1500 mm/min\" or \"60 in/min\"", "mm/min, m/min, mm/s, in/min or ft/min",
                     kFeeds};
constexpr Kind kSpindle{"a spindle speed", "\"18000 rpm\"", "rpm", kSpindles};

bool digit(char c) { return c >= '0' && c <= '9'; }
bool blank(char c) { return c == ' ' || c == '\t'; }

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && blank(text.back())) text.remove_suffix(1);
  return text;
}

[[noreturn]] void fail(const Kind& kind, std::string_view text, std::string_view why) {
  throw UnitError(fmt::format("\"{}\" {}; write {} such as {}", shown(text), why, kind.name, kind.example));
}

// Takes a run of digits off the front of `rest`; empty when there is none.
std::string_view take_digits(std::string_view& rest) {
  std::size_t n = 0;
  while (n < rest.size() && digit(rest[n])) ++n;
  const std::string_view taken = rest.substr(0, n);
  rest.remove_prefix(n);
  return taken;
}

double number(std::string_view digits) {
  double value = 0;
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
  if (error != std::errc{} || end != digits.data() + digits.size()) return std::nan("");
  return value;
}

// "3/8", taken off the front of `rest`; nothing is taken when there is none.
std::optional<double> take_fraction(std::string_view& rest) {
  std::string_view after = rest;
  const std::string_view over = take_digits(after);
  if (over.empty() || after.empty() || after.front() != '/') return {};
  after.remove_prefix(1);
  const std::string_view under = take_digits(after);
  if (under.empty()) return {};
  rest = after;
  return number(over) / number(under);
}

// "6.35", "1/4", "1-1/2" or "1 1/2", with or without a sign, taken off the front of `rest`. NaN when there is
// none.
double take_number(std::string_view& rest) {
  double sign = 1;
  if (!rest.empty() && (rest.front() == '-' || rest.front() == '+')) {
    if (rest.front() == '-') sign = -1;
    rest.remove_prefix(1);
  }
  if (rest.empty() || !(digit(rest.front()) || rest.front() == '.')) return std::nan("");
  if (const auto fraction = take_fraction(rest)) return sign * *fraction;
  double value = 0;
  const auto [end, error] = std::from_chars(rest.data(), rest.data() + rest.size(), value);
  if (error != std::errc{}) return std::nan("");
  const bool whole = std::all_of(rest.data(), end, digit);
  rest.remove_prefix(static_cast<std::size_t>(end - rest.data()));
  if (whole && !rest.empty() && (rest.front() == '-' || blank(rest.front()))) {
    std::string_view after = trimmed(rest.substr(1));
    if (const auto fraction = take_fraction(after)) {
      rest = after;
      value += *fraction;
    }
  }
  return sign * value;
}

double parse(const Kind& kind, std::string_view text, std::optional<double> bare = {}) {
  std::string_view rest = trimmed(text);
  if (rest.empty()) fail(kind, text, "is empty");
  const double value = take_number(rest);
  if (std::isnan(value)) fail(kind, text, fmt::format("is not {}", kind.name));
  if (!std::isfinite(value)) fail(kind, text, "is not a finite number");
  if (!rest.empty() && rest.front() == ',') fail(kind, text, "has a comma; use a decimal point");
  rest = trimmed(rest);
  if (rest.empty()) {
    if (bare) return value * *bare;
    fail(kind, text, fmt::format("has no unit ({})", kind.units));
  }
  for (const Unit& unit : kind.known)
    if (unit.name == rest) return value * unit.factor;
  if (rest == "mil" || rest == "mils") fail(kind, text, "has the unit \"mil\", which can mean thou or mm");
  fail(kind, text, fmt::format("has the unknown unit \"{}\" (known: {})", shown(rest), kind.units));
}

}  // namespace

double parse_length(std::string_view text, std::optional<Units> bare) {
  return parse(kLength, text, bare ? std::optional(to_mm(1, *bare)) : std::nullopt);
}
double parse_angle(std::string_view text) { return parse(kAngle, text); }
double parse_feed(std::string_view text) { return parse(kFeed, text); }
double parse_spindle(std::string_view text) { return parse(kSpindle, text); }

std::string format_number(double value, int decimals) {
  // Beyond all a shop measures, digits would say nothing.
  if (std::abs(value) >= 1e12) return fmt::format("{:.4g}", value);
  std::string text = fmt::format("{:.{}f}", value, decimals);
  if (text.find('.') != std::string::npos) {
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
  }
  return text == "-0" ? "0" : text;
}

std::string format_mm(double mm) { return format_number(mm, 4) + " mm"; }
std::string format_inch(double mm) { return format_number(mm / kInch, 4) + " in"; }
std::string format_length(double mm, Units units) {
  return units == Units::inch ? format_inch(mm) : format_mm(mm);
}

}  // namespace ovolo::io
