// Solids as other programs read them: admesh for STL, assimp for OBJ, PLY and 3MF, OpenVDB's own for .vdb.
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <numbers>
#include <string>

#include "tests/support/command.hpp"

using namespace ovolo::tests;
using Json = nlohmann::json;
namespace fs = std::filesystem;

namespace {

std::string output_of(const std::string& command, const fs::path& folder) {
  const fs::path out = folder / "tool-output.txt";
  const int status = std::system((command + " > '" + out.string() + "' 2>&1").c_str());
  const std::string text = read_text(out);
  INFO(command << "\n" << text);
  REQUIRE(status == 0);
  return text;
}

// The number after the last `label` in a tool's output.
double number_after(const std::string& text, const std::string& label) {
  const std::size_t at = text.rfind(label);
  INFO(label << " in\n" << text);
  REQUIRE(at != std::string::npos);
  return std::stod(text.substr(text.find_first_of("-0123456789", at + label.size())));
}

// A short shelf with a bullnosed front, 80 by 40 mm left of 18 mm board in two layers.
std::string shelf() {
  return R"(title = "Shelf"
[stock]
size = [80, 70]
spoilboard = 2
layers = [ { name = "upper & lighter", thickness = 6, color = "#e3cfa4" }, { name = "lower", thickness = 12, color = "#c9a974" } ]
[bits.mill12]
form = "straight"
diameter = 12
[bits.nose9]
form = "bullnose"
radius = 9
neck_diameter = 12
land = 1
[contours.front]
polyline = [[0, 30], [80, 30]]
closed = false
[[operations]]
name = "open the way"
kind = "cut_out"
bit = "mill12"
contour = "front"
keep = "left"
depth = 18.5
overrun = 10
feed = "3000 mm/min"
spindle = 16000
[[operations]]
name = "bullnose"
kind = "edge"
bit = "nose9"
contour = "front"
keep = "left"
offset = 6
depth = 19
overrun = 30
feed = "2000 mm/min"
spindle = 14000
)";
}

}  // namespace

TEST_CASE("a bullnosed shelf is written as solids that other programs read", "[cli][solid]") {
  const TemporaryFolder folder;
  write_text(folder.path() / "shelf.toml", shelf());
  const Ran ran = run_ovolo(
      "cut shelf.toml --out out --no-pictures --solid a.stl --solid a.obj --solid a.ply --solid a.3mf "
      "--solid a.vdb",
      folder.path());
  INFO(ran.err);
  REQUIRE(ran.code == 0);
  const fs::path out = folder.path() / "out";
  const Json stock = Json::parse(read_text(out / "report.json")).at("stock");
  // Half a disc of radius 9 and the board behind it (derived).
  const double volume = 80 * (std::numbers::pi * 81 / 2 + 18 * (40 - 9));
  CHECK(stock.at("part_volume_mm3").get<double>() == Approx(volume).epsilon(1e-3));
  // On the other side of the bit's axis, at y = 24, the same round is left.
  const double left_over = 80 * (std::numbers::pi * 81 / 2 + 18 * 9);
  CHECK(stock.at("removed_volume_mm3").get<double>() ==
        Approx(80 * 70 * 18 - volume - left_over).epsilon(1e-3));
  const double triangles = stock.at("solid").at("triangles").get<double>();

  const std::string stl = output_of("admesh '" + (out / "a.stl").string() + "'", folder.path());
  CHECK(number_after(stl, "Volume") == Approx(volume).epsilon(1e-3));
  CHECK(number_after(stl, "Number of facets") == triangles);
  CHECK(number_after(stl, "Total disconnected facets") == 0);
  CHECK(number_after(stl, "Number of parts") == 1);
  for (const char* mended : {"Degenerate facets", "Edges fixed", "Facets removed", "Facets added",
                             "Facets reversed", "Backwards edges"})
    CHECK(number_after(stl, mended) == 0);

  for (const char* name : {"a.obj", "a.ply", "a.3mf"}) {
    const std::string info = output_of("assimp info '" + (out / name).string() + "'", folder.path());
    CHECK(number_after(info, "Faces:") == triangles);
  }
  CHECK(read_text(out / "a.mtl").find("newmtl layer_2") != std::string::npos);
  const std::string grid = output_of("vdb_print -l '" + (out / "a.vdb").string() + "'", folder.path());
  CHECK(grid.find("level set") != std::string::npos);
  CHECK(grid.find("sheet") != std::string::npos);
}

