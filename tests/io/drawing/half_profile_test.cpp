#include "io/drawing/half_profile.hpp"

#include <catch2/catch.hpp>
#include <cmath>

using namespace ovolo;
using namespace ovolo::io;

namespace {

std::string drawn(const std::string& name) {
  return std::string(OVOLO_SOURCE_DIR) + "/tests/io/drawing/drawn/" + name;
}

DrawnProfile from(const std::string& shape, std::optional<double> axis = {}) {
  DrawingChoice choice;
  choice.open = true;
  const std::string text =
      "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='100mm' viewBox='0 0 100 100'>" + shape +
      "</svg>";
  return half_profile(choose_contour(read_svg(text, "bit.svg", choice), "bit.svg", choice), choice, axis);
}

bool noted(const std::vector<std::string>& notes, const std::string& part) {
  for (const std::string& n : notes)
    if (n.find(part) != std::string::npos) return true;
  return false;
}

/// A point-cutting roundover of radius 5 that works 3.62 deep, tip flat 0.3884 across.
void check_round5(const Profile& p) {
  const double R = 5, h0 = R - 3.62, a = 0.1942, c = a + std::sqrt(R * R - h0 * h0);
  CHECK(p.cutting_radius() == Approx(c).margin(1e-9));
  CHECK(p.tip_flat_radius() == Approx(a).margin(1e-9));
  CHECK(p.form_height() == Approx(3.62).margin(1e-9));
  CHECK_FALSE(p.undercut());
  for (const double r : {0.1, 0.5, 2.0, 4.0, 4.9})
    CHECK(p.height(r) == Approx(r <= a ? 0 : std::sqrt(R * R - (c - r) * (c - r)) - h0).margin(1e-9));
}

}  // namespace

TEST_CASE("a bit drawn as a closed half and as a whole silhouette is the same bit") {
  DrawingChoice choice;
  choice.layer = "HALF";
  const DrawnProfile half = read_half_profile(drawn("round5.dxf"), choice, {});
  check_round5(half.profile);
  CHECK(noted(half.notes, "axis at x = 50 (along the upright side), tip at y = 10"));
  choice.layer = "WHOLE";
  const DrawnProfile whole = read_half_profile(drawn("round5.dxf"), choice, {});
  check_round5(whole.profile);
  CHECK(noted(whole.notes, "whole silhouette, its right half taken; axis at x = 50"));
  CHECK(half.profile.chain().size() == whole.profile.chain().size());
  check_round5(read_half_profile(drawn("round5.dxf"), choice, 50.0).profile);
}

TEST_CASE("halves to the left and open halves are recognised") {
  // A 90 degree point with a wall, drawn open to the left of its axis, from the top down.
  const DrawnProfile left = from("<path d='M40 80 V86 L50 96'/>");
  CHECK(left.profile.cutting_radius() == Approx(10));
  CHECK(left.profile.height(5) == Approx(5));
  CHECK(noted(left.notes, "left of its axis, mirrored; axis at x = 50"));
  // A half circle about the axis cuts as a ball: the whole silhouette crosses the axis in an arc.
  const DrawnProfile ball = from("<path d='M40 60 V80 A10 10 0 0 0 60 80 V60 Z'/>");
  CHECK(ball.profile.cutting_radius() == Approx(10));
  CHECK(ball.profile.height(6) == Approx(2));
  CHECK(ball.profile.form_height() == Approx(10));
}

TEST_CASE("what a drawing of a bit leaves open is asked for, never guessed") {
  CHECK_THROWS_WITH(
      from("<rect x='40' y='40' width='6' height='30'/>"),
      Catch::Contains("axis at x = 43") && Catch::Contains("axis at x = 40") && Catch::Contains("say which"));
  CHECK(from("<rect x='40' y='40' width='6' height='30'/>", 43.0).profile.cutting_radius() == Approx(3));
  CHECK(from("<rect x='40' y='40' width='6' height='30'/>", 40.0).profile.cutting_radius() == Approx(6));
  CHECK_THROWS_WITH(from("<path d='M40 40 L60 40 L58 70 L45 80 Z'/>"),
                    Catch::Contains("cannot be told") && Catch::Contains("say axis"));
  CHECK_THROWS_WITH(from("<path d='M40 40 H61 V80 H40 Z'/>", 50.0),
                    Catch::Contains("its halves differ by 1 mm"));
  CHECK_THROWS_WITH(from("<path d='M50.2 90 L60 80 V60'/>", 50.0),
                    Catch::Contains("begins at r = 0.2 mm") && Catch::Contains("gap at (50.2, 10)"));
  CHECK_THROWS_WITH(from("<path d='M50 90 H51 L60 80.5'/><path d='M60 80 V60 H50'/>"),
                    Catch::Contains("0.5 mm apart, at (60, 19.5) and (60, 20)"));
}

TEST_CASE("pieces where the bit is undercut or hollow are pointed out") {
  const DrawnProfile dovetail = from("<path d='M50 90 H60 L56 70'/>");
  CHECK(dovetail.profile.undercut());
  CHECK(noted(dovetail.notes, "r falls on the way up from r = 10, h = 0 to r = 6, h = 20"));
  const DrawnProfile hollow = from("<path d='M50 88 L55 90 L60 80 V70'/>", 50.0);
  CHECK(hollow.profile.hollow_tip());
  CHECK(noted(hollow.notes, "h does not rise throughout from r = 0, h = 2 to r = 5, h = 0"));
}
