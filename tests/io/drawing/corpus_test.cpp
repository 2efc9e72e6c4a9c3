#include <catch2/catch.hpp>
#include <filesystem>

#include "io/drawing/drawing.hpp"
#include "io/drawing/half_profile.hpp"
#include "io/file.hpp"

using namespace ovolo;
using namespace ovolo::io;

// What the fuzzers of tests/fuzz found worth keeping: each file is read to the end or refused, and what is
// read is a contour whose pieces join.
TEST_CASE("the fuzzers' corpus is read or refused", "[fuzz]") {
  for (const bool svg : {true, false}) {
    int read = 0, refused = 0;
    for (const auto& file : std::filesystem::directory_iterator(
             std::string(OVOLO_SOURCE_DIR) + "/tests/fuzz/corpus/" + (svg ? "svg" : "dxf"))) {
      CAPTURE(file.path().string());
      DrawingChoice choice;
      choice.open = true;
      choice.near = Vec2{10, 10};
      if (!svg) choice.units = "mm";
      const std::string text = read_file(file.path());
      try {
        const DrawnContour drawn = choose_contour(
            svg ? read_svg(text, "fuzz", choice) : read_dxf(text, "fuzz", choice), "fuzz", choice);
        const std::vector<Segment>& pieces = drawn.contour.segments();
        for (std::size_t i = 1; i < pieces.size(); ++i)
          REQUIRE(distance(pieces[i - 1].b, pieces[i].a) < 1e-6);
        CHECK(std::isfinite(drawn.contour.length()));
        ++read;
        half_profile(drawn, choice, {});
      } catch (const DrawingError& error) {
        CHECK(std::string(error.what()).size() > 10);
        ++refused;
      }
    }
    CHECK(read > 20);
    CHECK(refused > 50);
  }
}
