// `ovolo cut` as a user meets it: exit codes, files, the report's contract.
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>

#include "tests/support/command.hpp"
#include "tests/support/sign_rim.hpp"

using namespace ovolo::tests;
using Json = nlohmann::json;
namespace fs = std::filesystem;

namespace {

const fs::path kScenes = fs::path(OVOLO_SOURCE_DIR) / "scenes";

std::size_t entries(const fs::path& folder) {
  return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder), fs::directory_iterator()));
}

Json cut(const fs::path& scene, const TemporaryFolder& folder, const std::string& options = "--no-pictures") {
  const Ran ran = run_ovolo("cut '" + scene.string() + "' --out out " + options, folder.path());
  INFO(ran.err);
  REQUIRE(ran.code == 0);
  return Json::parse(read_text(folder.path() / "out" / "report.json"));
}

void check_stat(const Json& s) {
  if (s.is_null()) return;
  CHECK(s.at("min").get<double>() <= s.at("mean").get<double>() + 1e-4);
  CHECK(s.at("mean").get<double>() <= s.at("max").get<double>() + 1e-4);
  CHECK(s.at("worst_at").size() == 2);
}

std::string sign(const std::string& operation) {
  return R"(title = "Sign"
units = "mm"
[stock]
size = [400, 250]
layers = [
  { name = "cap",  thickness = 1.3,  color = "#1f4e3d" },
  { name = "core", thickness = 10.1, color = "#f2ead7" },
  { name = "back", thickness = 1.3,  color = "#1f4e3d" } ]
[bits.round5]
form = "point_roundover"
radius = 5
working_depth = 3.62
flutes = 2
)" + ovolo::test::sign_rim() +
         R"(feed = "1500 mm/min"
spindle = 18000
ramp = 20
)" + operation;
}

}  // namespace

TEST_CASE("report.json follows the contract", "[cli]") {
  const TemporaryFolder folder;
  write_text(folder.path() / "sign.toml", sign("offset = 0.4\ndepth = 3.55\npasses = [2.4, 3.55]\n"));
  const Json r = cut(folder.path() / "sign.toml", folder);
  CHECK(r.at("ovolo").at("report") == 1);
  CHECK(r.at("ovolo").at("version").is_string());
  CHECK(r.at("scene").at("title") == "Sign");
  const Json& bit = r.at("bits").at("round5");
  CHECK(bit.at("form") == "point_roundover");
  CHECK(bit.at("radius_mm") == 5);
  CHECK(bit.at("working_depth_mm") == 3.62);
  CHECK(bit.at("tip_flat_mm").get<double>() == Approx(2 * 0.1942).margin(1e-4));
  CHECK(bit.at("cutting_diameter_mm") == 10);
  CHECK(bit.at("undercut") == false);
  const Json& e = r.at("edges").at(0);
  for (const char* key : {"lip_height_mm", "band_width_mm", "face_break_deg", "wall_break_deg",
                          "foot_depth_mm", "curve_length_mm"})
    check_stat(e.at(key));
  // Worked by hand from the closed forms (derived).
  CHECK(e.at("operation") == "round the rim");
  CHECK(e.at("contour") == "outline");
  CHECK(e.at("bit") == "round5");
  CHECK(e.at("face") == "top");
  CHECK(e.at("depth_mm") == 3.55);
  CHECK(e.at("offset_mm") == 0.4);
  CHECK(e.at("length_mm").get<double>() == Approx(934.2478).margin(1e-4));
  CHECK(e.at("stations").get<int>() > 50);
  CHECK(e.at("lip_height_mm").at("max") == 0);
  CHECK(e.at("band_width_mm").at("max") == 0);
  CHECK(e.at("face_break_deg").at("max").get<double>() == Approx(9.60).margin(5e-3));
  CHECK(e.at("wall_break_deg").at("max").get<double>() == Approx(23.07).margin(5e-3));
  CHECK(e.at("foot_depth_mm").at("max").get<double>() == Approx(2.9704).margin(1e-4));
  CHECK(e.at("curve_length_mm").at("mean").get<double>() == Approx(5.0028).margin(1e-4));
  CHECK(e.at("exposure").size() == 3);
  CHECK(e.at("exposure").at(0).at("layer") == "cap");
  check_stat(e.at("exposure").at(1).at("length_mm"));
  CHECK(e.at("exposure").at(1).at("area_mm2").get<double>() > 0);
  for (const char* key : {"excess", "gouge"}) {
    check_stat(e.at(key).at("section_mm2"));
    CHECK(e.at(key).at("max_mm").is_number());
    CHECK(e.at(key).at("volume_mm3").is_number());
  }
  CHECK(e.at("blend").at("section_mm2") == 0);
  CHECK(e.at("blend").at("volume_mm3") == 0);
  CHECK(e.at("verdict").at("good") == true);
  CHECK(r.at("verdict").at("good") == true);
  CHECK(r.at("stock").at("removed_volume_mm3").get<double>() > 0);
  CHECK(r.at("stock").at("layers").size() == 3);
  CHECK(r.at("warnings").is_array());
  CHECK(r.at("cautions").size() >= 5);
  for (const char* key : {"carve_s", "measure_s", "render_s", "cells"})
    CHECK(r.at("timing").at(key).is_number());
  CHECK(fs::exists(folder.path() / "out" / "sections.csv"));
  CHECK(fs::exists(folder.path() / "out" / "loads.csv"));
}

