#include <catch2/catch.hpp>

#include "render/canvas.hpp"
#include "render/raster.hpp"

using namespace ovolo;
using namespace ovolo::render;

namespace {

Image word(const std::string& text, double size) {
  Canvas canvas(200, 60, std::nullopt);
  TextStyle style;
  style.size = size;
  canvas.text({10, 45}, text, style);
  return rasterize(canvas.svg());
}

/// Columns that hold ink, from the first to the last.
int inked_width(const Image& image) {
  int first = image.width, last = -1;
  for (int y = 0; y < image.height; ++y) {
    for (int x = 0; x < image.width; ++x) {
      if (image.pixel(x, y)[3] < 40) continue;
      first = std::min(first, x);
      last = std::max(last, x);
    }
  }
  return last - first + 1;
}

}  // namespace

TEST_CASE("drawings become pixels of the asked size", "[render]") {
  Canvas canvas(120, 80, std::nullopt);
  canvas.rectangle({{10, 10}, {60, 40}}, {Color{200, 30, 60}, "", 1, false}, no_stroke());
  for (const double scale : {1.0, 2.0, 0.5}) {
    const Image image = rasterize(canvas.svg(), scale);
    CHECK(image.width == static_cast<int>(120 * scale));
    CHECK(image.height == static_cast<int>(80 * scale));
    const std::uint8_t* inside = image.pixel(static_cast<int>(30 * scale), static_cast<int>(20 * scale));
    CHECK(inside[0] == 200);
    CHECK(inside[1] == 30);
    CHECK(inside[2] == 60);
    CHECK(inside[3] == 255);
    CHECK(image.pixel(static_cast<int>(100 * scale), static_cast<int>(60 * scale))[3] == 0);
  }
}

TEST_CASE("half transparent colour comes back straight", "[render]") {
  Canvas canvas(10, 10, std::nullopt);
  canvas.rectangle({{0, 0}, {10, 10}}, {Color{240, 120, 0}, "", 0.5, false}, no_stroke());
  const Image image = rasterize(canvas.svg());
  CHECK(image.pixel(5, 5)[0] == Approx(240).margin(2));
  CHECK(image.pixel(5, 5)[1] == Approx(120).margin(2));
  CHECK(image.pixel(5, 5)[3] == Approx(128).margin(1));
}

TEST_CASE("text is real type", "[render]") {
  // Boxes in place of letters would all be equal.
  CHECK(difference(word("lip", 30), word("leg", 30)) > 0);
  CHECK(word("O", 40).rgba != word("Q", 40).rgba);
  CHECK(inked_width(word("iiii", 30)) < 0.6 * inked_width(word("WWWW", 30)));
  for (const char* text : {"lip 1.380 mm", "face break 9.6\u00b0", "\u2264 0.015", "mm\u00b2"}) {
    INFO(text);
    CHECK(inked_width(word(text, 20)) == Approx(text_width(text, 20)).epsilon(0.06));
  }
}

TEST_CASE("what cannot be drawn is told", "[render]") {
  CHECK_THROWS_AS(rasterize("<svg"), std::runtime_error);
  CHECK_THROWS_AS(rasterize(""), std::runtime_error);
  CHECK_THROWS_WITH(rasterize(Canvas(100, 100, kPaper).svg(), 1e4), Catch::Contains("1000000 x 1000000"));
}
