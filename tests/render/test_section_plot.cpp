#include <fmt/format.h>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "render/labels.hpp"
#include "render/raster.hpp"
#include "render/section_plot.hpp"
#include "tests/render/drawing_check.hpp"
#include "tests/render/samples.hpp"

using namespace ovolo;
using namespace ovolo::render;

namespace {

std::string plot_of(const samples::Cut& cut, const std::string& title = "round the rim", double gouge = 0.8,
                    double excess = 0.3) {
  const Section section = samples::section(cut);
  SectionMeasures measures = samples::measures(cut);
  measures.gouge = gouge;
  measures.excess = excess;
  measures.exposure = {1.2, 3.8, 0};
  return draw_section({section, measures, samples::three_layers(), WantedForm::round(cut.radius), title,
                       "worst place: 123.4 mm along the contour", Wishes{}});
}

/// Pixels within 40 of a colour in each channel.
int count_near(const Image& image, int r, int g, int b) {
  int n = 0;
  for (int y = 0; y < image.height; ++y) {
    for (int x = 0; x < image.width; ++x) {
      const std::uint8_t* p = image.pixel(x, y);
      n += std::abs(p[0] - r) < 40 && std::abs(p[1] - g) < 40 && std::abs(p[2] - b) < 40 ? 1 : 0;
    }
  }
  return n;
}

}  // namespace

TEST_CASE("a section plot states its dimensions in mm and inch", "[render]") {
  const auto deep = drawing_check::texts(plot_of({5, 3.62, 5, 0}));
  for (const char* part :
       {"lip 1.380 mm", "0.0543 in", "flat band 0.194 mm", "0.0076 in", "foot at 5.000 mm", "0.1969 in",
        "wall break", "16.0\u00b0", "round the rim", "cap", "core", "gouge", "\u2264 0.015"}) {
    INFO(part);
    CHECK(drawing_check::contains(deep, part));
  }
  const auto good = drawing_check::texts(plot_of({5, 3.62, 3.55, 0.4}));
  for (const char* part : {"face break 9.6\u00b0", "23.1\u00b0", "foot at 2.970 mm", "5.003"}) {
    INFO(part);
    CHECK(drawing_check::contains(good, part));
  }
  CHECK_FALSE(drawing_check::contains(good, "times larger"));
}

TEST_CASE("a corner under a leaning flank is told as an arris, by the material's angle", "[render]") {
  // A flank of 14 degrees, 8.5 mm deep, as a dovetail leaves it.
  const double rad = std::numbers::pi / 180, lean = 8.5 * std::tan(14 * rad);
  const Stock stock = samples::three_layers();
  WantedForm flank;
  flank.width = lean;
  flank.depth = 8.5;
  flank.curve = {Segment::line({lean, -8.5}, {0, 0})};
  Section section;
  section.u_max = 10;
  for (const Segment& s : {flank.curve.front(), Segment::line({0, 0}, {10, 0})}) {
    SectionPiece piece;
    piece.shape = s;
    section.pieces.push_back(piece);
  }
  SectionMeasures m;
  m.lip = 0;
  m.face_break = 104 * rad;
  const auto texts = drawing_check::texts(draw_section({section, m, stock, flank, "", "", Wishes{}}));
  CHECK(drawing_check::contains(texts, "arris 76.0\u00b0"));
  CHECK(!drawing_check::contains(texts, "face break"));
}

TEST_CASE("what is too small to see is drawn again, magnified", "[render]") {
  // From just too small to see on: never as large as it is beside it.
  for (double band = 0.1; band < 1.2; band += 0.05)
    CHECK_FALSE(drawing_check::contains(drawing_check::texts(plot_of({5, 3.62, 3.55, 0.1942 - band})),
                                        "1 times larger"));
  for (const double lip : {0.002, 0.05, 0.2}) {
    const std::string svg = plot_of({5, 3.62, 3.62 + lip, 0.3});
    const auto texts = drawing_check::texts(svg);
    INFO(lip);
    CHECK(drawing_check::contains(texts, "lip " + mm_text(lip)));
    CHECK(drawing_check::contains(texts, "times larger"));
    // The lip is seen: without it the picture differs in the inset and little else.
    CHECK(difference(rasterize(svg), rasterize(plot_of({5, 3.62, 3.62, 0.3}))) > 0.004);
  }
}

TEST_CASE("what is far below its wish is not magnified", "[render]") {
  for (const samples::Cut& cut : {samples::Cut{5, 3.62, 3.621, 0.3}, samples::Cut{5, 3.62, 3.55, 0.1852}}) {
    const auto texts = drawing_check::texts(plot_of(cut));
    CHECK_FALSE(drawing_check::contains(texts, "times larger"));
    CHECK(drawing_check::contains(texts, "0.001") !=
          drawing_check::contains(texts, "0.009"));  // in the table
  }
}