TEST_CASE("numbers do not depend on the cell size or the threads", "[cli]") {
  const TemporaryFolder folder;
  write_text(folder.path() / "sign.toml", sign("offset = 0.1\ndepth = 4\npasses = 2\n"));
  const auto numbers = [&](const std::string& options) {
    Json r = cut(folder.path() / "sign.toml", folder, "--no-pictures " + options);
    return r.at("edges").dump();
  };
  const std::string first = numbers("--cell 0.1 --threads 1");
  CHECK(numbers("--cell '1/100 in' --threads 2") == first);
  CHECK(numbers("--cell 2 --threads 3") == first);
}

TEST_CASE("full depth on the line is told as a lip and what to change", "[cli]") {
  const TemporaryFolder folder;
  write_text(folder.path() / "sign.toml", sign("offset = 0\ndepth = 5\npasses = 1\n"));
  const Json r = cut(folder.path() / "sign.toml", folder);
  const Json& e = r.at("edges").at(0);
  CHECK(e.at("lip_height_mm").at("max").get<double>() == Approx(1.38).margin(1e-4));
  CHECK(e.at("band_width_mm").at("max").get<double>() == Approx(0.1942).margin(1e-4));
  CHECK(r.at("verdict").at("good") == false);
  CHECK(r.at("warnings").at(0).at("text").get<std::string>().find("set depth to 3.62 mm") !=
        std::string::npos);
  // Contract: lip^2/(2 tan 15 deg) + band^2/(2 tan 25 deg).
  CHECK(e.at("blend").at("section_mm2").get<double>() == Approx(3.5537 + 0.0404).margin(2e-4));
}

TEST_CASE("a cut tells the setting to use, as dial finds it", "[cli]") {
  const TemporaryFolder folder;
  const fs::path scene = kScenes / "trailhead-sign-badly.toml";
  const Json report = cut(scene, folder);
  const Json& advice = report.at("edges").at(0).at("advice");
  const Ran dialed = run_ovolo("dial '" + scene.string() + "' --out dial --no-pictures", folder.path());
  REQUIRE(dialed.code == 0);
  const Json found = Json::parse(read_text(folder.path() / "dial" / "dial.json")).at("edges").at(0);
  CHECK(advice.at("depth_mm") == found.at("depth_mm"));
  CHECK(advice.at("offset_mm") == found.at("offset_mm"));
  CHECK(read_text(folder.path() / "out" / "report.txt").find("BEST SETTING: depth") != std::string::npos);
}

