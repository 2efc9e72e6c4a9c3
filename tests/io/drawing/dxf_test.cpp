#include <dxflib/dl_creationadapter.h>
#include <dxflib/dl_dxf.h>

#include <catch2/catch.hpp>
#include <numbers>

#include "io/drawing/drawing.hpp"

using namespace ovolo;
using namespace ovolo::io;

namespace {

constexpr double kPi = std::numbers::pi;

std::string drawn(const std::string& name) {
  return std::string(OVOLO_SOURCE_DIR) + "/tests/io/drawing/drawn/" + name;
}

DrawingChoice layer(const std::string& name, bool open = false) {
  DrawingChoice c;
  c.layer = name;
  c.open = open;
  return c;
}

bool noted(const std::vector<std::string>& notes, const std::string& part) {
  for (const std::string& n : notes)
    if (n.find(part) != std::string::npos) return true;
  return false;
}

}  // namespace

TEST_CASE("DXF: each entity drawn by ezdxf has its own geometry") {
  const auto contour = [](const std::string& name) {
    return read_contour(drawn("entities.dxf"), layer(name));
  };
  const DrawnContour rim = contour("RIM");
  CHECK(rim.contour.segments().size() == 8);
  CHECK(rim.contour.signed_area() == Approx(240 * 140 - (4 - kPi) * 400).epsilon(1e-12));
  CHECK(noted(rim.notes, "overall size 240 x 140 mm"));
  CHECK(noted(rim.notes, "read in mm as its header says"));
  CHECK(noted(rim.notes, "1 TEXT"));

  const DrawnContour round = contour("ROUND");
  CHECK(round.contour.signed_area() == Approx(400 * kPi).epsilon(1e-12));
  CHECK(round.contour.segments().size() == 1);
  const DrawnContour circle = contour("circle");  // layers are told apart without regard to case
  REQUIRE(circle.contour.segments().size() == 1);
  CHECK(circle.contour.segments()[0].centre == Vec2{100, 50});
  CHECK(circle.contour.segments()[0].radius == 12.5);
  CHECK(contour("ELLIPSE").contour.signed_area() == Approx(kPi * 50 * 20).margin(0.2));
  CHECK(contour("ELLIPSE").contour.nearest({10 + 30, 20 + 40}).distance < 1e-3);
  CHECK(contour("ELLIPSE").contour.nearest({10 - 16, 20 + 12}).distance < 1e-3);

  const DrawnContour slot = contour("SLOT");
  CHECK(slot.contour.segments().size() == 4);
  CHECK(slot.contour.signed_area() == Approx(50 * 20 + 100 * kPi).epsilon(1e-9));
  const DrawnContour quarter = contour("QUARTER");
  CHECK(quarter.contour.segments().size() == 3);  // the rational spline is a true quarter circle
  CHECK(quarter.contour.signed_area() == Approx(225 * kPi).epsilon(1e-9));
  const DrawnContour below = contour("BELOW");
  CHECK(below.contour.signed_area() == Approx(32 * kPi).epsilon(1e-9));
  CHECK(below.contour.box().lo.x == Approx(12).margin(1e-9));
  CHECK(below.contour.box().hi.y == Approx(8).margin(1e-9));

  CHECK_THROWS_WITH(contour("OPEN"),
                    Catch::Contains("is open") && Catch::Contains("(0, 0)") && Catch::Contains("(30, 10)"));
  CHECK(read_contour(drawn("entities.dxf"), layer("OPEN", true)).contour.length() == Approx(40));
  CHECK_THROWS_WITH(contour("NONE"),
                    Catch::Contains("nothing stands on layer 'NONE'") && Catch::Contains("SLOT (4)"));
  CHECK_THROWS_WITH(read_contour(drawn("entities.dxf"), {}), Catch::Contains("contours where one is wanted"));
}