TEST_CASE("labels of section plots never overlap and stay on the paper", "[render]") {
  for (const double radius : {1.5, 5.0, 12.7}) {
    for (const double depth : {0.5, 0.7, 0.735, 0.8, 1.0}) {         // parts of the radius
      for (const double offset : {-0.01, 0.0, 0.004, 0.02, 0.08}) {  // likewise
        const samples::Cut cut{radius, 0.724 * radius, depth * radius, offset * radius};
        const auto texts = drawing_check::texts(
            plot_of(cut,
                    "An operation with a long name, so long that it must be shortened to "
                    "stay on the paper, whatever comes after it in the title"));
        INFO("radius " << radius << " depth " << cut.depth << " offset " << cut.offset);
        CHECK(drawing_check::overlaps(texts) == std::vector<std::string>{});
        CHECK(drawing_check::outside(texts, 1200, 860) == std::vector<std::string>{});
        CHECK(drawing_check::smallest(texts) >= 11);
      }
    }
  }
}

TEST_CASE("the cut is drawn with true arcs", "[render]") {
  const std::string svg = plot_of({5, 3.62, 5, 0});
  // 68.06 px a mm: the frame of 490 px over 1.4 times the width of the moulded surface.
  const double width = samples::measures({5, 3.62, 5, 0}).round_width;
  const double radius = 5 * 490 / (1.4 * width);
  CHECK(svg.find(fmt::format("A{0:.4f} {0:.4f} 0 0 1", radius)) != std::string::npos);
}

TEST_CASE("gouge and excess have their own colours", "[render]") {
  const Image gouged = rasterize(plot_of({5, 3.62, 5, 0}));
  const Image proud = rasterize(plot_of({5, 3.62, 3.3, 0.4}));
  const auto blue = [](const Image& i) { return count_near(i, 0, 101, 163); };
  const auto orange = [](const Image& i) { return count_near(i, 196, 82, 0); };
  CHECK(blue(gouged) > 3 * blue(proud));
  CHECK(orange(proud) > 2 * orange(gouged));
}

TEST_CASE("a section without a cut, a wall or a wanted form still plots", "[render]") {
  const Stock stock = samples::three_layers();
  Section face;
  face.u_max = 10;
  SectionPiece piece;
  piece.shape = Segment::line({0, 0}, {10, 0});
  face.pieces.push_back(piece);
  const SectionMeasures none;
  CHECK(drawing_check::overlaps(
            drawing_check::texts(draw_section({face, none, stock, WantedForm{}, "", "", {}})))
            .empty());
  CHECK(drawing_check::overlaps(
            drawing_check::texts(draw_section({Section{}, none, stock, WantedForm::round(3), "x", "y", {}})))
            .empty());
  Section through = face;  // cut through at the wall
  through.pieces[0].shape = Segment::line({0, -13}, {10, -13});
  CHECK_NOTHROW(draw_section({through, none, stock, WantedForm::round(3), "x", "y", Wishes{}}));
}

TEST_CASE("alike layers share one look; what the legend has no room for is counted", "[render]") {
  Stock ply;
  for (int i = 0; i < 13; ++i)
    ply.layers.push_back({i % 2 == 0 ? "birch along" : "birch across", 1.4, {200, 170, 120}});
  Stock rainbow;
  for (int i = 0; i < 40; ++i) rainbow.layers.push_back({"layer " + std::to_string(i), 0.3, {90, 120, 150}});
  const samples::Cut cut{5, 3.62, 3.67, 0.1};
  const Section section = samples::section(cut);
  SectionMeasures measures = samples::measures(cut);
  const auto texts_of = [&](const Stock& stock) {
    measures.exposure.assign(stock.layers.size(), 0.4);
    return drawing_check::texts(
        draw_section({section, measures, stock, WantedForm::round(5), "many layers", "", Wishes{}}));
  };
  const auto few = texts_of(ply);
  CHECK(drawing_check::contains(few, "birch along, 7 \u00d7 1.400 mm"));
  CHECK(drawing_check::contains(few, "birch across, 6 \u00d7 1.400 mm"));
  const auto many = texts_of(rainbow);
  CHECK(drawing_check::contains(many, "more layers"));
  for (const auto& texts : {few, many}) {
    CHECK(drawing_check::overlaps(texts) == std::vector<std::string>{});
    CHECK(drawing_check::outside(texts, 1200, 860) == std::vector<std::string>{});
  }
}
