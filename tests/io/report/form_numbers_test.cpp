// The numbers of undercut forms, got back from their profiles, are those of the scene.
#include <catch2/catch.hpp>
#include <map>

#include "io/report/form_numbers.hpp"
#include "io/scene/scene.hpp"

using namespace ovolo;
using namespace ovolo::io;

TEST_CASE("every number of an undercut form is the one its scene gives", "[scene]") {
  const Job job = parse_scene(R"(title = "bits"
[stock]
size = [100, 100]
layers = [ { name = "oak", thickness = 18 } ]
[bits.nose]
form = "bullnose"
radius = 9
neck_diameter = 8
land = 0.6
[bits.low]
form = "bottom_round"
radius = 5
neck_diameter = 7
[bits.tail]
form = "dovetail"
angle = 14
cutting_diameter = 12.7
height = 9
[bits.tee]
form = "t_slot"
cutting_diameter = 22
head_height = 7
neck_diameter = 9.5
cutting_length = 20
[bits.pull]
form = "finger_pull"
radius = 4
cutting_diameter = 25
neck_diameter = 8
lip_radius = 1.5
[bits.mill]
form = "straight"
diameter = 6
[contours.c]
circle = { center = [50, 50], radius = 30 }
[[operations]]
name = "cut"
kind = "cut_out"
bit = "mill"
contour = "c"
keep = "inside"
depth = 18
feed = 1000
spindle = 18000
)",
                              "bits.toml", ".");
  const std::map<std::string, std::map<std::string, double>> given{
      {"nose", {{"radius", 9}, {"neck_diameter", 8}, {"land", 0.6}}},
      {"low", {{"radius", 5}, {"neck_diameter", 7}, {"land", 0}}},
      {"tail", {{"angle", 14}, {"cutting_diameter", 12.7}, {"height", 9}}},
      {"tee", {{"cutting_diameter", 22}, {"head_height", 7}, {"neck_diameter", 9.5}}},
      {"pull", {{"radius", 4}, {"cutting_diameter", 25}, {"neck_diameter", 8}, {"lip_radius", 1.5}}},
      {"mill", {}}};
  for (const Bit& bit : job.bits) {
    INFO(bit.id);
    std::map<std::string, double> found;
    for (const FormNumber& n : form_numbers(bit)) {
      found[n.key] = n.value;
      CHECK(n.lo <= n.value);
      CHECK(n.hi > n.value);
      CHECK(n.angle == (n.key == "angle"));
    }
    const auto& expected = given.at(bit.id);
    CHECK(found.size() == expected.size());
    for (const auto& [key, value] : expected) CHECK(found.at(key) == Approx(value).margin(1e-9));
  }
}
