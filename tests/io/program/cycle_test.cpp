// Canned cycles of NISTIR 6556, section 3.5.16. Values marked (report) are its own examples; the others
// follow from its descriptions of each cycle's steps.
#include <catch2/catch.hpp>

#include "tests/io/program/listing.hpp"

using namespace ovolo;
using namespace ovolo::test;
using Lines = std::vector<std::string>;

namespace {

Lines cycle(const std::string& text) {
  Lines lines = run("G21 F60 S900 M3\nG0 X1 Y2 Z3\n" + text).lines;
  lines.erase(lines.begin());  // to (1, 2, 3)
  return lines;
}

}  // namespace

TEST_CASE("canned cycles: G81 in absolute mode", "[program]") {
  // (report) from (1, 2, 3): visits (4,5,3), (4,5,2.8), (4,5,1.5), (4,5,3).
  CHECK(cycle("G90 G81 G98 X4 Y5 Z1.5 R2.8") ==
        Lines{"rapid 4 5 3", "rapid 4 5 2.8", "feed 4 5 1.5 @60", "rapid 4 5 3"});
  // G99 comes back to the R plane only; Z and R stay for the next line, and the mode too.
  CHECK(cycle("G90 G81 G99 X4 Y5 Z1.5 R2.8\nX6") == Lines{"rapid 4 5 3", "rapid 4 5 2.8", "feed 4 5 1.5 @60",
                                                          "rapid 4 5 2.8", "rapid 6 5 2.8",
                                                          "feed 6 5 1.5 @60", "rapid 6 5 2.8"});
  // From below R it first rises to R, once, and G98 comes back there.
  CHECK(cycle("G90 G81 G98 X4 Y5 Z1.5 R8") ==
        Lines{"rapid 1 2 8", "rapid 4 5 8", "feed 4 5 1.5 @60", "rapid 4 5 8"});
  // Repeats in absolute mode drill the same hole.
  CHECK(cycle("G81 G99 X4 Z1 R3 L2") ==
        Lines{"rapid 4 2 3", "feed 4 2 1 @60", "rapid 4 2 3", "feed 4 2 1 @60", "rapid 4 2 3"});
}

TEST_CASE("canned cycles: G81 in incremental mode with repeats", "[program]") {
  // (report) holes at (5,7), (9,12), (13,17) to Z 4.2, clear at 4.8.
  CHECK(cycle("G91 G81 G98 X4 Y5 Z-0.6 R1.8 L3") ==
        Lines{"rapid 1 2 4.8", "rapid 5 7 4.8", "feed 5 7 4.2 @60", "rapid 5 7 4.8", "rapid 9 12 4.8",
              "feed 9 12 4.2 @60", "rapid 9 12 4.8", "rapid 13 17 4.8", "feed 13 17 4.2 @60",
              "rapid 13 17 4.8"});
}

TEST_CASE("canned cycles: the other cycles", "[program]") {
  CHECK(cycle("G82 X4 Z1 R2 P0.5") ==
        Lines{"rapid 4 2 3", "rapid 4 2 2", "feed 4 2 1 @60", "dwell 0.5", "rapid 4 2 3"});
  CHECK(cycle("G83 G99 X4 Z-1 R2 Q1.25") ==
        Lines{"rapid 4 2 3", "rapid 4 2 2", "feed 4 2 0.75 @60", "rapid 4 2 2", "rapid 4 2 1.004",
              "feed 4 2 -0.5 @60", "rapid 4 2 2", "rapid 4 2 -0.246", "feed 4 2 -1 @60", "rapid 4 2 2"});
  CHECK(cycle("G85 X4 Z1 R2") == Lines{"rapid 4 2 3", "rapid 4 2 2", "feed 4 2 1 @60", "feed 4 2 3 @60"});
  CHECK(cycle("G86 X4 Z1 R2 P1") ==
        Lines{"rapid 4 2 3", "rapid 4 2 2", "feed 4 2 1 @60", "dwell 1", "rapid 4 2 3"});
  CHECK(cycle("G88 X4 Z1 R2 P1") ==
        Lines{"rapid 4 2 3", "rapid 4 2 2", "feed 4 2 1 @60", "dwell 1", "hand retract", "rapid 4 2 3"});
  CHECK(cycle("G89 X4 Z1 R2 P1") ==
        Lines{"rapid 4 2 3", "rapid 4 2 2", "feed 4 2 1 @60", "dwell 1", "feed 4 2 3 @60"});
  CHECK(cycle("G87 X4 Z-1 R2 I2 J0 K0.5") ==
        Lines{"rapid 4 2 3", "rapid 4 2 2", "rapid 6 2 2", "rapid 6 2 -1", "rapid 4 2 -1", "feed 4 2 0.5 @60",
              "feed 4 2 -1 @60", "rapid 6 2 -1", "rapid 6 2 3", "rapid 4 2 3"});
}

TEST_CASE("canned cycles: what the spindle does", "[program]") {
  const Run tap = run("G21 F60 S900 M3\nG84 X4 Z-1 R2\nG1 X5");
  REQUIRE(tap.motions.size() == 5);
  CHECK(tap.motions[2].turning == io::Turning::clockwise);
  CHECK(tap.motions[3].turning == io::Turning::counterclockwise);
  CHECK_FALSE(tap.motions[3].rapid);
  CHECK(tap.motions[4].turning == io::Turning::clockwise);
  CHECK(tap.notes.warnings.empty());
  const Run bore = run("G21 F60 S900 M4\nG86 X4 Z-1 R2 P0");
  CHECK(bore.motions.back().turning == io::Turning::stopped);
  const Run back = run("G21 F60 S900 M3\nG87 X4 Z-1 R2 I2 J0 K0");
  CHECK(back.motions[3].turning == io::Turning::oriented);
}

TEST_CASE("canned cycles: in the other planes and in inches", "[program]") {
  CHECK(run("G21 F60 S900 M3 G18\nG0 X1 Y3 Z2\nG81 X4 Z5 Y1 R2").lines ==
        Lines{"rapid 1 3 2", "rapid 4 3 5", "rapid 4 2 5", "feed 4 1 5 @60", "rapid 4 3 5"});
  CHECK(run("G21 F60 S900 M3 G19\nG0 X3 Y1 Z2\nG81 Y4 Z5 X1 R2").lines ==
        Lines{"rapid 3 1 2", "rapid 3 4 5", "rapid 2 4 5", "feed 1 4 5 @60", "rapid 3 4 5"});
  CHECK(run("G20\nF10 S900 M3\nG0 Z1\nG83 X1 Z-1 R0.5 Q1").lines ==
        Lines{"rapid 0 0 25.4", "rapid 25.4 0 25.4", "rapid 25.4 0 12.7", "feed 25.4 0 -12.7 @254",
              "rapid 25.4 0 12.7", "rapid 25.4 0 -12.446", "feed 25.4 0 -25.4 @254", "rapid 25.4 0 25.4"});
}
