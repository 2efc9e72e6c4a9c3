#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <pugixml.hpp>

#include "render/axis.hpp"
#include "render/canvas.hpp"
#include "render/labels.hpp"
#include "render/raster.hpp"
#include "tests/render/drawing_check.hpp"

using namespace ovolo;
using namespace ovolo::render;

TEST_CASE("any text becomes well-formed SVG", "[render]") {
  const std::string names[] = {"a < b & \"c\" > 'd'",
                               "tab\there",
                               std::string("nul\0byte", 8),
                               "\x01\x1f\x7f",
                               "broken \xc3( utf-8 \xff\xfe",
                               "\xed\xa0\x80 surrogate",
                               "\xf5\x80\x80\x80",
                               "\xe2\x82",
                               "0.25\u00b0 \u2264 \u4e2d\u6587",
                               "]]>",
                               "<!-- -->",
                               "\xef\xbf\xbe"};
  for (const std::string& name : names) {
    Canvas canvas(200, 100, kPaper);
    canvas.begin_group(name);
    canvas.text({10, 50}, name, {});
    canvas.end();
    CHECK(drawing_check::texts(canvas.svg()).size() == 1);
    CHECK(rasterize(canvas.svg()).width == 200);
  }
  CHECK(xml_text("a<b&c") == "a&lt;b&amp;c");
  CHECK(xml_text("\xc3(") == "\xef\xbf\xbd(");
  CHECK(xml_text("25\u00b0") == "25\u00b0");
}

TEST_CASE("coordinates that are not numbers are refused", "[render]") {
  Canvas canvas(100, 100, kPaper);
  CHECK_THROWS_AS(canvas.line({std::nan(""), 0}, {1, 1}, {}), std::invalid_argument);
  CHECK_THROWS_AS(canvas.circle({0, 0}, INFINITY, {}, {}), std::invalid_argument);
}

TEST_CASE("groups of a drawing must be closed", "[render]") {
  Canvas canvas(100, 100, kPaper);
  CHECK_THROWS_AS(canvas.end(), std::logic_error);
  canvas.begin_group("open");
  CHECK_THROWS_AS(canvas.svg(), std::logic_error);
  canvas.end();
  CHECK_NOTHROW(canvas.svg());
}

TEST_CASE("arcs of the world are true arcs on the drawing", "[render]") {
  const Map map{10, {50, 50}};
  // A quarter turn counter-clockwise from (1, 0) to (0, 1): as seen on the drawing likewise, which SVG calls
  // sweep 0.
  const Segment quarter = Segment::arc({0, 0}, 1, 0, std::numbers::pi / 2);
  CHECK(Path().move(map(quarter.a)).segment(quarter, map).data() == "M60 50A10.0000 10.0000 0 0 0 50 40");
  const Segment long_way = Segment::arc({0, 0}, 1, 0, -1.5 * std::numbers::pi);
  CHECK(Path().segment(long_way, map).data() == "A10.0000 10.0000 0 1 1 50 40");
  // A full circle is two halves, else viewers draw nothing.
  const Segment full = Segment::arc({0, 0}, 1, 0, 2 * std::numbers::pi);
  CHECK(Path().segment(full, map).data() == "A10.0000 10.0000 0 0 0 40 50A10.0000 10.0000 0 0 0 60 50");
}

TEST_CASE("an arc's pixels lie on the arc", "[render]") {
  Canvas canvas(200, 200, kPaper);
  const Map map{80, {100, 100}};
  const Segment arc = Segment::arc({0, 0}, 1, 0.3, 4.1);
  canvas.path(Path().move(map(arc.a)).segment(arc, map), no_fill(), {kInk, 3, "", 1});
  const Image image = rasterize(canvas.svg());
  for (double s = 0.05; s < arc.length(); s += 0.1) {
    const Vec2 p = map(arc.point(s));
    CHECK(image.pixel(static_cast<int>(p.x), static_cast<int>(p.y))[0] < 120);
  }
  const Vec2 gap = map(unit(-0.9));
  CHECK(image.pixel(static_cast<int>(gap.x), static_cast<int>(gap.y))[0] > 240);
}

TEST_CASE("long text is shortened to fit, never within a character", "[render]") {
  const std::string name = "r\u00fcnd \u4e2d\u6587 edges of every kind";
  CHECK(fitted(name, 1000, 13) == name);
  for (double width = 20; width < 220; width += 7) {
    const std::string short_name = fitted(name, width, 13);
    CHECK(text_width(short_name, 13) <= width);
    CHECK(xml_text(short_name) == short_name);
  }
}

