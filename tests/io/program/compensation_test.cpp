// Cutter radius compensation, NISTIR 6556 appendix B. The first triangle program is the report's (its text
// was read in a handbook that carries it); the second and the third are from memory, and all their values are
// checked by geometry here.
#include <algorithm>
#include <catch2/catch.hpp>
#include <random>

#include "io/program/path_builder.hpp"
#include "tests/io/program/listing.hpp"

using namespace ovolo;
using namespace ovolo::test;
using Lines = std::vector<std::string>;

namespace {

io::ProgramOptions with_diameter(double diameter, io::Point3 start = {}) {
  io::ProgramOptions options = plain_machine();
  options.tools[1].diameter = diameter;
  options.tools[2].diameter = 6.0;
  options.start = start;
  return options;
}

// Distance from p to the motion's path in plan.
double distance_to(const io::TipMotion& m, Vec2 p) {
  const Vec2 a{m.start[0], m.start[1]}, b{m.end[0], m.end[1]};
  if (!m.arc) return Segment::line(a, b).distance(p);
  const Vec2 c{m.arc->centre[0], m.arc->centre[1]};
  return Segment::arc(c, distance(a, c), angle_of(a - c), m.arc->sweep).distance(p);
}

}  // namespace

TEST_CASE("compensation: a triangle's edge, tool outside", "[program]") {
  // The triangle (2, 2), (2, -1), (-2, -1) with a tool of radius 0.5; it starts above.
  const Run r = run(
      "G21 F60\nN0010 G41 G1 X2 Y2 (turn compensation on and make entry move)\nN0020 Y-1 (follow right "
      "side)\n"
      "N0030 X-2 (follow bottom side)\nN0040 X2 Y2 (follow hypotenuse)\nN0050 G40 (turn compensation off)",
      with_diameter(1, {1.5, 5, 0}));
  // Entry from (1.5, 5): straight to the centre from which the tool touches the entry line; then the sides at
  // 0.5 mm with three arcs that nobody programmed.
  REQUIRE(r.lines.size() == 7);
  CHECK(r.lines[2] == "feed 2.5 -1 0 @60");
  CHECK(r.lines[3] == "arc xy 2 -1.5 0 @60 about 2 -1 by -90");
  CHECK(r.lines[4] == "feed -2 -1.5 0 @60");
  CHECK(r.lines[5] == "arc xy -2.3 -0.6 0 @60 about -2 -1 by -143.1301");
  CHECK(r.lines[6] == "feed 1.7 2.4 0 @60");
  REQUIRE(r.motions[1].arc);
  CHECK(r.motions[1].arc->centre[0] == 2);
  CHECK(r.motions[1].arc->centre[1] == 2);
  // The entry move ends a radius off its programmed end, square to the line that touches the first circle.
  const Vec2 start{1.5, 5}, end{r.motions[0].end[0], r.motions[0].end[1]}, corner{2, 2};
  CHECK(distance(end, corner) == Approx(0.5));
  CHECK(dot(end - corner, end - start) == Approx(0).margin(1e-12));
  CHECK(cross(corner - start, end - start) > 0);  // on the left
}

