#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <string>

#include "io/scene/scene.hpp"
#include "sim/shop/cut_area.hpp"

using namespace ovolo;
using io::parse_scene;

namespace {

std::string scene_with(const std::string& operation, const std::string& tables) {
  return R"([stock]
size = [400, 250]
layers = [{ name = "board", thickness = 18 }]
[bits.round5]
form = "point_roundover"
radius = 5
working_depth = 3.62
[contours.outline]
rectangle = { center = [50, 50], size = [60, 60] }
at = [[0, 0], [100, 0], [200, 0]]
[[operations]]
name = "rim"
kind = "edge"
bit = "round5"
contour = "outline"
keep = "inside"
depth = 3.6
offset = 0.4
)" + operation +
         "\n" + tables;
}

Job parse(const std::string& operation, const std::string& tables = "") {
  return parse_scene(scene_with(operation, tables), "test.toml", std::filesystem::temp_directory_path());
}

std::string complaint(const std::string& operation, const std::string& tables = "") {
  try {
    parse(operation, tables);
  } catch (const io::SceneError& error) {
    return error.what();
  }
  return "";
}

void contains(const std::string& text, const std::string& part) {
  INFO(text);
  CHECK(text.find(part) != std::string::npos);
}

}  // namespace

TEST_CASE("passes of equal section are worked out from the scene", "[scene][shop]") {
  for (const char* passes : {"passes = \"balanced\"", "passes = { balanced = 2 }"}) {
    const Job job = parse(passes);
    const Operation& op = job.operations[0];
    REQUIRE(op.passes.size() == 2);
    CHECK(op.passes[1] == 3.6);
    const Profile& bit = job.bits[0].profile;
    CHECK(pass_area(bit, {0.4, false}, op.passes[0]) == Approx(pass_area(bit, {0.4, false}, 3.6) / 2));
    REQUIRE(op.split);
    CHECK(op.split->balanced);
  }
  const Job waste = parse("passes = { balanced = 2, waste = true, finish = \"0.2 mm\" }");
  const Operation& op = waste.operations[0];
  REQUIRE(op.passes.size() == 3);
  CHECK(op.passes[1] == Approx(3.4));
  const Profile& bit = waste.bits[0].profile;
  CHECK(pass_area(bit, {0.4, true}, op.passes[0]) == Approx(pass_area(bit, {0.4, true}, 3.4) / 2));
}

TEST_CASE("a light last pass goes with a count as well", "[scene][shop]") {
  CHECK(parse("passes = { count = 2, finish = 0.2 }").operations[0].passes.size() == 3);
  CHECK(parse("passes = 2\nfinish = 0.2").operations[0].passes[1] == Approx(3.4));
  CHECK(parse("passes = \"balanced\"\nfinish = 0.2").operations[0].passes.size() == 3);
  CHECK(parse("finish = 0.2").operations[0].passes.size() == 2);
  CHECK_FALSE(parse("passes = [1, 3.6]").operations[0].split);
}

TEST_CASE("passes that cannot be are faults with their place", "[scene][shop]") {
  contains(complaint("passes = \"even\""), "test.toml:19:10: `passes` of operation \"rim\" is \"even\"");
  contains(complaint("passes = { finish = 0.2 }"), "needs `balanced` or `count`");
  contains(complaint("passes = { count = 2, balanced = 2 }"), "needs `balanced` or `count`");
  contains(complaint("passes = { balanced = 2, finish = 3.6 }"), "does not fit a depth");
  contains(complaint("passes = { balanced = 2, finnish = 0.2 }"), "did you mean `finish`");
  contains(complaint("passes = { count = 2, waste = true }"), "`waste`");
  contains(complaint("passes = [1, 3.6]\nfinish = 0.2"), "remove `finish`");
  contains(complaint("passes = 1.5"), "is a number; write a count");
}