TEST_CASE("a plain job's report holds the part's volume, of all copies and without tabs", "[cli][solid]") {
  const TemporaryFolder folder;
  write_text(folder.path() / "tokens.toml", R"(title = "Tokens"
[stock]
size = [200, 100]
layers = [ { name = "board", thickness = 6, color = "#c9a974" } ]
[bits.mill4]
form = "straight"
diameter = 4
[contours.token]
rectangle = { center = [45, 50], size = [60, 40], corner_radius = 10 }
at = [[0, 0], [80, 0]]
[contours.hole]
circle = { center = [45, 50], radius = 9 }
at = [[0, 0], [80, 0]]
[[operations]]
name = "holes"
kind = "cut_out"
bit = "mill4"
contour = "hole"
keep = "outside"
depth = 6.4
feed = "2000 mm/min"
spindle = 18000
[[operations]]
name = "tokens"
kind = "cut_out"
bit = "mill4"
contour = "token"
keep = "inside"
depth = 6.4
tabs = { count = 3, width = 5, height = 2 }
feed = "2000 mm/min"
spindle = 18000
)");
  const auto volume_with = [&](const std::string& options) {
    const Ran ran = run_ovolo("cut tokens.toml --out out --no-pictures " + options, folder.path());
    INFO(ran.err);
    REQUIRE(ran.code == 0);
    CHECK(ran.out.find("volume of the finished part") != std::string::npos);
    return Json::parse(read_text(folder.path() / "out" / "report.json"))
        .at("stock")
        .at("part_volume_mm3")
        .get<double>();
  };
  const double volume = 2 * 6 * (60 * 40 - (4 - std::numbers::pi) * 100 - std::numbers::pi * 81);
  CHECK(volume_with("") == Approx(volume).epsilon(1e-3));
  CHECK(volume_with("--cell 0.3") == Approx(volume).epsilon(3e-3));
  CHECK(volume_with("--solid a.stl") == Approx(volume).epsilon(1e-3));
  const std::string stl =
      output_of("admesh '" + (folder.path() / "out" / "a.stl").string() + "'", folder.path());
  CHECK(number_after(stl, "Number of parts") == 2);
  CHECK(number_after(stl, "Total disconnected facets") == 0);
}

TEST_CASE("wrong solid options are refused before anything is cut", "[cli][solid]") {
  const TemporaryFolder folder;
  write_text(folder.path() / "shelf.toml", shelf());
  for (const char* options : {"--solid a.step", "--solid ../a.stl", "--solid a.stl --solid a.stl",
                              "--solid a.stl --solid-tolerance 0", "--solid a.stl --solid-of half",
                              "--solid a.stl --solid-region 5,5,1,9"}) {
    INFO(options);
    CHECK(run_ovolo(std::string("cut shelf.toml --out out --no-pictures ") + options, folder.path()).code ==
          2);
    CHECK_FALSE(fs::exists(folder.path() / "out"));
  }
  // A tolerance that no memory holds.
  const Ran ran = run_ovolo("cut shelf.toml --out out --no-pictures --solid a.stl --solid-tolerance 0.00001",
                            folder.path());
  CHECK(ran.code == 3);
  CHECK(ran.err.find("--solid-tolerance") != std::string::npos);
  CHECK_FALSE(fs::exists(folder.path() / "out"));
}
