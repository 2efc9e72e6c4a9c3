#include <2geom/path-sink.h>
#include <2geom/svg-path-parser.h>

#include <catch2/catch.hpp>
#include <fstream>
#include <numbers>

#include "io/drawing/drawing.hpp"
#include "io/drawing/scan.hpp"
#include "io/drawing/svg_path.hpp"
#include "io/drawing/svg_values.hpp"

using namespace ovolo;
using namespace ovolo::io;

namespace {

constexpr double kPi = std::numbers::pi;

std::string drawn(const std::string& name) {
  return std::string(OVOLO_SOURCE_DIR) + "/tests/io/drawing/drawn/" + name;
}

DrawingChoice id(const std::string& name) {
  DrawingChoice c;
  c.id = name;
  return c;
}

std::string page(const std::string& inside,
                 const std::string& attributes = "width='100mm' height='100mm' viewBox='0 0 100 100'") {
  return "<svg xmlns='http://www.w3.org/2000/svg' " + attributes + ">\n" + inside + "\n</svg>\n";
}

DrawnContour contour_of(const std::string& inside, const DrawingChoice& choice = {}) {
  return choose_contour(read_svg(page(inside), "t.svg", choice), "t.svg", choice);
}

bool noted(const std::vector<std::string>& notes, const std::string& part) {
  for (const std::string& n : notes)
    if (n.find(part) != std::string::npos) return true;
  return false;
}

}  // namespace

TEST_CASE("SVG: shapes turned into paths by Inkscape have their own areas") {
  // source.svg: 300 x 180 with corners of 15; r 20; a turned 100 x 50; half axes 30 and 18. Page 400 x 250
  // mm.
  const DrawnContour rim = read_contour(drawn("inkscape_paths.svg"), id("outline"));
  // Its corners are cubic Beziers (handles 0.554 r long), which stay within 0.1 % of r of a true quarter
  // circle.
  const double area = 300 * 180 - (4 - kPi) * 15 * 15;
  CHECK(rim.contour.signed_area() == Approx(area).margin(0.001 * 15 * 2 * kPi * 15));
  CHECK(rim.contour.box().lo.x == Approx(50).margin(1e-6));
  CHECK(rim.contour.box().lo.y == Approx(250 - 215).margin(1e-6));
  CHECK(rim.contour.box().hi.y == Approx(250 - 35).margin(1e-6));
  CHECK(noted(rim.notes, "overall size 300 x 180 mm"));

  const DrawnContour hole = read_contour(drawn("inkscape_paths.svg"), id("hole"));
  REQUIRE(hole.contour.segments().size() <= 4);
  CHECK(hole.contour.signed_area() == Approx(kPi * 400).epsilon(1e-9));
  CHECK(hole.contour.segments()[0].radius == Approx(20).epsilon(1e-12));

  const DrawnContour badge = read_contour(drawn("inkscape_paths.svg"), id("badge"));
  CHECK(badge.contour.segments().size() == 4);
  CHECK(badge.contour.signed_area() == Approx(5000).epsilon(1e-9));
  // The corner (150, 100) turned by 30 degrees clockwise as seen on the page about (200, 125).
  const double c = std::cos(kPi / 6), s = std::sin(kPi / 6);
  const Vec2 corner{200 + c * -50 - s * -25, 250 - (125 + s * -50 + c * -25)};
  CHECK(badge.contour.nearest(corner).distance < 1e-6);

  const DrawnContour oval = read_contour(drawn("inkscape_paths.svg"), id("oval"));
  CHECK(oval.contour.signed_area() == Approx(kPi * 30 * 18).margin(0.001 * 160));
  CHECK(oval.contour.segments().size() < 120);
}