TEST_CASE("the shop's tables", "[scene][shop]") {
  const ShopInputs shop = parse("", R"(
[machine]
acceleration = 500
rapid = "8 m/min"
junction = 0.05
clearance = "1/4 in"
bit_change = 45
runout = "1 thou"
[material]
name = "particleboard"
chip_load = [0.03, 0.1]
[sanding]
handling = 15
per_mm3 = [0.03, 0.04, 0.06]
per_sheet = 12000
grits = [100, 150]
feel = 0.008
[shop]
machine_per_hour = 75
hand_per_hour = 35
abrasive_per_sheet = 0.8
set_up_minutes = 12
batch = 120
currency = "EUR"
)")
                              .shop;
  CHECK(shop.machine.acceleration == 500);
  CHECK(shop.machine.rapid == 8000);
  CHECK(shop.machine.clearance == Approx(6.35));
  CHECK(shop.machine.runout == Approx(0.0254));
  CHECK(shop.material.energy_source == "Palubicki 2021");
  CHECK(shop.material.chip_load->high == 0.1);
  CHECK(shop.sand_rates.handling.low == 15);
  CHECK(shop.sand_rates.per_mm3.high == 0.06);
  CHECK(shop.sand_rates.per_metre.value == SandRates{}.per_metre.value);
  CHECK(shop.sand_limits.grits == std::vector<int>{100, 150});
  CHECK(shop.rates.batch == 120);
  CHECK(shop.rates.parts_per_sheet == 3);  // the outline's copies
  CHECK(shop.rates.currency == "EUR");
  CHECK(parse("").shop.rates.parts_per_sheet == 3);
}

TEST_CASE("wrong shop tables are faults with their place", "[scene][shop]") {
  contains(complaint("", "[machine]\nacceleration = 0"), "`acceleration` of the machine");
  contains(complaint("", "[machine]\nspeed = 1"), "unknown key `speed` in the machine");
  contains(complaint("", "[material]\nname = \"cheese\""), "material 'cheese' is not in the table");
  CHECK(complaint("", "[material]\nname = \"cheese\"\nspecific_energy = 3").empty());
  contains(complaint("", "[material]\nspecific_energy = [3, 2, 1]"), "does not rise");
  contains(complaint("", "[material]\nspecific_energy = [1, 2]"), "lists 2 numbers");
  contains(complaint("", "[material]\nspecific_energy = 0"), "must be more than 0");
  contains(complaint("", "[material]\nchip_load = [0.2, 0.1]"), "does not rise");
  contains(complaint("", "[sanding]\ngrits = [180, 120]"), "from coarse to fine");
  contains(complaint("", "[sanding]\ngrits = [90]"), "grit P90 is not known");
  contains(complaint("", "[sanding]\ngrits = []"), "is empty");
  contains(complaint("", "[sanding]\ntouch_depth = 0.2"), "touch_depth <= one_grit_depth");
  contains(complaint("", "[sanding]\nrates = \"missing-rates.toml\""), "cannot be used");
  contains(complaint("", "[sanding]\nhandling = -1"), "`handling` of the sanding");
  contains(complaint("", "[shop]\nbatch = 0"), "`batch` of the shop");
  contains(complaint("", "[shop]\nmachine_per_hour = \"60\""), "`machine_per_hour` of the shop");
}

TEST_CASE("rates kept in a file of their own", "[scene][shop]") {
  const auto path = std::filesystem::temp_directory_path() / "ovolo-rates-test.toml";
  std::ofstream(path)
      << "[rates]\nhandling = [12, 14, 16]\nper_mm3 = [0.05, 0.06, 0.07]\nsource = \"five signs\"\n";
  const ShopInputs shop = parse("", "[sanding]\nrates = \"ovolo-rates-test.toml\"\nper_metre = 8").shop;
  CHECK(shop.sand_rates.handling.value == 14);
  CHECK(shop.sand_rates.per_metre.value == 8);
  CHECK(shop.sand_rates.per_mm3.high == 0.07);
  std::ofstream(path) << "[rates]\nhandlin = 12\n";
  contains(complaint("", "[sanding]\nrates = \"ovolo-rates-test.toml\""), "ovolo-rates-test.toml:2:1");
  std::filesystem::remove(path);
}