TEST_CASE("compensation: the same triangle as a tool path, with the tool's difference", "[program]") {
  // The path of a tool of radius 0.5 around the triangle; the table holds how much the real tool differs.
  const std::string program =
      "G21 F60\nN0010 G1 X1 Y4.5 (make alignment move to C)\nN0020 G41 G1 Y3.5 (first entry move to point "
      "B)\n"
      "N0030 G3 X2 Y2.5 I1 (second entry move to point A)\nN0040 G2 X2.5 Y2 J-0.5 (top of tool path)\nN0050 "
      "G1 Y-1\n"
      "N0060 G2 X2 Y-1.5 I-0.5\nN0070 G1 X-2\nN0080 G2 X-2.3 Y-0.6 J0.5\nN0090 G1 X1.7 Y2.4\n"
      "N0100 G2 X2 Y2.5 I0.3 J-0.4\nN0110 G40";
  const Run exact = run(program, with_diameter(0, {0, 5, 0}));
  CHECK(exact.lines == Lines{"feed 1 4.5 0 @60", "feed 1 3.5 0 @60", "arc xy 2 2.5 0 @60 about 2 3.5 by 90",
                             "arc xy 2.5 2 0 @60 about 2 2 by -90", "feed 2.5 -1 0 @60",
                             "arc xy 2 -1.5 0 @60 about 2 -1 by -90", "feed -2 -1.5 0 @60",
                             "arc xy -2.3 -0.6 0 @60 about -2 -1 by -143.1301", "feed 1.7 2.4 0 @60",
                             "arc xy 2 2.5 0 @60 about 2 2 by -36.8699"});
  // A tool 0.01 larger in radius runs 0.01 farther out everywhere, a smaller one (a negative entry) nearer
  // in.
  for (const double radius : {0.01, -0.01}) {
    const Run r = run(program, with_diameter(2 * radius, {0, 5, 0}));
    const auto around = [&](Vec2 p) {
      double nearest = 1e9;
      for (std::size_t i = 3; i < r.motions.size(); ++i)
        nearest = std::min(nearest, distance_to(r.motions[i], p));
      return nearest;
    };
    for (const Vec2 corner : {Vec2{2, 2}, Vec2{2, -1}, Vec2{-2, -1}, Vec2{0, -1}, Vec2{2, 0.5}})
      CHECK(around(corner) == Approx(0.5 + radius).margin(1e-9));
  }
}

TEST_CASE("compensation: an entry along an arc", "[program]") {
  // The tool (radius 1) at (1, 3.5 + ...): its circle touches the auxiliary arc about (2, 4) through (2, 3)
  // from inside.
  const io::ProgramOptions options = with_diameter(1, {1.5, 4, 0});
  const Run r = run("G21 F60\nG41 G3 X2 Y3 I0.5 J0\nG1 X5", options);
  CHECK(r.lines[0] == "arc xy 2 3.5 0 @60 about 2 4 by 90");
  CHECK(r.lines[1] == "feed 5 3.5 0 @60");
  CHECK(run("G21 F60\nG41 G3 X2 Y3 R1\nG1 X5", options).lines == r.lines);
  // From outside the arc, on its right: |centre - tool| = 1 + 0.5.
  const Run outside = run("G21 F60\nG42 G3 X2 Y3 I1.5 J0\nG1 X5", with_diameter(1, {0.5, 4, 0}));
  CHECK(outside.lines[0] == "arc xy 2 2.5 0 @60 about 2 4 by 90");
  CHECK(error_of("G21 F60\nG41 G3 X2 Y3 I1 J0\nM2", with_diameter(1, {1, 4, 0})).find("does not touch") !=
        std::string::npos);
}

TEST_CASE("compensation: what it refuses", "[program]") {
  const io::ProgramOptions options = with_diameter(10, {-20, 0, 0});
  const auto error = [&](const std::string& text) { return error_of("G21 F60\n" + text + "\nM2", options); };
  CHECK(error("G41 G1 X0 Y0\nX50\nY40").find("concave corner") !=
        std::string::npos);  // turns left, tool on the left
  CHECK(error("G42 G1 X0 Y0\nX50\nY40").empty());
  CHECK(error("G41 G1 X-17 Y0").find("start farther away") !=
        std::string::npos);  // the first move is too short
  CHECK(error("G41 G1 X0 Y0\nX50\nG3 X54 Y4 J4").find("does not fit") != std::string::npos);
  CHECK(error("G41 G1 X0 Y0\nX50\nG3 X56 Y6 J6").empty());
  CHECK(error("G41\nG41").substr(0, 4) == "3:1:");
  CHECK(error("G18 G41").substr(0, 5) == "2:5: ");
  for (const char* line :
       {"G18", "G20", "G54", "G10 L2 P1 X0", "G92 X0", "G92.1", "G28", "G53 G0 X0", "G81 X1 Z-1 R2"})
    CHECK_FALSE(error("G41 G1 X0 Y0\n" + std::string(line)).empty());
  CHECK(error("G41 D3").find("diameter of tool 3") != std::string::npos);
  CHECK(error("G41 D0 G1 X0 Y0\nX50\nY40").empty());
  CHECK(error("D1").substr(0, 4) == "2:1:");
}