TEST_CASE("DXF: a spline follows its own definition") {
  const DrawnContour spline = read_contour(drawn("entities.dxf"), layer("SPLINE", true));
  // Clamped, uniform, cubic, five control points: at the middle knot t = 1/2 the basis is 0, 1/4, 1/2, 1/4,
  // 0.
  const Vec2 middle = 0.25 * Vec2{20, 60} + 0.5 * Vec2{60, -40} + 0.25 * Vec2{90, 30};
  CHECK(spline.contour.nearest(middle).distance < 0.001);
  CHECK(distance(spline.contour.point(spline.contour.length()), {120, 0}) < 1e-9);
  CHECK(dot(spline.contour.tangent(0), normalized(Vec2{20, 60})) == Approx(1).epsilon(1e-9));
}

TEST_CASE("DXF: blocks within blocks, turned, scaled, mirrored and in rows") {
  const DrawnContour turned = read_contour(drawn("blocks_inch.dxf"), layer("TURNED"));
  CHECK(turned.contour.signed_area() == Approx(400 * 25.4 * 25.4).epsilon(1e-12));
  // The square's corner (1, 1) lies on the inner copy's place (5, 5), mirrored about the outer one's X = 100.
  CHECK(turned.contour.nearest({95 * 25.4, 5 * 25.4}).distance < 1e-9);
  const double c = std::cos(kPi / 6), s = std::sin(kPi / 6);
  CHECK(turned.contour.nearest({(100 - (5 + 20 * c)) * 25.4, (5 + 20 * s) * 25.4}).distance < 1e-9);

  DrawingChoice one = layer("ARRAY");
  CHECK_THROWS_WITH(read_contour(drawn("blocks_inch.dxf"), one), Catch::Contains("holds 6 contours"));
  one.near = Vec2{40 * 25.4, 30 * 25.4};
  CHECK(read_contour(drawn("blocks_inch.dxf"), one).contour.box().lo.x == Approx(40 * 25.4));
  // A circle squeezed by unequal scales is an ellipse.
  DrawingChoice flat = layer("HOLE");
  flat.near = Vec2{15 * 25.4, 205 * 25.4};
  CHECK(read_contour(drawn("blocks_inch.dxf"), flat).contour.signed_area() ==
        Approx(12 * kPi * 25.4 * 25.4).margin(0.2));
}

TEST_CASE("DXF: units are never guessed, gaps are told, doubles are taken once") {
  CHECK_THROWS_WITH(read_contour(drawn("gaps_r12.dxf"), layer("NEAR")),
                    Catch::Contains("does not say in which unit") && Catch::Contains("units = \"mm\""));
  DrawingChoice near = layer("NEAR");
  near.units = "mm";
  const DrawnContour joined = read_contour(drawn("gaps_r12.dxf"), near);
  CHECK(joined.contour.signed_area() == Approx(5000).margin(0.3));
  CHECK(noted(joined.notes, "gaps of up to 0.0040 mm joined"));
  CHECK(noted(joined.notes, "1 piece(s) drawn twice"));
  near.units = "in";
  near.join = 0.2;
  CHECK(read_contour(drawn("gaps_r12.dxf"), near).contour.box().hi.x == Approx(2540).margin(0.1));
  DrawingChoice gap = layer("GAP");
  gap.units = "mm";
  CHECK_THROWS_WITH(read_contour(drawn("gaps_r12.dxf"), gap), Catch::Contains("a gap of 0.35 mm") &&
                                                                  Catch::Contains("(100, 0)") &&
                                                                  Catch::Contains("(100.35, 0)"));
  gap.join = 0.4;
  CHECK(read_contour(drawn("gaps_r12.dxf"), gap).contour.closed());
  gap.units = "furlong";
  CHECK_THROWS_WITH(read_contour(drawn("gaps_r12.dxf"), gap), Catch::Contains("'furlong' is not known"));
}

