// What every command says of a scene in inches: inches first, mm beside them.
#include <catch2/catch.hpp>
#include <filesystem>
#include <regex>
#include <sstream>
#include <string>

#include "io/report/unit_doubts.hpp"
#include "io/scene/scene.hpp"
#include "tests/support/command.hpp"

using namespace ovolo::tests;

namespace {

const char* kScene = R"(title = "Inch sign"
units = "inch"
[stock]
size = [16, 10]
layers = [ { name = "cap", thickness = 0.122 }, { name = "core", thickness = 0.378 } ]
[bits.round]
form = "point_roundover"
radius = 0.197
flutes = 2
readings = [
  { what = "working_depth", value = 0.150, error = 0.001, date = 2026-01-10, run = 0 },
  { what = "working_depth", value = 0.147, error = 0.001, date = 2026-03-10, run = 120 },
  { what = "working_depth", value = 0.1425, error = 0.001, date = 2026-05-02, run = 260 } ]
[contours.outline]
rectangle = { center = [7, 5], size = [12, 7], corner_radius = 0.5 }
[[operations]]
name = "round the rim"
kind = "edge"
bit = "round"
contour = "outline"
keep = "inside"
depth = 0.139
offset = 0.0165
feed = 60
spindle = 18000
[wishes]
hidden = ["core"]
[[strategies]]
name = "slow"
operations = [ { name = "round the rim", feed = "30 in/min" } ]
[[strategies]]
name = "fast"
)";

// Lines that have a length in mm and none in inches before it.
std::string without_inches(const std::string& text) {
  static const std::regex mm("[0-9] mm\\b"), inch("[0-9] in\\b");
  std::istringstream lines(text);
  std::string line, before, out;
  while (std::getline(lines, line)) {
    // A sentence may be broken between the inches and their mm.
    const std::string both = before + ' ' + line;
    std::smatch first;
    if (std::regex_search(line, first, mm)) {
      const std::string head = before + ' ' + line.substr(0, static_cast<std::size_t>(first.position()));
      if (!std::regex_search(head, inch)) out += line + '\n';
    }
    before = line;
  }
  return out;
}

struct Inch {
  TemporaryFolder folder;
  Inch() { write_text(folder.path() / "sign.toml", kScene); }
  std::string says(const std::string& command, const std::string& more = "") const {
    const Ran ran = run_ovolo(command + " sign.toml " + more, folder.path());
    INFO(ran.err);
    REQUIRE(ran.code == 0);
    CHECK(without_inches(ran.out) == "");
    return ran.out;
  }
};

}  // namespace

TEST_CASE("cut tells a scene in inches in inches", "[cli][inch]") {
  const std::string out = Inch().says("cut", "--out out --no-pictures");
  CHECK(holds(out, "sheet 16.00 x 10.00 x 0.500 in (406.4 x 254.0 x 12.70 mm)"));
  CHECK(holds(out, "cap 0.122 in"));
  CHECK(holds(out, "contour 37.14 in (943.4 mm) long"));
  CHECK(holds(out, "foot depth          0.1146 in     2.910 mm"));
  CHECK(holds(out, "in3/min"));
  CHECK(holds(out, "ft/min"));
}

TEST_CASE("dial, batch, wear, offset, compare and fit tell a scene in inches in inches", "[cli][inch]") {
  const Inch scene;
  CHECK(holds(scene.says("dial"), "set depth to 0.139"));
  CHECK(holds(scene.says("batch", "-n 5"), "lip, in"));
  CHECK(holds(scene.says("wear"), "works less than 0.13"));
  CHECK(holds(scene.says("offset", "--out out"), "offset 0.0165 in (0.419 mm) of the axis off the contour"));
  CHECK(holds(scene.says("compare"), "chip load per tooth       0.00"));
  const std::string fit =
      scene.says("fit", "--measured 'depth = 0.19, offset = 0, lip = 0.0475 +- 0.001, band = 0.0076'");
  CHECK(holds(fit, "radius 0.1970 in (5.004 mm)"));
  CHECK(holds(fit, "reading, in"));
}

TEST_CASE("what is wrong with a scene in inches is told in inches", "[cli][inch]") {
  const TemporaryFolder folder;
  std::string text = kScene;
  const std::string bit = "flutes = 2";
  text.replace(text.find(bit), bit.size(), "cutting_diameter = 0.1");
  write_text(folder.path() / "sign.toml", text);
  const Ran ran = run_ovolo("dial sign.toml", folder.path());
  CHECK(ran.code == 1);
  CHECK(holds(ran.err, "a cutting diameter of 0.1000 in (2.540 mm)"));
  CHECK(without_inches(ran.err) == "");
}

TEST_CASE("a number that is a usual size in the other unit is asked about", "[cli][inch]") {
  const TemporaryFolder folder;
  const auto with = [&](const std::string& part, const std::string& instead) {
    std::string text = kScene;
    text.replace(text.find(part), part.size(), instead);
    write_text(folder.path() / "sign.toml", text);
    return run_ovolo("cut sign.toml --out out --no-pictures", folder.path());
  };
  const Ran large = with("radius = 0.197", "radius = 6.35");
  // Sentences are broken into lines; the question stands in the verdict, before all figures.
  const std::string told = std::regex_replace(large.out, std::regex("\\s+"), " ");
  const std::string question =
      "is the unit of bit 'round' meant? taken in inches it is 12.7000 in (322.58 mm) across; if 6.35 is its "
      "radius in mm, write \"6.35 mm\"";
  CHECK(holds(told, question));
  CHECK(told.find(question) < told.find("sheet 16.00"));
  const Ran right = with("radius = 0.197", "radius = \"5 mm\"");
  CHECK(right.code == 0);
  CHECK_FALSE(holds(right.out, "is the unit"));
  const Ran deep = with("depth = 0.139", "depth = 3.5");
  CHECK(deep.code == 1);
  CHECK(holds(deep.err, "write its unit where mm are meant"));

  const char* mm = R"([stock]
size = [400, 250]
layers = [{ name = "board", thickness = 12.7 }]
[bits.round]
form = "point_roundover"
radius = 0.25
working_depth = 0.2
[contours.outline]
rectangle = { center = [200, 125], size = [300, 180] }
[[operations]]
name = "rim"
kind = "edge"
bit = "round"
contour = "outline"
keep = "inside"
depth = 0.25
)";
  write_text(folder.path() / "mm.toml", mm);
  const Ran small = run_ovolo("cut mm.toml --out mm --no-pictures", folder.path());
  CHECK(holds(small.out, "if 0.25 is its radius in inches, write \"0.25 in\""));
}

TEST_CASE("no scene that is shipped is asked about its units", "[cli][inch]") {
  for (const auto& entry : std::filesystem::directory_iterator(OVOLO_SOURCE_DIR "/scenes"))
    if (entry.path().extension() == ".toml")
      CHECK(ovolo::io::unit_doubts(ovolo::io::read_scene(entry.path())).empty());
}