TEST_CASE("compensation: heights, rapids and the way out", "[program]") {
  const io::ProgramOptions options = with_diameter(2, {-10, 0, 5});
  const Run r = run("G21 F60\nG41 G1 X0 Y0 Z-1\nX20\nY-20 Z-3\nG40 G1 X30", options);
  // The entry leaves the tool a little askew, so a short arc brings it alongside. The corner is turned at its
  // height, then the move goes down; the way out starts where the tool is.
  REQUIRE(r.lines.size() == 6);
  CHECK(r.lines[1] == "arc xy 0 1 -1 @60 about 0 0 by -5.7392");
  CHECK(r.lines[2] == "feed 20 1 -1 @60");
  CHECK(r.lines[3] == "arc xy 21 0 -1 @60 about 20 0 by -90");
  CHECK(r.lines[4] == "feed 21 -20 -3 @60");
  CHECK(r.lines[5] == "feed 30 -20 -3 @60");
  // Rapids turn no corner; Z alone moves neither.
  const Run rapid = run("G21 F60\nG41 G1 X0 Y0\nX20\nZ8\nG0 Y-20", options);
  REQUIRE(rapid.lines.size() == 5);
  CHECK(rapid.lines[3] == "feed 20 1 8 @60");
  CHECK(rapid.lines[4] == "rapid 21 -20 8");
  // D chooses another tool's radius.
  CHECK(run("G21 F60\nG42 D2 G1 X0 Y0\nX20", options).lines.back() == "feed 20 -3 5 @60");
}

TEST_CASE("compensation: off and on again, and a tool change under it", "[program]") {
  // The move after turning it on again is a first move, whether or not the tool has moved between (the
  // report's text, read in a handbook that carries it).
  const io::ProgramOptions options = with_diameter(2, {-10, 0, 0});
  const Run again = run("G21 F60\nG41 G1 X0 Y0\nX20\nG40\nG42\nX40 Y1\nX60", options);
  REQUIRE(again.lines.size() >= 4);
  CHECK(again.lines[2] == "feed 20 1 0 @60");
  const Vec2 first{again.motions[3].end[0], again.motions[3].end[1]};
  CHECK(distance(first, {40, 1}) == Approx(1));
  CHECK(first.y < 1);  // now on the right
  CHECK(again.lines.back() == "feed 60 0 0 @60");
  // The radius it was turned on with stays.
  const Run change = run("G21 F60\nG41 G1 X0 Y0\nX20\nT2 M6\nX40", options);
  CHECK(change.lines.back() == "feed 40 1 0 @60");
  CHECK(std::any_of(change.notes.warnings.begin(), change.notes.warnings.end(),
                    [](const Warning& w) { return w.code == "tool-change-under-compensation"; }));
}

TEST_CASE("compensation: the tool always touches the path", "[program]") {
  // Random convex polygons with rounded or sharp corners: every point of the programmed path is exactly the
  // radius away from the centre's path, and no point of the centre's path is nearer.
  std::mt19937 random(7);
  std::uniform_real_distribution<double> unit01(0, 1);
  for (int round = 0; round < 50; ++round) {
    const double radius = 0.5 + 5 * unit01(random);
    const int corners = 3 + static_cast<int>(5 * unit01(random));
    std::vector<Vec2> points;
    for (int i = 0; i < corners; ++i)
      points.push_back((20 + 2 * unit01(random)) * unit(-6.283185307 * (i + 0.3 * unit01(random)) / corners));
    std::string text = "G21 F60\nG41 G1";
    for (int i = 0; i <= corners; ++i) {
      const Vec2 p = points[static_cast<std::size_t>(i % corners)];
      text += " X" + std::to_string(p.x) + " Y" + std::to_string(p.y) + "\n";
    }
    const Vec2 outside = 3 * points[0] - 2 * points[1];
    const Run r = run(text, with_diameter(2 * radius, {outside.x, outside.y, 0}));
    for (int i = 0; i < corners; ++i) {
      const Vec2 a = points[static_cast<std::size_t>(i)],
                 b = points[static_cast<std::size_t>((i + 1) % corners)];
      for (const double t : {0.0, 0.3, 0.5, 0.9}) {
        double nearest = 1e9;
        for (std::size_t k = 1; k < r.motions.size(); ++k)
          nearest = std::min(nearest, distance_to(r.motions[k], a + t * (b - a)));
        CHECK(nearest == Approx(radius).margin(5e-6));  // the program is written to 1e-6 mm
      }
    }
  }
}