TEST_CASE("DXF: copies that are invisible or stand on the printed sheet are no contours") {
  const std::string begin =
      "0\nSECTION\n2\nHEADER\n9\n$"
      "INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n2\nB\n10\n0\n20\n0\n"
      "0\nCIRCLE\n8\n0\n10\n5\n20\n5\n40\n2\n0\nENDBLK\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
      "0\nCIRCLE\n8\nRIM\n10\n50\n20\n50\n40\n20\n";
  const std::string copy = "0\nINSERT\n8\nRIM\n2\nB\n10\n0\n20\n0\n", end = "0\nENDSEC\n0\nEOF\n";
  const auto read = [&](const std::string& mark, const DrawingChoice& choice) {
    return choose_contour(read_dxf(begin + copy + mark + end, "t", choice), "t", choice);
  };
  CHECK_THROWS_WITH(read("", {}), Catch::Contains("holds 2 contours"));
  const DrawnContour invisible = read("60\n1\n", {});
  CHECK(invisible.contour.signed_area() == Approx(400 * kPi));
  CHECK(noted(invisible.notes, "1 invisible piece(s)"));
  CHECK(read("67\n1\n", {}).contour.signed_area() == Approx(400 * kPi));
  CHECK(read("67\n1\n", layer("RIM")).contour.signed_area() == Approx(400 * kPi));
}

TEST_CASE("DXF: layers named in an old code page are read and told in UTF-8") {
  const auto text = [](const std::string& page, const std::string& name) {
    return "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n" + page +
           "0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nCIRCLE\n8\n" + name +
           "\n10\n5\n20\n5\n40\n2\n0\nENDSEC\n0\nEOF\n";
  };
  const auto found = [](const std::string& dxf, const std::string& name) {
    return !read_dxf(dxf, "t", layer(name)).chains.empty();
  };
  CHECK(found(text("",
                   "Gr\xf6\xdf"
                   "e"),
              "Größe"));  // no page named: Windows-1252
  CHECK(found(text("9\r\n$DWGCODEPAGE\r\n3\r\nANSI_1252\r\n",
                   "Gr\xf6\xdf"
                   "e"),
              "Größe"));
  CHECK(found(text("9\n$DWGCODEPAGE\n3\nANSI_1250\n", "\xb3uk"), "łuk"));
  CHECK(found(text("9\n$DWGCODEPAGE\n3\nANSI_1252\n", "Größe"), "Größe"));  // UTF-8 whatever the header says
  // Nobody knows this page: the bytes cannot be shown, the drawing is read all the same.
  CHECK_THROWS_WITH(read_dxf(text("9\n$DWGCODEPAGE\n3\nANSI_99999\n",
                                  "Gr\xf6"
                                  "e"),
                             "t", layer("x")),
                    Catch::Contains("there is: Gr?e (1)"));
}

namespace {

/// What dxflib finds in a file: polylines' vertices, lines, arcs, circles.
struct Reader : DL_CreationAdapter {
  std::vector<DL_VertexData> vertices;
  std::vector<DL_LineData> lines;
  std::vector<DL_ArcData> arcs;
  std::vector<DL_CircleData> circles;
  void addVertex(const DL_VertexData& v) override { vertices.push_back(v); }
  void addLine(const DL_LineData& l) override { lines.push_back(l); }
  void addArc(const DL_ArcData& a) override { arcs.push_back(a); }
  void addCircle(const DL_CircleData& c) override { circles.push_back(c); }
};

}  // namespace

TEST_CASE("DXF: dxflib finds the same lines and arcs") {
  Reader theirs;
  REQUIRE(DL_Dxf().in(drawn("entities.dxf"), &theirs));
  const Drawing ours = read_drawing(drawn("entities.dxf"), {});
  const auto on_ours = [&](Vec2 p) {
    for (const DrawnChain& c : ours.chains)
      for (const Segment& s : c.pieces)
        if (s.distance(p) < 1e-9) return true;
    return false;
  };
  REQUIRE(theirs.lines.size() == 5);
  for (const DL_LineData& l : theirs.lines)
    CHECK((on_ours({l.x1, l.y1}) && on_ours({(l.x1 + l.x2) / 2, (l.y1 + l.y2) / 2})));
  REQUIRE(theirs.vertices.size() == 8 + 2 + 3);
  for (const DL_VertexData& v : theirs.vertices) CHECK(on_ours({v.x, v.y}));
  REQUIRE(theirs.circles.size() == 1);
  CHECK(on_ours({theirs.circles[0].cx, theirs.circles[0].cy + theirs.circles[0].radius}));
}