TEST_CASE("SVG: a layer drawn in Inkscape, in inches, and a hidden one") {
  DrawingChoice layer;
  layer.layer = "Rim";
  const DrawnContour rim = read_contour(drawn("inkscape_layers.svg"), layer);
  // 4 x 2 in with half a disc of 1 in on its upper side, the layer moved by 1 in: from the page's foot 8 - 1
  // - 4 in.
  CHECK(rim.contour.signed_area() == Approx((8 + kPi / 2) * 25.4 * 25.4).epsilon(1e-9));
  CHECK(rim.contour.box().lo.y == Approx(3 * 25.4).margin(1e-9));
  CHECK(rim.contour.box().hi.y == Approx(6 * 25.4).margin(1e-9));
  CHECK(rim.contour.box().lo.x == Approx(2 * 25.4).margin(1e-9));

  CHECK(noted(read_contour(drawn("inkscape_layers.svg"), {}).notes, "hidden"));
  layer.layer = "Letters";  // chosen by name, so taken though hidden: a wave and a dot
  CHECK_THROWS_WITH(read_contour(drawn("inkscape_layers.svg"), layer), Catch::Contains("holds 2 contours"));
  layer.near = Vec2{700 / 96.0 * 25.4, 50};
  CHECK(read_contour(drawn("inkscape_layers.svg"), layer).contour.signed_area() == Approx(kPi * 12.7 * 12.7));
  layer.layer = "Nowhere";
  CHECK_THROWS_WITH(read_contour(drawn("inkscape_layers.svg"), layer),
                    Catch::Contains("there are: Rim, Letters"));
}

namespace {

/// 2Geom's reading of path data, drawn with the same builder.
class Sink : public Geom::PathSink {
 public:
  explicit Sink(ChainBuilder& out) : out_(out) {}
  void moveTo(Geom::Point const& p) override { out_.move_to(start_ = here_ = at(p)); }
  void lineTo(Geom::Point const& p) override { out_.line_to(here_ = at(p)); }
  void curveTo(Geom::Point const& a, Geom::Point const& b, Geom::Point const& p) override {
    out_.cubic_to(at(a), at(b), here_ = at(p));
  }
  void quadTo(Geom::Point const& c, Geom::Point const& p) override {
    out_.quadratic_to(at(c), here_ = at(p));
  }
  void arcTo(Geom::Coord rx, Geom::Coord ry, Geom::Coord angle, bool large, bool sweep,
             Geom::Point const& p) override {
    out_.ellipse_to(arc_through(here_, rx, ry, angle, large, sweep, at(p)), at(p));
    here_ = at(p);
  }
  void closePath() override {
    out_.close();
    out_.move_to(here_ = start_);
  }
  void flush() override { out_.end(); }

 private:
  static Vec2 at(Geom::Point const& p) { return {p[0], p[1]}; }
  ChainBuilder& out_;
  Vec2 here_, start_;
};

}  // namespace

TEST_CASE("SVG: path data means the same to 2Geom") {
  for (const std::string data :
       {"M10 10H90V90H10Z", "m10,10 80,0 0,80-80,0z m 20 20 l 5 0 v5 h-5z",
        "M10 80 C 40 10, 65 10, 95 80 S 150 150, 180 80", "M10 80 Q 52.5 10, 95 80 T 180 80 t 20 20",
        "M6 10 A 6 4 10 1 0 14 10 a 6 4 10 0 1 8.5.5", "M0 0a25,25 -30 0,1 50,-25l.5.5-.5-1e1z",
        "M1 2 L3 4 M5 6 7 8 z l 1 1", "M 0 0 A 1 1 0 0 1 50 20",
        "m 1e1 1E1 c 1 2 3 4 5 6 s 1 2 3 -4 q 9 9 1 -3 t 4 4", "M0,0A30 50 0 10 20 40"}) {
    CAPTURE(data);
    ChainBuilder ours(0.001), theirs(0.001);
    ours.element({}, {}, "ours");
    draw_path_data(data, ours);
    theirs.element({}, {}, "theirs");
    Sink sink(theirs);
    Geom::SVGPathParser(sink).parse(data);
    const std::vector<DrawnChain> a = ours.take(), b = theirs.take();
    REQUIRE(a.size() == b.size());
    for (std::size_t i = 0; i < a.size(); ++i) {
      CHECK(a[i].closed == b[i].closed);
      REQUIRE(a[i].pieces.size() == b[i].pieces.size());
      for (std::size_t k = 0; k < a[i].pieces.size(); ++k) {
        CHECK(distance(a[i].pieces[k].b, b[i].pieces[k].b) < 1e-9);
        CHECK(a[i].pieces[k].sweep == Approx(b[i].pieces[k].sweep).margin(1e-6));
      }
    }
  }
}

