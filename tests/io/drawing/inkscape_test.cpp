// Written SVG as Inkscape (GPL, Debian's inkscape) reads it. It is large, so the test is skipped where it is
// not installed, and that is said; tests/io/drawing/drawn has files that it wrote.
#include <catch2/catch.hpp>
#include <cstdlib>
#include <numbers>
#include <sstream>

#include "io/drawing/drawing.hpp"
#include "io/drawing/write.hpp"
#include "sim/bit/forms.hpp"
#include "sim/geometry/offset.hpp"
#include "tests/support/command.hpp"

using namespace ovolo;
using namespace ovolo::io;

namespace {

constexpr double kMmPerPx = 25.4 / 96, kHalfStroke = 0.05, kSixDigits = 0.002;  // mm

}  // namespace

TEST_CASE("SVG: Inkscape finds what is written where it is, and its union of two shapes is read back") {
  if (std::system("command -v inkscape > /dev/null") != 0) {
    WARN("SKIPPED: written SVG in Inkscape, for want of it (apt-get install inkscape)");
    return;
  }
  const Contour axis = offset_outward(Contour::rectangle({200, 125}, {300, 180}, 15), 0.4).at(0);
  const Contour bump = Contour::circle({350.4, 125}, 12.5);  // half of it beyond the axis' right side
  const Profile bit = point_roundover(
      derive_roundover({.radius = 5, .working_depth = 3.62, .tip_flat = {}, .cutting_diameter = {}}), 8);
  const std::vector<DrawnLine> lines{line_of(axis, "axis"), line_of(bump, "bump"), line_of(bit, "round5")};
  const tests::TemporaryFolder folder;
  const std::string in = (folder.path() / "in.svg").string(), out = (folder.path() / "out.svg").string(),
                    said = (folder.path() / "said.txt").string();
  tests::write_text(in, write_svg(lines));
  REQUIRE(std::system(("HOME='" + folder.path().string() + "' inkscape '" + in +
                       "' --actions='query-all;select-by-id:axis,bump;path-union;export-plain-svg;"
                       "export-filename:" +
                       out + ";export-do' > '" + said + "' 2> /dev/null")
                          .c_str()) == 0);
  std::istringstream boxes(tests::read_text(said));
  int found = 0;
  for (std::string line; std::getline(boxes, line);)
    for (const DrawnLine& ours : lines) {
      if (line.substr(0, ours.name.size() + 1) != ours.name + ",") continue;
      ++found;
      CAPTURE(line);
      double box[4] = {};
      std::istringstream numbers(line.substr(ours.name.size()));
      char comma = 0;
      for (double& v : box) REQUIRE((numbers >> comma >> v));
      const Box2 wanted = Contour(ours.pieces, ours.closed).box();
      // Inkscape's box holds the stroke and counts down from the page's top, 221 mm up; the bit's from its
      // own.
      CHECK(box[0] * kMmPerPx == Approx(wanted.lo.x - kHalfStroke).margin(kSixDigits));
      CHECK(221 - box[1] * kMmPerPx == Approx(wanted.hi.y + kHalfStroke).margin(kSixDigits));
      CHECK(box[2] * kMmPerPx == Approx(wanted.hi.x - wanted.lo.x + 2 * kHalfStroke).margin(kSixDigits));
      CHECK(box[3] * kMmPerPx == Approx(wanted.hi.y - wanted.lo.y + 2 * kHalfStroke).margin(kSixDigits));
    }
  CHECK(found == 3);
  DrawingChoice choice;
  choice.near = Vec2{200, 34.6};
  const Contour both = read_contour(out, choice).contour;
  CHECK(both.signed_area() ==
        Approx(axis.signed_area() + std::numbers::pi * 12.5 * 12.5 / 2).margin(0.002 * both.length()));
  CHECK(both.nearest({362.9, 125}).distance < kSixDigits);
}
