#include "io/drawing/write.hpp"

#include <2geom/path-sink.h>
#include <2geom/pathvector.h>
#include <2geom/svg-path-parser.h>
#include <dxflib/dl_creationadapter.h>
#include <dxflib/dl_dxf.h>

#include <catch2/catch.hpp>
#include <numbers>
#include <pugixml.hpp>
#include <sstream>

#include "io/drawing/drawing.hpp"
#include "io/drawing/half_profile.hpp"
#include "sim/bit/forms.hpp"
#include "sim/geometry/offset.hpp"

using namespace ovolo;
using namespace ovolo::io;

namespace {

constexpr double kPi = std::numbers::pi;

DrawnContour again(const std::string& text, bool svg, bool open = false) {
  DrawingChoice choice;
  choice.open = open;
  return choose_contour(svg ? read_svg(text, "t", choice) : read_dxf(text, "t", choice), "t", choice);
}

void check_same(const Contour& a, const Contour& b) {
  REQUIRE(a.segments().size() == b.segments().size());
  CHECK(a.length() == Approx(b.length()).epsilon(1e-12));
  for (std::size_t i = 0; i < a.segments().size(); ++i) {
    const Segment& s = b.segments()[i];
    for (const double f : {0.0, 0.3, 0.5, 0.8}) CHECK(a.nearest(s.point(f * s.length())).distance < 1e-9);
    CHECK(a.segments()[i].radius == Approx(s.radius).margin(1e-7));
  }
}

}  // namespace

TEST_CASE("contours are written and read back, arcs as arcs") {
  const Contour shapes[] = {Contour::rectangle({200, 125}, {300, 180}, 15), Contour::circle({40, 50}, 12.5),
                            // Three quarters of a circle with two straight sides.
                            Contour({Segment::arc({30, 30}, 20, 0, 1.5 * kPi),
                                     Segment::line({30, 10}, {30, 30}), Segment::line({30, 30}, {50, 30})},
                                    true)};
  for (const Contour& shape : shapes) {
    check_same(shape, again(write_svg({line_of(shape, "edge")}), true).contour);
    check_same(shape, again(write_dxf({line_of(shape, "edge")}), false).contour);
  }
  const Contour open({Segment::line({0, 0}, {30, 0}), Segment::arc({30, 10}, 10, -kPi / 2, kPi)}, false);
  check_same(open, again(write_svg({line_of(open, "edge")}), true, true).contour);
  check_same(open, again(write_dxf({line_of(open, "edge")}), false, true).contour);
}

TEST_CASE("a drawing that reaches below the sheet's corner says where its page lies") {
  const std::string text = write_svg({line_of(Contour::circle({0, 0}, 7.5), "edge")});
  CHECK(text.find("lies at (-8, -8) mm") != std::string::npos);
  CHECK(again(text, true).contour.segments()[0].centre == Vec2{8, 8});
}

TEST_CASE("a bit's half profile goes out and comes back to the micrometre") {
  for (const Profile& bit :
       {point_roundover(
            derive_roundover({.radius = 5, .working_depth = 3.62, .tip_flat = {}, .cutting_diameter = {}}),
            8),
        cove(6, 3, 10), chamfer(kPi / 4, 1, 20, 5)}) {
    for (const bool svg : {true, false}) {
      const std::string text = svg ? write_svg({line_of(bit, "bit")}) : write_dxf({line_of(bit, "bit")});
      DrawingChoice choice;
      const DrawnProfile back = half_profile(again(text, svg), choice, {});
      CHECK(back.profile.cutting_radius() == Approx(bit.cutting_radius()).margin(1e-9));
      for (int i = 0; i <= 20; ++i) {
        const double r = bit.cutting_radius() * i / 20.000001;
        CHECK(back.profile.height(r) == Approx(bit.height(r)).margin(1e-8));
      }
    }
  }
}

namespace {

struct Reader : DL_CreationAdapter {
  std::vector<DL_VertexData> vertices;
  unsigned closed = 0;
  void addPolyline(const DL_PolylineData& p) override { closed += static_cast<unsigned>(p.flags) & 1u; }
  void addVertex(const DL_VertexData& v) override { vertices.push_back(v); }
};

}  // namespace

TEST_CASE("what is written is read by dxflib, and the SVG by an XML parser") {
  const Contour shape = Contour::rectangle({200, 125}, {300, 180}, 15);
  Reader theirs;
  std::stringstream in(write_dxf({line_of(shape, "rim of sign")}));
  REQUIRE(DL_Dxf().in(in, &theirs));
  CHECK(theirs.closed == 1);
  REQUIRE(theirs.vertices.size() == 8);
  for (const DL_VertexData& v : theirs.vertices) {
    CHECK(shape.nearest({v.x, v.y}).distance < 1e-9);
    CHECK((v.bulge == 0 || v.bulge == Approx(std::tan(kPi / 8))));
  }
  pugi::xml_document document;
  REQUIRE(document.load_string(write_svg({line_of(shape, "rim of sign")}).c_str()));
  const pugi::xml_node path = document.child("svg").child("g").child("path");
  CHECK(std::string(path.attribute("id").value()) == "rim_of_sign");
  CHECK(std::string(document.child("svg").attribute("width").value()) == "355mm");
}

TEST_CASE("offset contours and half profiles are the same to 2Geom and dxflib") {
  // Derived: a rectangle with round corners offset by 0.4 keeps its sides, its corners grow; Steiner's P + 2
  // pi r.
  const Contour rim = Contour::rectangle({200, 125}, {300, 180}, 15);
  const std::vector<Contour> axis = offset_outward(rim, 0.4);
  REQUIRE(axis.size() == 1);
  CHECK(axis[0].length() == Approx(rim.length() + 0.8 * kPi));
  const Profile bit = point_roundover(
      derive_roundover({.radius = 5, .working_depth = 3.62, .tip_flat = {}, .cutting_diameter = {}}), 8);
  const Vec2 top = bit.chain().back().b;  // the drawing goes back to the axis and down along it
  double half = top.x + top.y;
  for (const Segment& s : bit.chain()) half += s.length();
  const std::pair<DrawnLine, double> lines[] = {{line_of(axis[0], "axis"), axis[0].length()},
                                                {line_of(bit, "bit"), half}};
  for (const auto& [line, length] : lines) {
    pugi::xml_document document;
    REQUIRE(document.load_string(write_svg({line}).c_str()));
    double theirs = 0;
    const std::string data = document.child("svg").child("g").child("path").attribute("d").value();
    for (const Geom::Path& path : Geom::parse_svg_path(data.c_str()))
      for (const Geom::Curve& curve : path) theirs += curve.length(1e-6);
    CHECK(theirs == Approx(length).epsilon(1e-6));
    Reader reader;
    std::stringstream in(write_dxf({line}));
    REQUIRE(DL_Dxf().in(in, &reader));
    REQUIRE(reader.vertices.size() > 2);
    double pieces = 0;
    for (std::size_t i = 0; i + 1 - reader.closed < reader.vertices.size(); ++i) {
      const DL_VertexData &a = reader.vertices[i], &b = reader.vertices[(i + 1) % reader.vertices.size()];
      const double chord = std::hypot(b.x - a.x, b.y - a.y), angle = 4 * std::atan(std::abs(a.bulge));
      pieces += angle > 0 ? chord / (2 * std::sin(angle / 2)) * angle : chord;
    }
    CHECK(pieces == Approx(length).epsilon(1e-6));
  }
}
