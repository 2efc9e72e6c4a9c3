#include <catch2/catch.hpp>

#include "render/raster.hpp"
#include "render/top_view.hpp"
#include "sim/parallel.hpp"
#include "tests/render/drawing_check.hpp"
#include "tests/render/samples.hpp"

using namespace ovolo;
using namespace ovolo::render;

namespace {

struct Scene {
  Stock stock = samples::three_layers();
  Contour contour = Contour::rectangle({200, 125}, {300, 180}, 15);
  Heightfield field = samples::field({5, 3.62, 5, 0}, contour, {{0, 0}, {400, 250}}, 0.5, 13.7);
  TopView view{field, stock, {contour}, {}, "Trailhead sign", 800};
};

}  // namespace

TEST_CASE("the sheet from above shows layers, what is cut through, and its size", "[render]") {
  const Scene scene;
  const Image image = draw_top(scene.view);
  CHECK(image.width == 800);
  const auto texts = drawing_check::texts(top_drawing(scene.view));
  for (const char* part :
       {"Trailhead sign", "400 mm (15.75 in)", "250 mm (9.84 in)", "cap", "cut through", "50 mm"}) {
    INFO(part);
    CHECK(drawing_check::contains(texts, part));
  }
  TopView inches = scene.view;
  inches.inch = true;
  const auto first = drawing_check::texts(top_drawing(inches));
  for (const char* part : {"15.75 in (400 mm)", "9.84 in (250 mm)", "2 in (50.8 mm)"}) {
    INFO(part);
    CHECK(drawing_check::contains(first, part));
  }
  const double scale = (800 - 90 - 40) / 400.0;
  const auto pixel_at = [&](double x, double y) {
    return image.pixel(static_cast<int>(90 + scale * x), static_cast<int>(96 + scale * (250 - y)));
  };
  const std::uint8_t* cap = pixel_at(200, 125);
  CHECK(cap[1] > cap[0]);  // green
  CHECK(cap[1] > cap[2]);
  const std::uint8_t* core = pixel_at(52.5, 125);  // half way up the round, on its lit side
  CHECK(core[0] > 180);
  const std::uint8_t* kerf = pixel_at(46.5, 125);
  CHECK(kerf[0] < 90);
  CHECK(std::abs(kerf[0] - kerf[2]) < 12);
  // The round is lit from the upper left: the side that faces away is darker.
  CHECK(pixel_at(347.5, 125)[0] + 20 < core[0]);
}

TEST_CASE("marks are labelled without overlap, by name and figure", "[render]") {
  Scene scene;
  for (int i = 0; i < 12; ++i) {
    scene.view.marks.push_back({{50 + 9.0 * i, 35},
                                "a rather long operation's name, number " + std::to_string(i),
                                "lip 0.050 mm",
                                i > 8});
  }
  scene.view.marks.push_back({{0, 0}, "corner", "wall break 30.0\u00b0", false});
  scene.view.marks.push_back({{400, 250}, "far corner", "within the wishes", true});
  const auto texts = drawing_check::texts(top_drawing(scene.view));
  CHECK(drawing_check::overlaps(texts) == std::vector<std::string>{});
  CHECK(drawing_check::outside(texts, 800, draw_top(scene.view).height) == std::vector<std::string>{});
  CHECK(drawing_check::contains(texts, "lip 0.050 mm"));
  CHECK(drawing_check::contains(texts, "corner: wall break 30.0\u00b0"));
  CHECK(drawing_check::smallest(texts) >= 11);
}

TEST_CASE("the sheet from above is the same for any number of threads", "[render]") {
  const Scene scene;
  Image one, two;
  {
    const ThreadLimit limit(1);
    one = draw_top(scene.view);
  }
  {
    const ThreadLimit limit(2);
    two = draw_top(scene.view);
  }
  CHECK(one.rgba == two.rgba);
}

TEST_CASE("marks name the worst operations first", "[render]") {
  Job job;
  job.stock = samples::three_layers();
  for (const char* name : {"fine", "deep", "worse"}) {
    Operation operation;
    operation.name = name;
    operation.wanted = WantedForm::round(5);
    job.operations.push_back(operation);
  }
  const Contour contour = Contour::circle({100, 100}, 40);
  Measures measures;
  const double depths[] = {3.6, 4.0, 5.0};
  for (std::uint32_t i = 0; i < 3; ++i) {
    EdgeMeasures edge = samples::edge({5, 3.62, depths[i], 0.4}, contour);
    edge.operation = i;
    edge.verdict.good = i == 0;
    if (i == 1) edge.copies = {{0, 0}, {50, 0}};
    measures.edges.push_back(edge);
  }
  const auto marks = worst_marks(job, measures);
  REQUIRE(marks.size() == 3);
  CHECK(marks[0].name == "worse");
  CHECK(marks[0].value == "lip 1.380 mm (0.0543 in)");
  CHECK(marks[1].value == "lip 0.380 mm (0.0150 in), 2 parts");
  CHECK(marks[2].value == "within the wishes");
  CHECK(marks[2].good);
}
