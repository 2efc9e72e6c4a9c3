#include "sim/path/program_report.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

using namespace ovolo;

namespace {

// Once around a rounded rectangle grown by `offset` (corner radius r + offset), counter-clockwise.
std::vector<ProgramMotion> around(Vec2 centre, Vec2 size, double r, double offset, double depth, int line,
                                  std::uint32_t bit = 0) {
  const Contour path = Contour::rectangle(centre, {size.x + 2 * offset, size.y + 2 * offset}, r + offset);
  std::vector<ProgramMotion> out;
  for (const Segment& s : path.segments()) {
    ProgramMotion m;
    m.path = s;
    m.z0 = m.z1 = -depth;
    m.feed = 1500;
    m.line = line++;
    m.bit = bit;
    out.push_back(m);
  }
  return out;
}

const Contour kOutline = Contour::rectangle({200, 125}, {300, 180}, 15);

}  // namespace

TEST_CASE("program report: a path parallel to the contour", "[program]") {
  const auto report =
      report_program_path(around({200, 125}, {300, 180}, 15, 0.4, 3.55, 10), 0, 5, kOutline, Keep::inside);
  REQUIRE(report);
  CHECK(report->length == Approx(2 * 270 + 2 * 150 + 30 * std::numbers::pi));
  CHECK(report->reached == Approx(report->length));
  CHECK(report->offset.min == Approx(0.4).margin(1e-9));
  CHECK(report->offset.mean == Approx(0.4).margin(1e-9));
  CHECK(report->offset.max == Approx(0.4).margin(1e-9));
  CHECK(report->depth.min == Approx(3.55).margin(1e-12));
  CHECK(report->depth.max == Approx(3.55).margin(1e-12));
  CHECK(report->nearest == Approx(0.4).margin(1e-9));
  CHECK(report->passes == 1);
}

TEST_CASE("program report: passes, the nearest of all, and which side the part is", "[program]") {
  // A first pass too near the line, a deeper one outside, another bit's path that does not count.
  auto program = around({200, 125}, {300, 180}, 15, 0.1, 2.4, 1);
  for (const auto& m : around({200, 125}, {300, 180}, 15, 0.4, 3.55, 11)) program.push_back(m);
  for (const auto& m : around({200, 125}, {300, 180}, 15, -2, 6, 21, 1)) program.push_back(m);
  const auto report = report_program_path(program, 0, 5, kOutline, Keep::inside);
  REQUIRE(report);
  CHECK(report->offset.max == Approx(0.4).margin(1e-9));
  CHECK(report->nearest == Approx(0.1).margin(1e-9));
  CHECK(report->nearest_line < 11);
  CHECK(report->passes == 2);
  // The same path seen from a part outside the contour lies inside the part.
  CHECK(report_program_path(program, 0, 5, kOutline, Keep::outside)->offset.mean ==
        Approx(-0.4).margin(1e-9));
  CHECK(report_program_path(program, 0, 5, kOutline.reversed(), Keep::inside)->offset.mean ==
        Approx(0.4).margin(1e-9));
  CHECK_FALSE(report_program_path(program, 2, 5, kOutline, Keep::inside));
  // Rapids and what stays above the face are no cut.
  for (ProgramMotion& m : program) m.rapid = m.bit == 0;
  CHECK_FALSE(report_program_path(program, 0, 5, kOutline, Keep::inside));
}

TEST_CASE("program report: where it strays", "[program]") {
  // Shifted by (0.3, -0.2): 0.3 nearer on the right... the extremes are known on the straight sides.
  auto program = around({200.3, 124.8}, {300, 180}, 15, 0.4, 3.55, 1);
  const auto report = report_program_path(program, 0, 5, kOutline, Keep::inside, 0.1);
  REQUIRE(report);
  // At a corner the offset is about d . n + 0.4, largest along the shift: |(0.3, -0.2)| = 0.3606.
  CHECK(report->offset.max == Approx(0.4 + 0.36055).margin(2e-3));
  CHECK(report->offset.min == Approx(0.4 - 0.36055).margin(6e-3));
  CHECK(report->offset.max_at.x > 330);
  CHECK(report->offset.max_at.y < 60);
  // Half of the way around only.
  program.resize(4);
  const auto half = report_program_path(program, 0, 5, kOutline, Keep::inside);
  REQUIRE(half);
  CHECK(half->reached < 0.6 * half->length);
  CHECK(half->reached > 0.4 * half->length);
}

TEST_CASE("program report: a ramp's depths, an open contour", "[program]") {
  const Contour wall({Segment::line({0, 0}, {100, 0})}, false);
  ProgramMotion ramp;
  ramp.path = Segment::line({0, 1}, {100, 1});
  ramp.z0 = 0;
  ramp.z1 = -4;
  ramp.line = 5;
  // The part lies on the left of travel, the axis too: 1 mm inside it.
  const auto report = report_program_path({ramp}, 0, 3, wall, Keep::left, 1);
  REQUIRE(report);
  CHECK(report->offset.mean == Approx(-1));
  CHECK(report_program_path({ramp}, 0, 3, wall, Keep::right, 1)->offset.mean == Approx(1));
  CHECK(report->depth.min == Approx(0.02).margin(1e-9));
  CHECK(report->depth.mean == Approx(2));
  CHECK(report->depth.max == Approx(3.98));
  // Farther off than the bit is wide it is another cut's business.
  ramp.path = Segment::line({0, 3.1}, {100, 3.1});
  CHECK_FALSE(report_program_path({ramp}, 0, 3, wall, Keep::right, 1));
}
