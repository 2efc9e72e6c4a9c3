#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

#include "render/along_plot.hpp"
#include "render/raster.hpp"
#include "tests/render/drawing_check.hpp"
#include "tests/render/samples.hpp"

using namespace ovolo;
using namespace ovolo::render;

TEST_CASE("a plot along the contour states the worst, the wish and where", "[render]") {
  const Contour contour = Contour::rectangle({200, 125}, {300, 180}, 15);
  Wishes wishes;
  wishes.hidden = {"core"};
  const Stock stock = samples::three_layers();
  const WantedForm wanted = WantedForm::round(5);
  const Standard standard{wishes, wanted, stock};
  const EdgeMeasures edge = samples::edge({5, 3.62, 3.58, 0.1}, contour, 0.08, 20, 40);
  const std::string svg = draw_along({edge, standard, "round the rim"});
  const auto texts = drawing_check::texts(svg);
  for (const char* part :
       {"largest 0.040 mm (0.0016 in) at A, wish at most 0.015 mm", "0.094 mm (0.0037 in) all along",
        "largest 12.6\u00b0", "core showing", "not reached by the bit", "ramp or end, not counted", "inch",
        "start", "outline"}) {
    INFO(part);
    CHECK(drawing_check::contains(texts, part));
  }
  CHECK(drawing_check::smallest(texts) >= 11);
  const Image image = rasterize(svg);
  CHECK(image.width == 1200);
  CHECK(image.height > 600);
}

TEST_CASE("along a leaning flank the arris is told, its smallest angle against the least wished",
          "[render]") {
  const Contour contour = Contour::rectangle({200, 125}, {300, 180}, 15);
  const double rad = std::numbers::pi / 180;
  const Wishes wishes;
  const Stock stock = samples::three_layers();
  WantedForm flank;
  flank.width = 8.5 * std::tan(14 * rad);
  flank.depth = 8.5;
  flank.curve = {Segment::line({flank.width, -8.5}, {0, 0})};
  EdgeMeasures edge = samples::edge({5, 3.62, 3.58, 0.1}, contour, 0.08, 20, 40);
  for (Station& s : edge.stations) s.measures.face_break = 104 * rad;
  edge.stations[30].measures.face_break = 124 * rad;
  const auto texts = drawing_check::texts(draw_along({edge, {wishes, flank, stock}, "dovetail"}));
  CHECK(drawing_check::contains(texts, "arris"));
  CHECK(drawing_check::contains(texts, "smallest 56.0\u00b0 at "));
  CHECK(drawing_check::contains(texts, "wish at least 61\u00b0"));
  CHECK(!drawing_check::contains(texts, "face break"));
}

TEST_CASE("each layer that shows has its panel, many share one", "[render]") {
  const Contour contour = Contour::rectangle({200, 125}, {300, 180}, 15);
  Wishes wishes;
  const WantedForm wanted = WantedForm::round(5);
  Stock stock = samples::three_layers();
  EdgeMeasures edge = samples::edge({5, 3.62, 3.58, 0.1}, contour, 0.08, 20, 40);
  const auto texts_of = [&] {
    const std::string svg = draw_along({edge, {wishes, wanted, stock}, "round the rim"});
    auto texts = drawing_check::texts(svg);
    CHECK(drawing_check::overlaps(texts) == std::vector<std::string>{});
    CHECK(drawing_check::outside(texts, 1200, rasterize(svg).height) == std::vector<std::string>{});
    return texts;
  };
  const auto few = texts_of();
  CHECK(drawing_check::contains(few, "cap showing"));
  CHECK(drawing_check::contains(few, "core showing"));
  CHECK_FALSE(drawing_check::contains(few, "back showing"));
  stock.layers.assign(
      9, {"veneer with a name too long to stand beside its value on one line", 0.5, {90, 90, 90}});
  wishes.hidden = {"veneer 8"};
  edge.exposure.clear();
  for (std::size_t i = 0; i < 9; ++i) edge.exposure.push_back({"veneer " + std::to_string(i), {}, 0});
  for (Station& s : edge.stations) s.measures.exposure.assign(9, 0.25);
  const auto many = texts_of();
  CHECK(drawing_check::contains(many, "veneer 4 showing"));
  CHECK(drawing_check::contains(many, "3 more layers showing"));
  CHECK(drawing_check::contains(many, "0.750 mm"));
  CHECK(drawing_check::contains(many, "veneer 8 showing"));
}

TEST_CASE("labels of plots along the contour never overlap", "[render]") {
  Wishes wishes;
  wishes.hidden = {"core", "back"};
  const Stock stock = samples::three_layers();
  const WantedForm wanted = WantedForm::round(5);
  const Standard standard{wishes, wanted, stock};
  const Contour contours[] = {Contour::rectangle({200, 125}, {300, 180}, 15), Contour::circle({0, 0}, 4),
                              Contour({Segment::line({0, 0}, {2000, 3})}, false)};
  for (const Contour& contour : contours) {
    for (const double depth : {3.3, 3.6, 3.65, 5.0}) {
      for (const double swing : {0.0, 0.002, 0.1}) {
        const EdgeMeasures edge = samples::edge({5, 3.62, depth, 0.1}, contour, swing, contour.length() / 30,
                                                contour.length() / 50);
        const std::string svg = draw_along({edge, standard, "an edge"});
        const auto texts = drawing_check::texts(svg);
        INFO("depth " << depth << " swing " << swing << " length " << contour.length());
        CHECK(drawing_check::overlaps(texts) == std::vector<std::string>{});
        CHECK(drawing_check::outside(texts, 1200, rasterize(svg).height) == std::vector<std::string>{});
      }
    }
  }
}

TEST_CASE("an edge without stations still plots", "[render]") {
  const Wishes wishes;
  const Stock stock = samples::three_layers();
  const WantedForm wanted;
  const Standard standard{wishes, wanted, stock};
  EdgeMeasures edge;
  edge.contour = "outline";
  CHECK(drawing_check::contains(drawing_check::texts(draw_along({edge, standard, "x"})), "outline"));
  Station station;
  station.kind = StationKind::unreached;
  edge.stations = {station};
  CHECK_NOTHROW(draw_along({edge, standard, "x"}));
}