TEST_CASE("SVG: circles stay true arcs under similar maps and become fitted ellipses under others") {
  const DrawnContour turned =
      contour_of("<g transform='rotate(40) scale(2)'><circle transform='translate(15 3)' r='4'/></g>");
  REQUIRE(turned.contour.segments().size() == 1);
  CHECK(turned.contour.segments()[0].radius == Approx(8));
  const Vec2 centre{2 * (15 * std::cos(2 * kPi / 9) - 3 * std::sin(2 * kPi / 9)),
                    100 - 2 * (15 * std::sin(2 * kPi / 9) + 3 * std::cos(2 * kPi / 9))};
  CHECK(distance(turned.contour.segments()[0].centre, centre) < 1e-12);

  const DrawnContour mirrored =
      contour_of("<circle transform='matrix(-1 0 0 1 50 0)' cx='10' cy='10' r='4'/>");
  CHECK(mirrored.contour.signed_area() == Approx(16 * kPi));
  CHECK(mirrored.contour.box().lo.x == Approx(36));

  const DrawnContour skewed = contour_of("<circle transform='skewX(30)' cx='20' cy='40' r='10'/>");
  CHECK(skewed.contour.signed_area() == Approx(100 * kPi).margin(0.07));
  CHECK(skewed.contour.segments().size() > 4);

  const DrawnContour rounded = contour_of("<rect x='10' y='20' width='60' height='40' rx='5'/>");
  REQUIRE(rounded.contour.segments().size() == 8);
  CHECK(rounded.contour.signed_area() == Approx(2400 - (4 - kPi) * 25));
  CHECK(rounded.contour.box().lo.y == Approx(40));
  // Radii beyond half the side are cut back to it; with both, the corners are quarter ellipses.
  CHECK(contour_of("<rect width='20' height='20' rx='30'/>").contour.signed_area() == Approx(100 * kPi));
  CHECK(contour_of("<rect width='60' height='40' rx='10' ry='5'/>").contour.signed_area() ==
        Approx(2400 - (4 - kPi) * 50).margin(0.05));
}

TEST_CASE("SVG: units, page and view box") {
  const auto box = [](const std::string& attributes, const std::string& inside) {
    return choose_contour(read_svg(page(inside, attributes), "t.svg", {}), "t.svg", {}).contour.box();
  };
  const std::string square = "<rect x='10' y='10' width='20' height='20'/>";
  // No physical size: 96 units to the inch.
  CHECK(box("viewBox='0 0 96 96'", square).lo.x == Approx(10 * 25.4 / 96));
  CHECK(box("viewBox='0 0 96 96'", square).lo.y == Approx(66 * 25.4 / 96));
  CHECK(box("width='50' height='40'", square).lo.y == Approx(10 * 25.4 / 96));
  CHECK(box("width='2in' viewBox='0 0 100 50'", square).lo.x == Approx(5.08));
  CHECK(box("width='10cm' height='50mm' viewBox='-10 -10 100 50'", square).lo.x == Approx(20));
  // A square view box in a wide page: centred, or at its left, or stretched, or filling it.
  CHECK(box("width='200mm' height='100mm' viewBox='0 0 50 50'", square).lo.x == Approx(50 + 20));
  CHECK(box("width='200mm' height='100mm' viewBox='0 0 50 50' preserveAspectRatio='xMinYMid'", square).lo.x ==
        Approx(20));
  CHECK(box("width='200mm' height='100mm' viewBox='0 0 50 50' preserveAspectRatio='none'", square).lo.x ==
        Approx(40));
  CHECK(box("width='200mm' height='100mm' viewBox='0 0 50 50' preserveAspectRatio='none'", square).lo.y ==
        Approx(40));
  CHECK(box("width='200mm' height='100mm' viewBox='0 0 50 50' preserveAspectRatio='xMidYMax slice'", square)
            .lo.y == Approx(80));
  // Lengths with units of their own; a nested <svg> with its own view box.
  CHECK(box("width='100mm' height='100mm'", "<rect x='1cm' y='10%' width='12pt' height='1pc'/>").hi.x ==
        Approx(10 + 12 * 25.4 / 72));
  CHECK(box("width='100mm' height='100mm' viewBox='0 0 100 100'",
            "<svg x='50' y='50' width='50' height='50' viewBox='0 0 100 100'>" + square + "</svg>")
            .lo.x == Approx(55));
}