TEST_CASE(
    "units that were not told, and readings that cannot be, are warned of; inches come first in inch scenes",
    "[cli]") {
  const TemporaryFolder folder;
  const std::string units = "units = \"mm\"\n";
  std::string text = sign("depth = 5\noffset = 0\npasses = 1\n");
  const auto warned = [&](const std::string& scene, const std::string& code) {
    write_text(folder.path() / "sign.toml", scene);
    const Json report = cut("sign.toml", folder);
    for (const Json& w : report.at("warnings"))
      if (w.at("code") == code) return true;
    return false;
  };
  CHECK_FALSE(warned(text, "units-assumed"));
  std::string untold = text;
  untold.erase(untold.find(units), units.size());
  CHECK(warned(untold, "units-assumed"));
  std::string halved = text;
  halved.insert(halved.find("flutes"), "tip_flat = 0.194\n");
  CHECK(warned(halved, "bit-readings"));
  const std::string inch = R"(units = "inch"
[stock]
size = [8, 6]
layers = [{ name = "maple", thickness = 0.5 }]
[bits.round]
form = "point_roundover"
radius = "5 mm"
working_depth = "3.62 mm"
[contours.outline]
rectangle = { center = [4, 3], size = [4, 3], corner_radius = 0.5 }
[[operations]]
name = "rim"
kind = "edge"
bit = "round"
contour = "outline"
keep = "inside"
depth = "5 mm"
offset = 0
)";
  CHECK_FALSE(warned(inch, "units-assumed"));
  CHECK(read_text(folder.path() / "out" / "report.txt").find("a lip of 0.0543 in (1.38 mm)") !=
        std::string::npos);
}

TEST_CASE("fit writes its result into a bits file, a new one where there is none", "[cli]") {
  const TemporaryFolder folder;
  write_text(folder.path() / "sign.toml", sign("depth = 5\noffset = 0\npasses = 1\n"));
  const std::string fit = "fit sign.toml --measured \"lip = 1.35, band = 0.2\" --bits shop.toml --date ";
  const Ran first = run_ovolo(fit + "2026-05-02", folder.path());
  INFO(first.err);
  REQUIRE(first.code == 0);
  CHECK(first.out.find("wrote shop.toml") != std::string::npos);
  REQUIRE(run_ovolo(fit + "2026-06-02 --run 40", folder.path()).code == 0);
  const std::string bits = read_text(folder.path() / "shop.toml");
  CHECK(bits.find("date = 2026-05-02") != std::string::npos);
  CHECK(bits.find("date = 2026-06-02, run = 40") != std::string::npos);
  CHECK(run_ovolo("bits shop.toml", folder.path()).code == 0);
}

TEST_CASE("readings that contradict each other do not get into a bits file", "[cli]") {
  const TemporaryFolder folder;
  write_text(folder.path() / "sign.toml", sign("depth = 5\noffset = 0\npasses = 1\n"));
  const Ran ran = run_ovolo("fit sign.toml --measured \"lip = 1.38, band = 0.6, foot = 5\" --bits shop.toml",
                            folder.path());
  CHECK(ran.code == 3);
  CHECK(ran.out.find("CONTRADICTION") != std::string::npos);
  CHECK(ran.out.find("no setting is told") != std::string::npos);
  CHECK(ran.out.find("within every wish") == std::string::npos);
  CHECK(ran.err.find("read again, or leave the wrong reading out") != std::string::npos);
  CHECK_FALSE(fs::exists(folder.path() / "shop.toml"));
}

TEST_CASE("a program is told what to aim at, and is no setting to write", "[cli]") {
  const TemporaryFolder folder;
  const std::string scene = (kScenes / "trailhead-sign-program-careless.toml").string();
  const Ran ran = run_ovolo("dial " + scene, folder.path());
  CHECK(ran.code == 0);
  CHECK(ran.out.find("aim the program at depth 3.5") != std::string::npos);
  CHECK(ran.out.find("-0.000") == std::string::npos);
  const Ran written = run_ovolo("dial " + scene + " --write new.toml", folder.path());
  CHECK(written.code == 3);
  CHECK(written.err.find("nothing to write") != std::string::npos);
  CHECK_FALSE(fs::exists(folder.path() / "new.toml"));
}

TEST_CASE("every scene of the project runs", "[cli]") {
  for (const auto& entry : fs::directory_iterator(kScenes)) {
    if (entry.path().extension() != ".toml") continue;
    INFO(entry.path().filename().string());
    const TemporaryFolder folder;
    const Json r = cut(entry.path(), folder);
    CHECK_FALSE(r.at("edges").empty());
    for (const auto& warning : r.at("warnings")) CHECK(warning.at("code") != "units-assumed");
    const bool badly = entry.path().stem().string().find("badly") != std::string::npos;
    if (badly) CHECK(r.at("verdict").at("good") == false);
  }
  const TemporaryFolder folder;
  CHECK(cut(kScenes / "trailhead-sign.toml", folder).at("verdict").at("good") == true);
}