TEST_CASE("labels find room without covering one another", "[render]") {
  const PixelBox area{{0, 0}, {600, 400}};
  LabelPlacer placer(area);
  std::vector<PixelBox> placed;
  for (int i = 0; i < 40; ++i) {
    const Vec2 anchor{20.0 + 13 * i, 200 + 60 * std::sin(i * 1.7)};
    if (const auto box = placer.place(anchor, {70, 18}, 10, 300)) placed.push_back(*box);
  }
  CHECK(placed.size() >= 20);
  for (std::size_t i = 0; i < placed.size(); ++i) {
    CHECK(placed[i].inside(area));
    for (std::size_t j = i + 1; j < placed.size(); ++j) CHECK_FALSE(placed[i].overlaps(placed[j]));
  }
  // What should stay in sight is covered only when there is no other room.
  LabelPlacer minding(area);
  for (double x = 60; x < 600; x += 10) minding.prefer_clear({{x, 190}, {x + 10, 210}});
  const auto beside = minding.place({30, 200}, {60, 16}, 6);
  REQUIRE(beside.has_value());
  CHECK((beside->hi.y <= 190 || beside->lo.y >= 210 || beside->hi.x <= 60));
  LabelPlacer crowded(PixelBox{{0, 0}, {80, 30}});
  crowded.prefer_clear({{0, 0}, {80, 30}});
  CHECK(crowded.place({5, 15}, {60, 16}, 6).has_value());
  LabelPlacer full(PixelBox{{0, 0}, {50, 50}});
  CHECK_FALSE(full.place({25, 25}, {70, 18}, 5).has_value());
}

TEST_CASE("axis steps are round and few", "[render]") {
  for (const double top : {0.0003, 0.0195, 0.05, 0.8, 1.38, 7.0, 37.5, 934.2, 7320.0}) {
    for (const int wanted : {4, 8}) {
      const Ticks t = ticks(top, wanted);
      INFO("top " << top << ", wanted " << wanted << ", got " << t.at.size());
      CHECK(t.at.size() >= 3);
      CHECK(t.at.size() <= static_cast<std::size_t>(1.6 * wanted + 2));
      CHECK(t.at.back() <= top * (1 + 1e-9));
      for (std::size_t i = 0; i < t.at.size(); ++i)
        CHECK(std::stod(t.label[i]) == Approx(t.at[i]).margin(1e-12));
    }
  }
  CHECK(ticks(0, 4).at.empty());
}

TEST_CASE("lengths are written in mm and inch", "[render]") {
  CHECK(length_text(1.38) == "1.380 mm (0.0543 in)");
  CHECK(length_text(0.05) == "0.050 mm (0.0020 in)");
  CHECK(angle_text(std::numbers::pi / 8) == "22.5\u00b0");
  CHECK(round_below(1.99) == Approx(1));
  CHECK(round_below(49) == Approx(20));
  CHECK(round_below(0.0051) == Approx(0.005));
}

TEST_CASE("hatched areas repeat pixel by pixel, also half as large again", "[render]") {
  Canvas canvas(240, 240, kPaper);
  const std::string names[] = {canvas.hatch(kInk, 1, 7, Hatch::falling, kPaper),
                               canvas.hatch(kInk, 1, 8, Hatch::rising, kPaper),
                               canvas.hatch(kInk, 2, 5, Hatch::upright, kPaper),
                               canvas.cross_hatch(kInk, 1, 9, kPaper),
                               canvas.dots(kInk, 1.1, 6, kPaper),
                               canvas.dashes(kInk, 1, 8, 12, kPaper)};
  double y = 0;
  for (const std::string& name : names) {
    canvas.rectangle({{0, y}, {240, y + 40}}, {std::nullopt, name, 1, false}, no_stroke());
    y += 40;
  }
  pugi::xml_document document;
  REQUIRE(document.load_string(canvas.svg().c_str()));
  for (const double scale : {1.0, 1.5}) {
    const Image image = rasterize(canvas.svg(), scale);
    int k = 0;
    for (const pugi::xml_node& pattern : document.child("svg").child("defs").children("pattern")) {
      const auto side = [&](const char* name) {
        const double px = scale * pattern.attribute(name).as_double();
        CHECK(px == std::round(px));
        return static_cast<int>(px);
      };
      const int wide = side("width");
      side("height");
      const int row = static_cast<int>(scale * (40 * k++ + 20));
      bool inked = false, repeats = true;
      for (int j = row - 6; j < row + 6; ++j) {
        for (int x = 2 * wide; x < 3 * wide; ++x) {
          inked = inked || image.pixel(x, j)[0] < 160;
          repeats = repeats && std::abs(image.pixel(x, j)[0] - image.pixel(x + wide, j)[0]) <= 1;
        }
      }
      CHECK(inked);
      CHECK(repeats);
    }
    CHECK(k == 6);
  }
}

TEST_CASE("a scale bar is round in the unit told first, and told in plain figures", "[render]") {
  const auto told = [](double most, bool inch) {
    Canvas canvas(400, 100, kPaper);
    scale_bar(canvas, {10, 10}, bar_length(most, inch), 0.1, inch);
    return drawing_check::texts(canvas.svg()).at(0).content;
  };
  CHECK(told(1900, false) == "1000 mm (39.4 in)");
  CHECK(told(3, false) == "2 mm (0.0787 in)");
  CHECK(told(1900, true) == "50 in (1270 mm)");
  CHECK(told(3, true) == "0.1 in (2.54 mm)");
}
