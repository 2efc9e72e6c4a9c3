// `ovolo bits` and scenes made of drawings, as a user meets them.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>

#include "io/drawing/half_profile.hpp"
#include "tests/support/command.hpp"

using namespace ovolo;
using namespace ovolo::tests;
namespace fs = std::filesystem;

namespace {

const fs::path kScenes = fs::path(OVOLO_SOURCE_DIR) / "scenes";

}  // namespace

TEST_CASE("ovolo bits prints the shop's bits and draws them", "[cli][bits]") {
  const TemporaryFolder folder;
  const Ran ran = run_ovolo(
      "bits '" + (kScenes / "bits/shop.toml").string() + "' --out drawn --profiles halves", folder.path());
  INFO(ran.err);
  REQUIRE(ran.code == 0);
  CHECK_THAT(ran.out,
             Catch::Contains("round5") && Catch::Contains("3.62 +- 0.03") && Catch::Contains("best depth"));
  CHECK_THAT(ran.out, Catch::Contains("vee90: whole silhouette"));
  CHECK(read_text(folder.path() / "drawn/bits.png").substr(1, 3) == "PNG");
  CHECK(read_text(folder.path() / "drawn/bits.svg").find("<svg") != std::string::npos);
  // What was written is the bit again: the half profile of the roundover to 0.1 um, from either format.
  for (const char* name : {"halves/round5.dxf", "halves/round5.svg"}) {
    const io::DrawnProfile back = io::read_half_profile((folder.path() / name).string(), {}, {});
    CHECK(back.profile.form_height() == Approx(3.62).margin(1e-4));
    CHECK(back.profile.tip_flat_radius() == Approx(0.2).margin(1e-4));
  }
  CHECK_THAT(run_ovolo("bits '" + (kScenes / "bits/shop.toml").string() + "' --inch", folder.path()).out,
             Catch::Contains("0.1425 +- 0.0012"));
}

TEST_CASE("ovolo bits tells a file in inches in inches", "[cli][bits][inch]") {
  const TemporaryFolder folder;
  write_text(folder.path() / "shop.toml",
             "units = \"inch\"\n[bits.round]\nform = \"point_roundover\"\nradius = 0.2\n"
             "readings = [ { what = \"working_depth\", value = 0.15, error = 0.001 } ]\n");
  const Ran ran = run_ovolo("bits shop.toml --out drawn", folder.path());
  INFO(ran.err);
  REQUIRE(ran.code == 0);
  CHECK_THAT(ran.out, Catch::Contains("works this deep (W), in") && Catch::Contains("0.15 +- 0.001"));
  CHECK_THAT(read_text(folder.path() / "drawn/bits.svg"),
             Catch::Contains("works 0.15 \u00b1 0.001 in (3.81 mm) deep"));
}

TEST_CASE("ovolo bits refuses what it cannot read with the contract's codes", "[cli][bits]") {
  const TemporaryFolder folder;
  CHECK(run_ovolo("bits", folder.path()).code == 2);
  CHECK(run_ovolo("bits gone.toml", folder.path()).code == 1);
  write_text(folder.path() / "bad.toml", "[bits.a]\nform = \"point_roundover\"\nradius = -5\n");
  const Ran bad = run_ovolo("bits bad.toml --out drawn", folder.path());
  CHECK(bad.code == 1);
  CHECK_THAT(bad.err, Catch::StartsWith("bad.toml:3:10: "));
  CHECK_FALSE(fs::exists(folder.path() / "drawn"));
  CHECK(run_ovolo("bits '" + (kScenes / "bits/shop.toml").string() + "' --out /dev/null/x", folder.path())
            .code == 3);
}

TEST_CASE("ovolo cut runs the sign whose outline, holes and bits come from drawings", "[cli]") {
  const TemporaryFolder folder;
  const Ran ran = run_ovolo(
      "cut '" + (kScenes / "trailhead-from-drawing.toml").string() + "' --out out --no-pictures --cell 1",
      folder.path());
  INFO(ran.err);
  REQUIRE(ran.code == 0);
  const auto report = nlohmann::json::parse(read_text(folder.path() / "out/report.json"));
  const auto& edge = report.at("edges").at(0);
  CHECK(edge.at("contour_notes").at(0).get<std::string>().find("overall size 300 x 170 mm") == 0);
  // Depth 3.56, offset 0.25, R 5, W 3.62, tip flat 0.4 across: the closed forms of a straight edge.
  const double R = 5, h0 = R - 3.62, c = 0.2 + std::sqrt(R * R - h0 * h0),
               h = std::sqrt(R * R - (c - 0.25) * (c - 0.25));
  const double degree = std::acos(-1.0) / 180;
  CHECK(edge.at("lip_height_mm").at("max").get<double>() == 0);
  CHECK(edge.at("band_width_mm").at("max").get<double>() == Approx(0).margin(1e-4));
  CHECK(edge.at("face_break_deg").at("mean").get<double>() ==
        Approx(std::acos((3.56 + h0) / R) / degree).margin(0.01));
  CHECK(edge.at("wall_break_deg").at("mean").get<double>() == Approx(std::asin(h / R) / degree).margin(0.05));
  CHECK(edge.at("foot_depth_mm").at("mean").get<double>() == Approx(3.56 - (h - h0)).margin(0.001));
  CHECK(report.at("verdict").at("good").get<bool>());
}

TEST_CASE("ovolo offset writes the line of the bit's axis, arcs as arcs", "[cli]") {
  const TemporaryFolder folder;
  const Ran ran =
      run_ovolo("offset '" + (kScenes / "trailhead-sign.toml").string() + "' --out lines", folder.path());
  INFO(ran.err);
  REQUIRE(ran.code == 0);
  // A rectangle of 300 x 180 with corners of 15, its axis 0.4 outside: 300.8 x 180.8 with corners of 15.4.
  const double pi = std::acos(-1.0);
  io::DrawingChoice axis;
  axis.layer = "axis";
  const io::DrawnContour line = io::read_contour((folder.path() / "lines/edge-1.dxf").string(), axis);
  CHECK(line.contour.length() == Approx(2 * (270 + 150) + 2 * pi * 15.4).epsilon(1e-9));
  CHECK(line.contour.segments().size() == 8);
  io::DrawingChoice id;
  id.id = "axis";
  CHECK(io::read_contour((folder.path() / "lines/edge-1.svg").string(), id).contour.signed_area() ==
        Approx(300.8 * 180.8 - (4 - pi) * 15.4 * 15.4).epsilon(1e-9));
  CHECK(run_ovolo("offset gone.toml --out lines2", folder.path()).code == 1);
  CHECK_FALSE(fs::exists(folder.path() / "lines2"));
}