TEST_CASE("a scene written with a setting that misses a wish is said to be no good yet", "[cli]") {
  const TemporaryFolder folder;
  write_text(folder.path() / "good.toml", sign("depth = 3.55\noffset = 0.4\npasses = 1\n"));
  const Ran good = run_ovolo("dial good.toml --write better.toml", folder.path());
  CHECK(good.code == 0);
  CHECK(good.out.find("wrote better.toml") != std::string::npos);
  CHECK(good.out.find("NOT a good edge") == std::string::npos);
  // A bit ground to half its radius leaves a wall break that no setting mends.
  std::string scene = sign("depth = 2.4\noffset = 0\npasses = 1\n");
  const std::size_t at = scene.find("working_depth = ");
  scene.replace(at, scene.find('\n', at) - at, "working_depth = 2.5");
  write_text(folder.path() / "short.toml", scene);
  const Ran none = run_ovolo("dial short.toml --write better2.toml", folder.path());
  CHECK(none.code == 0);
  CHECK(none.out.find("NOT a good edge yet") != std::string::npos);
  // What is cut too deep is told to be cut anew beside what its sanding would cost.
  const Ran cut = run_ovolo(
      "cut " + (kScenes / "trailhead-sign-badly.toml").string() + " --out o --no-pictures --cell 0.5",
      folder.path());
  CHECK(cut.out.find("parts cut so must be cut anew") != std::string::npos);
}

TEST_CASE("a cut with pictures writes every picture it names", "[cli]") {
  const TemporaryFolder folder;
  const Json r = cut(kScenes / "trailhead-sign-badly.toml", folder, "--cell 0.5");
  const Json& pictures = r.at("pictures");
  CHECK(pictures.size() >= 8);
  for (const auto& name : pictures) {
    const fs::path file = folder.path() / "out" / name.get<std::string>();
    INFO(file.string());
    CHECK(fs::file_size(file) > 2000);
  }
}

TEST_CASE("the starter scene is written once, and runs", "[cli]") {
  const TemporaryFolder folder;
  CHECK(run_ovolo("new mine.toml", folder.path()).code == 0);
  CHECK(run_ovolo("new mine.toml", folder.path()).code == 3);
  cut(folder.path() / "mine.toml", folder);
}

TEST_CASE("a wrong scene exits 1 with its place and writes nothing", "[cli]") {
  const TemporaryFolder folder;
  write_text(folder.path() / "sign.toml", sign("offset = 0.4\ndepth = -3.55\npasses = 1\ndeph = 3\n"));
  const Ran ran = run_ovolo("cut sign.toml --out out", folder.path());
  CHECK(ran.code == 1);
  CHECK(ran.err.find("sign.toml:28:") != std::string::npos);
  CHECK(ran.err.find("deph") != std::string::npos);
  CHECK_FALSE(fs::exists(folder.path() / "out"));
  CHECK(run_ovolo("cut missing.toml --out out", folder.path()).code == 1);
  CHECK_FALSE(fs::exists(folder.path() / "out"));
}

TEST_CASE("a wrong command line exits 2", "[cli]") {
  const TemporaryFolder folder;
  CHECK(run_ovolo("", folder.path()).code == 2);
  CHECK(run_ovolo("cut", folder.path()).code == 2);
  const Ran mistyped = run_ovolo("cutt sign.toml", folder.path());
  CHECK(mistyped.code == 2);
  CHECK(mistyped.err.find("unknown command `cutt`; did you mean `cut`?") != std::string::npos);
  CHECK(run_ovolo("fit a.toml --measured lip=1 --date 2026-02-30", folder.path()).code == 2);
  CHECK(run_ovolo("cut a.toml --out out --cell 'half a foot'", folder.path()).code == 2);
  CHECK(run_ovolo("cut a.toml --out out --cell -1", folder.path()).code == 2);
  CHECK(run_ovolo("cut a.toml --out out --threads many", folder.path()).code == 2);
  CHECK(run_ovolo("--help", folder.path()).code == 0);
  CHECK(run_ovolo("--version", folder.path()).code == 0);
}

