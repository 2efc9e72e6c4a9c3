// The tables [errors], [surface] and [batch] of a scene.
#include <catch2/catch.hpp>
#include <filesystem>
#include <numbers>
#include <string>

#include "io/scene/scene.hpp"

using namespace ovolo;

namespace {

Job parse(const std::string& tables) {
  const std::string scene = R"([stock]
size = [400, 250]
layers = [{ name = "board", thickness = 18 }]
[bits.round5]
form = "point_roundover"
radius = 5
working_depth = 3.62
[contours.outline]
rectangle = { center = [200, 125], size = [300, 180] }
[[operations]]
name = "rim"
kind = "edge"
bit = "round5"
contour = "outline"
keep = "inside"
depth = 3.6
offset = 0.4
)" + tables;
  return io::parse_scene(scene, "test.toml", std::filesystem::temp_directory_path());
}

void complains(const std::string& tables, const std::string& place, const std::string& text) {
  try {
    parse(tables);
    FAIL_CHECK("no complaint about " << tables);
  } catch (const io::SceneError& error) {
    const std::string what = error.what();
    INFO(what);
    CHECK(what.find(place) != std::string::npos);
    CHECK(what.find(text) != std::string::npos);
  }
}

const std::string kNine =
    "[[50, 50, 18.1], [200, 50, 18.05], [350, 50, 18], [50, 125, 18.1], [200, 125, \"18.02 mm\"], [350, 125, "
    "18], "
    "[50, 200, 18.2], [200, 200, 18.1], [350, 200, 18]]";

}  // namespace

TEST_CASE("errors have defaults, and runout is the machine's", "[scene][advise]") {
  const Job plain = parse("");
  CHECK(plain.errors.z == 0.03);
  CHECK(plain.errors.zero_on == ZeroOn::face);
  CHECK_FALSE(plain.errors.readings);
  CHECK(parse("[machine]\nrunout = 0.05\n").errors.runout == 0.05);
  const Job job = parse(
      "[errors]\nzero_on = \"spoilboard\"\nz = 0.05\nxy = \"2 thou\"\nrunout = 0.01\nthickness = "
      "0.2\nreadings = 0.02\n");
  CHECK(job.errors.zero_on == ZeroOn::spoilboard);
  CHECK(job.errors.z == 0.05);
  CHECK(job.errors.xy == Approx(0.0508));
  CHECK(job.errors.runout == 0.01);
  CHECK(job.errors.thickness == 0.2);
  CHECK(job.errors.readings == 0.02);
}

TEST_CASE("a surface is read whole", "[scene][surface]") {
  const Job job =
      parse("[surface]\nzero = [20, 20]\nthickness = " + kNine +
            "\ntilt = [0.2, -0.1]\nbow = { height = 0.5, along = 90 }\n"
            "lifts = [{ at = [200, 35], height = 0.3, radius = 40, operation = \"rim\", pass = 2 }]\n");
  CHECK(job.shape.thickness.size() == 9);
  CHECK(job.shape.thickness[4].value == Approx(18.02));
  CHECK(job.shape.zero == Vec2{20, 20});
  CHECK(job.shape.tilt == Vec2{0.2, -0.1});
  CHECK(job.shape.bow == 0.5);
  CHECK(job.shape.bow_direction == Approx(std::numbers::pi / 2));
  REQUIRE(job.shape.lifts.size() == 1);
  CHECK(job.shape.lifts[0].operation == 0);
  CHECK(job.shape.lifts[0].pass == 1);
  CHECK(parse("").shape.flat());
}

TEST_CASE("a batch's table is read", "[scene][advise]") {
  const Variation v = parse(
                          "[batch]\nz_repeat = 0.02\nxy_repeat = 0.01\nwear = 0.01\nwear_spread = 0.2\n"
                          "run_before = 300\nlayers = 0.05\nparts_per_set_up = 4\n")
                          .variation;
  CHECK(v.z_repeat == 0.02);
  CHECK(v.wear == 0.01);
  CHECK(v.wear_spread == 0.2);
  CHECK(v.run_before == 300);
  CHECK(v.layers == 0.05);
  CHECK(v.parts_per_set_up == 4);
}

TEST_CASE("wrong errors, surfaces and batches are told with their place and the mend", "[scene]") {
  complains("[errors]\nz = -0.1\n", "test.toml:19:5", "`z` of the errors");
  complains("[errors]\nzero_on = \"table\"\n", "test.toml:19:11", "face");
  complains("[errors]\nzz = 1\n", "test.toml:19", "zz");
  complains("[surface]\nthickness = [[1, 2, 18]]\n", "test.toml:18", "8 or more");
  complains("[surface]\nthickness = [[1, 2]]\n", "test.toml:19:14", "three lengths");
  complains("[surface]\nthickness = " + kNine + "\nheight = " + kNine + "\n", "test.toml:20", "keep one");
  complains("[surface]\nlifts = [{ at = [1, 1], height = 0.2 }]\n", "test.toml:19", "radius");
  complains("[surface]\nlifts = [{ at = [1, 1], height = 0.2, radius = 5, operation = \"rum\" }]\n",
            "test.toml:19", "rim");
  complains("[surface]\nlifts = [{ at = [1, 1], height = 0.2, radius = 5, pass = 2 }]\n", "test.toml:19",
            "operation");
  complains("[surface]\nbow = 0.5\n", "test.toml:19:7", "write {");
  complains("[batch]\nwear = -1\n", "test.toml:19", "wear");
  complains("[batch]\nparts_per_set_up = 0\n", "test.toml:19", "parts_per_set_up");
}