TEST_CASE("SVG: groups, clones and what has no outline") {
  const DrawnContour clone = contour_of(
      "<defs><rect id='r' width='10' height='10'/></defs><g transform='translate(5 5)'><use href='#r' x='20' "
      "transform='scale(2)'/></g>");
  CHECK(clone.contour.box().lo.x == Approx(45));
  CHECK(clone.contour.signed_area() == Approx(400));
  const DrawnContour text = contour_of(
      "<text x='1' y='1'>hello</text><circle r='5' cx='50' cy='50'/><circle r='5' cx='20' cy='50' "
      "style='stroke:red; display: none'/>");
  CHECK(noted(text.notes, "<text>"));
  CHECK(noted(text.notes, "hidden"));
  CHECK_THROWS_WITH(contour_of("<use id='a' href='#a'/>"), Catch::Contains("hold itself"));
  CHECK_THROWS_WITH(contour_of("<text id='a'>x</text>", id("a")),
                    Catch::Contains("turn the text into paths"));
  CHECK_THROWS_WITH(contour_of("<path id='b' d='M0 0H10V10Z'/>", id("a")), Catch::Contains("there are: b"));
}

TEST_CASE("SVG: symbols stand where their clones put them") {
  // Derived: a view box of 20 in a viewport of 40 doubles; the box's corner (-10, -10) lies on the clone's
  // (x, y).
  const std::string symbol =
      "<symbol id='s' viewBox='-10 -10 20 20'><rect x='-5' y='-5' width='10' height='10'/></symbol>";
  const DrawnContour sized = contour_of(symbol + "<use href='#s' x='10' y='20' width='40' height='40'/>");
  CHECK(sized.contour.signed_area() == Approx(400));
  CHECK(sized.contour.box().lo.x == Approx(20));
  CHECK(sized.contour.box().hi.y == Approx(100 - 30));
  // Without a size of the clone the symbol's own holds, and without both the whole viewport.
  const std::string own =
      "<symbol id='s' width='40' height='20' viewBox='0 0 20 20'><circle r='5' cx='10' cy='10'/></symbol>";
  const DrawnContour middle = contour_of(own + "<use href='#s' transform='translate(3 4)'/>");
  CHECK(middle.contour.segments()[0].radius == Approx(5));
  CHECK(distance(middle.contour.segments()[0].centre, Vec2{3 + 20, 100 - 14}) < 1e-9);
  const std::string plain = "<defs><symbol id='s'><rect width='50%' height='5'/></symbol></defs>";
  CHECK(contour_of(plain + "<use href='#s' x='2'/>").contour.box().hi.x == Approx(2 + 100 / 2));
  // Cloned drawings within the drawing, by the older form of the link.
  CHECK(contour_of(
            "<defs><svg id='n' width='10' height='10' viewBox='0 0 100 100'><rect width='50' height='50'/>"
            "</svg></defs><use xlink:href='#n' width='20' height='20'/>")
            .contour.signed_area() == Approx(100));
  CHECK_THROWS_WITH(contour_of("<symbol id='s'><use href='#s'/></symbol><use href='#s'/>"),
                    Catch::Contains("hold itself"));
  CHECK_THROWS_WITH(contour_of("<symbol id='s' refX='5'><circle r='5'/></symbol><use href='#s'/>"),
                    Catch::Contains("refX") && Catch::Contains("unlink the clone"));
  CHECK_THROWS_WITH(contour_of("<symbol id='s'><circle id='c' r='5'/></symbol>", id("c")),
                    Catch::Contains("no place on the page"));
}

