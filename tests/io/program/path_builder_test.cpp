#include "io/program/path_builder.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "tests/io/program/listing.hpp"

using namespace ovolo;
using namespace ovolo::test;

namespace {

struct Built {
  std::vector<ProgramMotion> motions;
  std::size_t vertical = 0, empty = 0;
  double dwell = 0;
};

Built build(const std::string& text, const io::ProgramPlacement& placement,
            const io::ProgramOptions& options = plain_machine()) {
  io::PathBuilder builder(placement, options.limits);
  io::read_program(text + "\nM2\n", "p.ngc", options, builder);
  return {builder.take(), builder.vertical_arcs(), builder.empty_rapids(), builder.dwell_seconds()};
}

}  // namespace

TEST_CASE("program paths: placed on the sheet", "[program]") {
  io::ProgramPlacement placement;
  placement.at = {200, 125};
  placement.zero = -12.7;  // Z0 on the spoilboard under a sheet of 12.7
  placement.bits = {{1, 3}, {7, 0}};
  io::ProgramOptions options = plain_machine();
  options.start = io::Point3{0, 0, 20};
  const Built b = build(
      "G20 F10\nS18000 M3\nG0 X1 Y-1\nG1 Z0.5\nG4 P2.5\nG21 G2 X-25.4 Y25.4 I-25.4 J25.4 Z10\nT7 M6\nG0 Z30",
      placement, options);
  // An F before the units of its line change counts in the old ones: mm here.
  REQUIRE(b.motions.size() == 4);
  const ProgramMotion& plunge = b.motions[1];
  CHECK(plunge.path.a == plunge.path.b);
  CHECK(plunge.path.a.x == Approx(225.4));
  CHECK(plunge.path.a.y == Approx(99.6));
  CHECK(plunge.z0 == Approx(7.3));
  CHECK(plunge.z1 == Approx(0).margin(1e-12));
  CHECK(plunge.feed == Approx(10));
  CHECK(plunge.spindle == 18000);
  CHECK(plunge.spindle_on);
  CHECK(plunge.bit == 3);
  CHECK(plunge.line == 4);
  CHECK_FALSE(plunge.rapid);
  const ProgramMotion& arc = b.motions[2];
  CHECK(arc.path.is_arc());
  CHECK(arc.path.radius == Approx(25.4 * std::sqrt(2.0)));
  CHECK(arc.path.centre.x == Approx(200));
  CHECK(arc.path.centre.y == Approx(125));
  CHECK(arc.path.b.x == Approx(174.6));
  CHECK(arc.z1 == Approx(-2.7));
  CHECK(b.motions[3].bit == 0);
  CHECK(b.motions[3].rapid);
  CHECK_FALSE(b.motions[3].spindle_on);  // a tool change stops it
  CHECK(b.dwell == 2.5);
  CHECK(b.motions[0].line == 3);
}

TEST_CASE("program paths: full circles and long arcs", "[program]") {
  io::ProgramPlacement placement;
  placement.bits = {{1, 0}};
  const Built b = build("G21 F60\nG3 X0 Y0 I5\nG2 X5 Y5 I5", placement);
  REQUIRE(b.motions.size() == 2);
  CHECK(b.motions[0].path.a == b.motions[0].path.b);
  CHECK(b.motions[0].path.sweep == Approx(2 * std::numbers::pi));
  CHECK(b.motions[1].path.sweep == Approx(-std::numbers::pi / 2));
  CHECK(b.motions[1].path.point(b.motions[1].path.length()).x == Approx(5));
}

TEST_CASE("program paths: vertical arcs become lines within 1 um", "[program]") {
  io::ProgramPlacement placement;
  placement.bits = {{1, 0}};
  io::ProgramOptions options = plain_machine();
  options.start = io::Point3{-40, 7, 0};
  const Built b = build("G21 F60 G18\nG3 X40 Z0 I40 Y9\nG2 X-40 I-40", placement, options);
  CHECK(b.vertical == 2);
  REQUIRE(b.motions.size() > 100);
  double worst = 0;
  Vec2 last{-40, 7};
  for (const ProgramMotion& m : b.motions) {
    CHECK(m.path.a == last);
    last = m.path.b;
    CHECK_FALSE(m.path.is_arc());
    // The chord's middle is where it lies farthest off the circle of radius 40 about (0, 0) in X and Z.
    const double x = 0.5 * (m.path.a.x + m.path.b.x), z = 0.5 * (m.z0 + m.z1);
    worst = std::max(worst, std::abs(std::hypot(x, z) - 40));
    CHECK(std::hypot(m.path.b.x, m.z1) == Approx(40).margin(1e-9));
  }
  CHECK(worst <= 0.001 + 1e-9);
  CHECK(worst > 0.0005);  // not needlessly fine
  CHECK(last.x == Approx(-40));
  CHECK(last.y == Approx(9));
}

TEST_CASE("program paths: an empty spindle", "[program]") {
  io::ProgramPlacement placement;
  placement.bits = {{1, 0}};
  io::ProgramOptions options = plain_machine();
  options.first_tool = 0;
  const Built b = build("G21 G0 Z5\nX1\nT1 M6\nG0 X2", placement, options);
  CHECK(b.empty == 2);
  REQUIRE(b.motions.size() == 1);
  CHECK(b.motions[0].path.a.x == 1);
}
