#include "io/length.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <string>
#include <utility>

using namespace ovolo::io;

namespace {

std::string complaint(std::string_view text) {
  try {
    parse_length(text);
  } catch (const UnitError& error) {
    return error.what();
  }
  return "";
}

}  // namespace

TEST_CASE("lengths with a unit are read in mm", "[length]") {
  // 1 inch is 25.4 mm by definition (international inch, 1959); a thou is 0.001 in, a foot 12 in.
  const std::pair<const char*, double> cases[] = {
      {"6.35 mm", 6.35},        {"6.35mm", 6.35}, {"  6.35  mm ", 6.35},
      {"0.177in", 4.4958},      {"1/4 in", 6.35}, {"1-1/2 in", 38.1},
      {"1 1/2 in", 38.1},       {"3/8\"", 9.525}, {"15 thou", 0.381},
      {"2.5 cm", 25},           {"2.44 m", 2440}, {"8 ft", 2438.4},
      {"4'", 1219.2},           {"40 um", 0.04},  {"40 µm", 0.04},
      {"-1/4 in", -6.35},       {"+5 mm", 5},     {".5 in", 12.7},
      {"-1-1/2 inches", -38.1}, {"1e2 mm", 100},  {"1 inch", 25.4},
      {"3- 3/4 in", 95.25},     {"1''", 25.4}};
  for (const auto& [text, mm] : cases) {
    CAPTURE(text);
    CHECK(parse_length(text) == Approx(mm).epsilon(1e-14));
  }
}

TEST_CASE("a length without a unit needs the unit that bare numbers have", "[length]") {
  CHECK(parse_length("5", Units::mm) == 5);
  CHECK(parse_length("1/4", Units::inch) == Approx(6.35).epsilon(1e-14));
  CHECK(parse_length("5 mm", Units::inch) == 5);
  CHECK_THROWS_AS(parse_length("5"), UnitError);
}

TEST_CASE("what is not a length is refused with the mend", "[length]") {
  CHECK(
      complaint("5") ==
      "\"5\" has no unit (mm, cm, m, um, in, thou or ft); write a length such as \"6.35 mm\" or \"1/4 in\"");
  CHECK(complaint("6,35 mm") ==
        "\"6,35 mm\" has a comma; use a decimal point; write a length such as \"6.35 mm\" or \"1/4 in\"");
  CHECK(complaint("5 furlong").find("unknown unit \"furlong\"") != std::string::npos);
  CHECK(complaint("5 mil").find("can mean thou or mm") != std::string::npos);
  for (const char* text :
       {"",        "   ",      "mm",       "abc",    "nan mm", "inf mm", "- mm",     "--5 mm",
        "0x10 mm", "1e999 mm", "1/0 in",   "0/0 in", "1/ in",  "/4 in",  "1.5/2 in", "1-1.5/2 in",
        "5 mm mm", "5e mm",    "1/2/3 in", "½ in",   "5 MM",   "\x01",   "1 - in"}) {
    CAPTURE(text);
    CHECK_THROWS_AS(parse_length(text), UnitError);
  }
  // A message stays short and printable whatever the text.
  const std::string message = complaint(std::string(5000, '\x07'));
  CHECK(message.size() < 250);
  CHECK(message.find('\x07') == std::string::npos);
}

TEST_CASE("angles, feeds and speeds with a unit", "[length]") {
  CHECK(parse_angle("45 deg") == Approx(std::numbers::pi / 4).epsilon(1e-14));
  CHECK(parse_angle("45°") == Approx(std::numbers::pi / 4).epsilon(1e-14));
  CHECK(parse_angle("0.5 rad") == 0.5);
  CHECK(parse_feed("1500 mm/min") == 1500);
  CHECK(parse_feed("60 in/min") == Approx(1524).epsilon(1e-14));
  CHECK(parse_feed("60 ipm") == Approx(1524).epsilon(1e-14));
  CHECK(parse_feed("1.5 m/min") == 1500);
  CHECK(parse_feed("25 mm/s") == 1500);
  CHECK(parse_feed("5 ft/min") == Approx(1524).epsilon(1e-14));
  CHECK(parse_spindle("18000 rpm") == 18000);
  CHECK_THROWS_AS(parse_feed("1500 mm"), UnitError);
  CHECK_THROWS_AS(parse_feed("1500"), UnitError);
  CHECK_THROWS_AS(parse_angle("45 mm"), UnitError);
  CHECK_THROWS_AS(parse_spindle("300 Hz"), UnitError);
}

TEST_CASE("lengths are written without trailing zeros", "[length]") {
  CHECK(format_number(3.62, 4) == "3.62");
  CHECK(format_number(5, 3) == "5");
  CHECK(format_number(-0.00001, 3) == "0");
  CHECK(format_number(1200, 0) == "1200");
  CHECK(format_number(-1e300, 4) == "-1e+300");
  CHECK(format_number(999999999999, 0) == "999999999999");
  CHECK(format_mm(1.38) == "1.38 mm");
  CHECK(format_inch(4.4958) == "0.177 in");
  CHECK(format_length(25.4, Units::inch) == "1 in");
  CHECK(format_length(25.4, Units::mm) == "25.4 mm");
}

TEST_CASE("every sixty-fourth of an inch is read to the last bit of its fraction", "[length]") {
  for (int n = 1; n < 64; ++n) {
    CAPTURE(n);
    CHECK(parse_length(std::to_string(n) + "/64 in") == n / 64.0 * 25.4);
    CHECK(parse_length("2-" + std::to_string(n) + "/64\"") == (2 + n / 64.0) * 25.4);
  }
}