TEST_CASE("a bits file that is not there is told where the scene names it", "[cli]") {
  const TemporaryFolder folder;
  write_text(folder.path() / "sign.toml", "units = \"mm\"\nbits_file = \"none.toml\"\n");
  const Ran ran = run_ovolo("cut sign.toml --out out --no-pictures", folder.path());
  CHECK(ran.code == 1);
  CHECK(ran.err.find("sign.toml:2:13: `bits_file` of the scene: none.toml: cannot be read") !=
        std::string::npos);
}

TEST_CASE("dial and the sanding speak inches first to an inch scene", "[cli]") {
  const TemporaryFolder folder;
  write_text(folder.path() / "sign.toml", R"(units = "inch"
[stock]
size = [14, 9]
layers = [ { name = "MDF", thickness = 0.75, color = "#b79f7d" } ]
[bits.round]
form = "point_roundover"
radius = "5 mm"
working_depth = "3.62 mm"
flutes = 2
[contours.rim]
rectangle = { center = [7, 4.5], size = [12, 7], corner_radius = 0.75 }
[[operations]]
name = "rim"
kind = "edge"
bit = "round"
contour = "rim"
keep = "inside"
depth = "5 mm"
feed = "60 in/min"
spindle = 18000
)");
  const Ran dialed = run_ovolo("dial sign.toml", folder.path());
  CHECK(dialed.out.find("Z 0.0012 in (0.030 mm), zeroed") != std::string::npos);
  CHECK(dialed.out.find("0.0020 in (0.050 mm) beyond: a lip of") != std::string::npos);
  REQUIRE(run_ovolo("cut sign.toml --out out --no-pictures", folder.path()).code == 0);
  CHECK(read_text(folder.path() / "out" / "report.txt").find("Cut too deep by 0.0543 in (1.38 mm), at x ") !=
        std::string::npos);
}

TEST_CASE("what cannot be written or does not fit exits 3 and leaves nothing", "[cli]") {
  const TemporaryFolder folder;
  // Told by the name it was to have, not by the one it has meanwhile.
  const Ran lost = run_ovolo("new nowhere/new.toml", folder.path());
  CHECK(lost.code == 3);
  CHECK(lost.err.find("nowhere/new.toml: cannot be written") != std::string::npos);
  CHECK(lost.err.find("unfinished") == std::string::npos);
  write_text(folder.path() / "sign.toml", sign("offset = 0.4\ndepth = 3.55\npasses = 1\n"));
  write_text(folder.path() / "taken", "a file where the folder should be");
  const Ran taken = run_ovolo("cut sign.toml --out taken --no-pictures", folder.path());
  CHECK(taken.code == 3);
  CHECK(taken.err.find("a file stands where a folder is needed") != std::string::npos);
  CHECK(run_ovolo("cut sign.toml --out /proc/nowhere --no-pictures", folder.path()).code == 3);
  const Ran huge = run_ovolo("cut sign.toml --out out --no-pictures --cell 0.00001", folder.path());
  CHECK(huge.code == 3);
  CHECK(huge.err.find("sign.toml:") != std::string::npos);
  CHECK(huge.err.find("--cell") != std::string::npos);
  CHECK_FALSE(fs::exists(folder.path() / "out"));
  CHECK(entries(folder.path()) == 2);
}

TEST_CASE("an interrupted run exits 130 and leaves nothing", "[cli]") {
  const TemporaryFolder folder;
  write_text(folder.path() / "sign.toml", sign("offset = 0.4\ndepth = 3.55\npasses = 1\n"));
  const std::string command = "cd '" + folder.path().string() +
                              "' && timeout --preserve-status -s INT 0.4 '" OVOLO_BINARY
                              "' cut sign.toml --out out --cell 0.004 >/dev/null 2>&1";
  const int status = std::system(command.c_str());
  CHECK(WEXITSTATUS(status) == 130);
  CHECK_FALSE(fs::exists(folder.path() / "out"));
}

