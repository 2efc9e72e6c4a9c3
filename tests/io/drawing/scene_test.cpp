#include <catch2/catch.hpp>
#include <numbers>

#include "io/error.hpp"
#include "io/scene/scene.hpp"

using namespace ovolo;

namespace {

const std::string kFolder = std::string(OVOLO_SOURCE_DIR) + "/tests/io/drawing/drawn";

std::string scene(const std::string& contour,
                  const std::string& bit = "form = \"point_roundover\"\nradius = 5") {
  return "[stock]\nsize = [400, 250]\nlayers = [{ name = \"board\", thickness = 18 }]\n[bits.b]\n" + bit +
         "\n[contours.outline]\n" + contour +
         "\n[[operations]]\nname = \"rim\"\nkind = \"edge\"\nbit = \"b\"\ncontour = \"outline\"\nkeep = "
         "\"inside\"\ndepth = 3\n";
}

Job parse(const std::string& text) { return io::parse_scene(text, "test.toml", kFolder); }

std::string complaint(const std::string& text) {
  try {
    parse(text);
  } catch (const io::SceneError& error) {
    return error.what();
  }
  return "";
}

}  // namespace

TEST_CASE("a scene takes a contour out of a drawing", "[scene]") {
  const Job svg = parse(scene("svg = \"inkscape_paths.svg\"\nid = \"hole\""));
  CHECK(svg.contours[0].contour.signed_area() == Approx(400 * std::numbers::pi));
  REQUIRE_FALSE(svg.contours[0].notes.empty());
  CHECK(svg.contours[0].notes[0].find("overall size 40 x 40 mm") == 0);
  const Job dxf = parse(scene("dxf = \"entities.dxf\"\nlayer = \"RIM\""));
  CHECK(dxf.contours[0].contour.segments().size() == 8);
  const Job inch =
      parse(scene("dxf = \"gaps_r12.dxf\"\nlayer = \"NEAR\"\nunits = \"mm\"\njoin = \"1 thou\""));
  CHECK(inch.contours[0].contour.box().hi.x == Approx(100).margin(0.01));
}

TEST_CASE("a scene's drawing that cannot be used is told at both places", "[scene]") {
  CHECK_THAT(complaint(scene("svg = \"inkscape_paths.svg\"\nid = \"rim\"")),
             Catch::StartsWith("test.toml:8:7: `svg` of contour `outline`: " + kFolder +
                               "/inkscape_paths.svg: no element has the id 'rim'"));
  CHECK_THAT(
      complaint(scene("dxf = \"gaps_r12.dxf\"\nlayer = \"GAP\"\nunits = \"mm\"")),
      Catch::Contains("gaps_r12.dxf:") && Catch::Contains("a gap of 0.35 mm from (100, 0) to (100.35, 0)"));
  CHECK_THAT(complaint(scene("dxf = \"gaps_r12.dxf\"\nlayer = \"NEAR\"")),
             Catch::Contains("say units = \"mm\" or \"in\""));
  CHECK_THAT(complaint(scene("svg = \"gone.svg\"")), Catch::Contains("gone.svg: cannot be read"));
  CHECK_THAT(complaint(scene("svg = \"a.svg\"\ndxf = \"a.dxf\"")), Catch::Contains("names two drawings"));
  CHECK_THAT(complaint(scene("svg = \"a.svg\"\nunits = \"mm\"")), Catch::Contains("is for DXF alone"));
  CHECK_THAT(complaint(scene("dxf = \"a.dxf\"\nid = \"x\"")), Catch::Contains("is for SVG alone"));
  CHECK_THAT(complaint(scene("svg = \"a.svg\"\nlayr = \"x\"")), Catch::Contains("did you mean `layer`"));
  CHECK_THAT(complaint(scene("svg = \"a.svg\"\nclosed = false")), Catch::Contains("open = true"));
}

TEST_CASE("a scene takes a bit out of a drawing", "[scene]") {
  const std::string rim = "rectangle = { center = [200, 125], size = [300, 180] }";
  const Job job = parse(scene(rim, "form = \"drawn\"\ndrawn = { dxf = \"round5.dxf\", layer = \"WHOLE\" }"));
  CHECK(job.bits[0].working_depth == Approx(3.62).margin(1e-6));
  CHECK(job.bits[0].profile.tip_flat_radius() == Approx(0.1942).margin(1e-6));
  bool axis = false;
  for (const std::string& note : job.bits[0].notes)
    axis = axis || note.find("axis at x = 50") != std::string::npos;
  CHECK(axis);
  CHECK_THAT(complaint(scene(
                 rim, "form = \"drawn\"\ndrawn = { dxf = \"round5.dxf\", layer = \"WHOLE\", axis = 51 }")),
             Catch::Contains("its halves differ by") &&
                 Catch::StartsWith("test.toml:6:17: `dxf` of `drawn` of bit `b`"));
  CHECK_THAT(complaint(scene(rim, "form = \"drawn\"\ndrawn = { layer = \"WHOLE\" }")),
             Catch::Contains("names no drawing"));
}
