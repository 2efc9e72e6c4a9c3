// Test cuts as they are written down, and results that go into a bits file.
#include <catch2/catch.hpp>
#include <string>

#include "io/advise/measured.hpp"
#include "io/bits/add_readings.hpp"
#include "io/bits/bits_file.hpp"
#include "io/error.hpp"

using namespace ovolo;

namespace {

const io::MeasuredDefaults kDefaults{io::Units::mm, 3.55, 0.4, 0.03};

Stock stock() {
  Stock s;
  s.layers = {{"all", 12, {}}};
  return s;
}

void complains(const std::string& text, const std::string& about) {
  try {
    io::parse_measured(text, "--measured", kDefaults);
    FAIL_CHECK("no complaint about " << text);
  } catch (const io::SceneError& e) {
    const std::string what = e.what();
    INFO(what);
    CHECK(what.find(about) != std::string::npos);
  }
}

}  // namespace

TEST_CASE("a cut on the command line", "[advise]") {
  const TestCut cut = io::parse_measured("depth = 5, offset=0; lip = 1.38 +- 0.02, band=0.19 mm",
                                         "--measured", {io::Units::mm, 1, 1, 0.03});
  CHECK(cut.depth == 5);
  CHECK(cut.offset == 0);
  REQUIRE(cut.readings.size() == 2);
  CHECK(cut.readings[0].what == CutRead::lip);
  CHECK(cut.readings[0].error == 0.02);
  CHECK(cut.readings[1].error == 0.03);
  const TestCut inch =
      io::parse_measured("lip = 0.073, foot = 3 mm, error = 1 thou, set_up = 2, name = first", "--measured",
                         {io::Units::inch, 6.35, 0, 0.03});
  CHECK(inch.depth == 6.35);
  CHECK(inch.readings[0].value == Approx(1.8542));
  CHECK(inch.readings[1].value == 3);
  CHECK(inch.readings[1].error == Approx(0.0254));
  CHECK(inch.set_up == 2);
  CHECK(inch.name == "first");
}

TEST_CASE("one unit behind a reading and its error is that of both", "[advise]") {
  const io::MeasuredDefaults inches{io::Units::inch, 4, 0.3, 0.03};
  const TestCut cut = io::parse_measured(
      "lip = 1.80 +- 0.02 mm, band = 12 thou +- 1 thou, foot = 0.2 +- 0.001", "--measured", inches);
  REQUIRE(cut.readings.size() == 3);
  CHECK(cut.readings[0].value == Approx(1.80));
  CHECK(cut.readings[0].error == Approx(0.02));
  CHECK(cut.readings[1].value == Approx(0.3048));
  CHECK(cut.readings[1].error == Approx(0.0254));
  CHECK(cut.readings[2].value == Approx(5.08));
  CHECK(cut.readings[2].error == Approx(0.0254));
}

TEST_CASE("what is no cut is told with what is known", "[advise]") {
  complains("lip", "key = value");
  complains("lop = 1", "known: depth");
  complains("lip = tall", "lip");
  complains("set_up = two", "set_up");
  complains("lip = 1, error = 0", "error");
}

TEST_CASE("cuts in a file", "[advise]") {
  const auto cuts = io::parse_measured_file(R"(units = "mm"
error = 0.02
[[cuts]]
name = "spoiled"
depth = 5
offset = 0
lip = { value = 1.38, error = 0.05 }
band = 0.19
[[cuts]]
set_up = 2
line_width = 0.6
)",
                                            "cuts.toml", kDefaults);
  REQUIRE(cuts.size() == 2);
  CHECK(cuts[0].readings[0].error == 0.05);
  CHECK(cuts[0].readings[1].error == 0.02);
  CHECK(cuts[1].depth == 3.55);
  CHECK(cuts[1].readings[0].what == CutRead::line_width);
  CHECK_THROWS_AS(io::parse_measured_file("[[cuts]]\nlap = 1\n", "cuts.toml", kDefaults), io::SceneError);
}

TEST_CASE("results join a bit's readings, the rest of the file stays", "[bits]") {
  const std::string before = R"(# our bits
units = "mm"
[bits.round5]   # small
form = "point_roundover"
radius = 5
date = 2026-01-02
readings = [
  { what = "working_depth", value = 3.66, error = 0.03 } ]   # November
[bits.other]
form = "straight"
diameter = 6
)";
  const std::string after = io::with_readings(
      before, "bits.toml", "round5",
      {{"working_depth", 3.6123, 0.0112, "2026-05-02", 1250.0}, {"tip_flat", 0.4, 0.02, "2026-05-02", {}}});
  const auto bits = io::parse_bits(after, "bits.toml", {}, stock()).bits;
  REQUIRE(bits[0].readings.size() == 3);
  CHECK(bits[0].readings[1].run == 1250);
  CHECK(bits[0].working_depth == Approx(3.612));
  CHECK(bits[0].roundover->tip_radius == Approx(0.2));
  CHECK(after.find("# November") != std::string::npos);
  CHECK(after.substr(0, 60) == before.substr(0, 60));
}

TEST_CASE("plain keys move into the readings, so that the old values stay", "[bits]") {
  const std::string after = io::with_readings(
      R"([bits.round5]
form = "point_roundover"
radius = 5
working_depth = 3.66   # by caliper
tip_flat = "0.38 mm"
date = 2026-01-02
)",
      "bits.toml", "round5",
      {{"working_depth", 3.61, 0.01, "2026-05-02", {}}, {"tip_flat", 0.4, 0.02, "2026-05-02", {}}});
  const auto bits = io::parse_bits(after, "bits.toml", {}, stock()).bits;
  CHECK(bits[0].readings.size() == 4);
  CHECK(bits[0].working_depth == Approx(3.61));
  CHECK(after.find("# by caliper") != std::string::npos);
  const auto bare = io::with_readings("[bits.r]\nform = \"point_roundover\"\nradius = 5 # mm\n", "b", "r",
                                      {{"working_depth", 3.6, 0.01, "", {}}});
  CHECK(io::parse_bits(bare, "b", {}, stock()).bits[0].working_depth == Approx(3.6));
  CHECK_THROWS_AS(io::with_readings("[bits.r]\nradius = 5\n", "b", "s", {}), io::SceneError);
}