TEST_CASE("a bullnosed shelf edge is measured at both faces", "[cli][folded]") {
  const TemporaryFolder folder;
  const Json good = cut(kScenes / "shelf-bullnose.toml", folder);
  CHECK(good.at("verdict").at("good") == true);
  CHECK(good.at("bits").at("nose9").at("undercut") == true);
  CHECK(good.at("stock").at("removed_volume_mm3").get<double>() > 0);
  const Json& edge = good.at("edges").at(0);
  CHECK(edge.at("face") == "top");
  CHECK(edge.at("other_face").at("face") == "bottom");
  for (const Json* side : {&edge, &edge.at("other_face")}) {
    CHECK(side->at("lip_height_mm").at("max") == 0);
    CHECK(side->at("band_width_mm").at("max") == 0);
    CHECK(side->at("foot_depth_mm").at("max").get<double>() == Approx(9).margin(1e-3));
  }
  CHECK(edge.at("mismatch_mm").at("max").get<double>() == Approx(0).margin(1e-3));
  CHECK(edge.at("curve_length_mm").at("mean").get<double>() == Approx(9 * 3.14159265).margin(1e-3));
  for (const char* key : {"lip_height_mm", "wall_left_mm", "smallest_thickness_mm", "overcut_mm"})
    check_stat(edge.at(key));

  const TemporaryFolder second;
  const Json low = cut(kScenes / "shelf-bullnose-low.toml", second);
  CHECK(low.at("verdict").at("good") == false);
  const Json& off = low.at("edges").at(0);
  CHECK(off.at("lip_height_mm").at("max").get<double>() == Approx(0.3).margin(1e-4));
  CHECK(off.at("mismatch_mm").at("max").get<double>() == Approx(0.6).margin(1e-4));
  // The lower face cuts the circle 8.7 mm below its centre.
  CHECK(off.at("other_face").at("face_break_deg").at("max").get<double>() ==
        Approx(std::acos(8.7 / 9) * 180 / 3.14159265358979).margin(1e-3));
  CHECK(low.at("edges").at(0).at("verdict").at("text").get<std::string>().find("set depth to 19.000 mm") !=
        std::string::npos);
  const std::string csv = read_text(second.path() / "out" / "sections.csv");
  CHECK(csv.find("other_face_break_deg") != std::string::npos);
}

TEST_CASE("a dovetail slot and a panel rounded from both faces run", "[cli][folded]") {
  const TemporaryFolder folder;
  const Json slot = cut(kScenes / "dovetail-slot.toml", folder);
  CHECK(slot.at("verdict").at("good") == true);
  CHECK(slot.at("edges").at(0).at("smallest_thickness_mm").at("min").get<double>() ==
        Approx(11.5).margin(1e-4));
  CHECK(slot.at("edges").at(0).at("gouge").at("max_mm") == 0);
  // The corner at the face is an arris of 90 - 14 degrees, no break.
  const std::string told = read_text(folder.path() / "out" / "report.txt");
  CHECK(told.find("  arris                76.00 deg (76.00 the form's own)\n") != std::string::npos);
  CHECK(told.find("face break") == std::string::npos);

  const TemporaryFolder second;
  const Json panel = cut(kScenes / "panel-both-faces.toml", second);
  REQUIRE(panel.at("edges").size() == 2);
  CHECK(panel.at("edges").at(0).at("face") == "top");
  CHECK(panel.at("edges").at(1).at("face") == "bottom");
  CHECK(panel.at("turns").size() == 1);
  CHECK(panel.at("turns").at(0).at("after") == "round the top");
  CHECK(panel.at("shop").at("time").at("turning_s") == 90);
  // The turned sheet lies 0.08 mm off: as wide on either side of what it should be.
  const Json& width = panel.at("edges").at(1).at("round_width_mm");
  const double even = panel.at("edges").at(0).at("round_width_mm").at("mean").get<double>();
  CHECK(width.at("max").get<double>() == Approx(even + 0.08).margin(1e-3));
  CHECK(width.at("min").get<double>() == Approx(even - 0.08).margin(1e-3));
}

TEST_CASE("an undercut bit that goes straight up out of its cut is refused with its place", "[cli][folded]") {
  const TemporaryFolder folder;
  std::string text = read_text(kScenes / "shelf-bullnose.toml");
  const std::string overrun = "overrun = 30 ";
  REQUIRE(text.find(overrun) != std::string::npos);
  text.replace(text.find(overrun), overrun.size(), "overrun = 5  ");
  write_text(folder.path() / "scene.toml", text);
  const Ran ran = run_ovolo("cut scene.toml --out out", folder.path());
  CHECK(ran.code == 1);
  CHECK_THAT(ran.err, Catch::Contains("scene.toml:") && Catch::Contains("goes straight down at x 605.00") &&
                          Catch::Contains("let the path run past the sheet"));
  CHECK_FALSE(fs::exists(folder.path() / "out"));
}