TEST_CASE("SVG: what style sheets hide is left out, what they move is refused") {
  const std::string seen = "<rect class='a b' id='r' x='40' y='40' width='20' height='20'/>";
  const auto hides = [&](const std::string& css, const std::string& attributes = "class='x off'") {
    const std::string other = "<circle id='c' " + attributes + " r='4' cx='10' cy='10'/>";
    const DrawnContour drawn = contour_of("<style>" + css + "</style>" + seen + other, [] {
      DrawingChoice c;
      c.near = Vec2{10, 90};
      return c;
    }());
    const bool gone = drawn.contour.signed_area() == Approx(400);
    CHECK(gone == noted(drawn.notes, "hidden element(s)"));
    return gone;
  };
  for (const std::string css :
       {".off{display:none}", "/* a */ .off /* b */ { stroke: red; DISPLAY : none ; }", "#c,.z{display:none}",
        "circle{display:none}", "circle.off.x{visibility:hidden}", ".off{display:none!important}",
        "@media print { .x { display: inline } } .off { display: none }", "<![CDATA[ .off{display:none} ]]>",
        "circle{display:inline} .off{display:none} *{display:inline}",
        ".off{display:inline}.x{display:none}"}) {
    CAPTURE(css);
    CHECK(hides(css));
  }
  for (const std::string css : {".of{display:none}", ".off{display:none}#c{display:inline}",
                                ".off{display:inline!important}#c{display:none}", "rect.off{display:none}",
                                ".off{fill:none}", "@media print{.off{display:none}}"}) {
    CAPTURE(css);
    CHECK_FALSE(hides(css));
  }
  CHECK_FALSE(hides(".off{display:none}", "class='off' style='display:inline'"));
  CHECK(hides(".off{display:none!important}", "class='off' style='display:inline'"));
  CHECK(hides("", "visibility='hidden'"));
  CHECK(noted(contour_of("<style>@import url(x.css);</style>" + seen).notes, "begin with @"));
  // Hidden with its group, seen again by its own word.
  const std::string group = "<g visibility='hidden'><circle r='4' cx='10' cy='10'/>";
  CHECK(contour_of(group + "<rect visibility='visible' width='3' height='3'/></g>").contour.signed_area() ==
        Approx(9));
  // Painting is nobody's business, nor the case of letters.
  CHECK(contour_of("<path style='text-transform:none;transform:none' d='M0 0H10V10Z'/>").contour.length() >
        30);
  CHECK(contour_of("<style>g > path:hover { fill: red }</style>" + seen).contour.length() == Approx(80));

  CHECK_THROWS_WITH(contour_of("<style>.a{transform:rotate(4deg)}</style>" + seen),
                    Catch::Contains("CSS transforms are not read"));
  CHECK_THROWS_WITH(contour_of("<style>rect{width:4px}</style>" + seen),
                    Catch::Contains("given by CSS") && Catch::Contains("own attributes"));
  CHECK_THROWS_WITH(contour_of("<style>g > .a { display: none }</style>" + seen),
                    Catch::Contains("a rule for 'g > .a'") && Catch::Contains("on the elements themselves"));
}

TEST_CASE("SVG: loose pieces are joined, gaps and crossings told with their place") {
  const std::string slot =
      "<line x1='10.004' y1='10' x2='60' y2='10'/><path d='M60 30 A10 10 0 0 0 60 10'/>"
      "<line x1='60' y1='30' x2='10' y2='30'/><path d='M10 10 A10 10 0 0 0 10 30'/>";
  const DrawnContour joined = contour_of(slot);
  CHECK(joined.contour.signed_area() == Approx(50 * 20 + 100 * kPi).epsilon(1e-9));
  CHECK(noted(joined.notes, "gaps of up to 0.0040 mm joined"));
  DrawingChoice strict;
  strict.join = 0.001;
  CHECK_THROWS_WITH(contour_of(slot, strict), Catch::Contains("a gap of 0.004 mm") &&
                                                  Catch::Contains("(10, 90)") &&
                                                  Catch::Contains("(10.004, 90)"));

  CHECK_THROWS_WITH(contour_of("<path d='M10 10 L50 10 L50 50'/>"),
                    Catch::Contains("is open") && Catch::Contains("open = true"));
  DrawingChoice open;
  open.open = true;
  const DrawnContour line = contour_of("<path d='M10 10 L50 10 L50 50'/>", open);
  CHECK_FALSE(line.contour.closed());
  CHECK(line.contour.length() == Approx(80));
  CHECK(line.contour.point(0) == Vec2{10, 90});
  CHECK_THROWS_WITH(contour_of("<path d='M10 10 L50 50 L50 10 L10 50 Z'/>"),
                    Catch::Contains("crosses or touches itself at (30, 70)"));
  CHECK_THROWS_WITH(contour_of("<path d='M0 0H10V10H0ZM20 20h5v5z'/>"),
                    Catch::Contains("holds 2 contours") && Catch::Contains("near"));
}

TEST_CASE("SVG: names that are no UTF-8 are told printably") {
  const std::string text =
      "<svg width='9mm' height='9mm' viewBox='0 0 9 9'><rect id='gr\xF6\xDF"
      "e' width='5' height='-5'/></svg>";
  CHECK_THROWS_WITH(read_svg(text, "t", {}), "t:1:84: height of rect 'gr??e': a size cannot be negative");
}
