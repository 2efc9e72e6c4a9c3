#include "io/scene/strategies.hpp"

#include <catch2/catch.hpp>
#include <string>

#include "io/error.hpp"

using namespace ovolo;

namespace {

std::string scene_with(const std::string& strategies) {
  return R"(title = "sign"
[stock]
size = [400, 250]
layers = [{ name = "board", thickness = 18 }]
[bits.round5]
form = "point_roundover"
radius = 5
[contours.outline]
rectangle = { center = [200, 125], size = [300, 180] }
[[operations]]
name = "rim"
kind = "edge"
bit = "round5"
contour = "outline"
keep = "inside"
depth = 4
passes = { count = 2 }
feed = 2540
[[operations]]
name = "other"
kind = "edge"
bit = "round5"
contour = "outline"
keep = "inside"
depth = 3
)" + strategies;
}

std::vector<io::Strategy> parse(const std::string& strategies) {
  return io::parse_strategies(scene_with(strategies), "sign.toml", ".");
}

std::string complaint(const std::string& strategies) {
  try {
    parse(strategies);
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

TEST_CASE("a scene without strategies is one under its title", "[scene][shop]") {
  const auto all = parse("");
  REQUIRE(all.size() == 1);
  CHECK(all[0].name == "sign");
  CHECK(all[0].job.operations[0].feed == 2540);
}

TEST_CASE("strategies change keys of the scene and leave the rest", "[scene][shop]") {
  const auto all = parse(R"([[strategies]]
name = "fast"
[[strategies]]
name = "slow"
operations = [ { name = "rim", passes = { balanced = 3 }, feed = "50 in/min", depth = 4.5 } ]
bits.round5.working_depth = 4.6
machine = { acceleration = 300 }
[strategies.shop]
batch = 7
)");
  REQUIRE(all.size() == 2);
  CHECK(all[0].job.operations[0].passes.size() == 2);
  CHECK(all[0].job.shop.machine.acceleration == 1000);
  CHECK(all[1].name == "slow");
  CHECK(all[1].job.operations[0].passes.size() == 3);
  CHECK(all[1].job.operations[0].split->balanced);
  CHECK(all[1].job.operations[0].depth == 4.5);
  CHECK(all[1].job.operations[0].feed == Approx(1270));
  CHECK(all[1].job.operations[1].depth == 3);
  CHECK(all[1].job.bits[0].working_depth == Approx(4.6));
  CHECK(all[1].job.bits[0].nominal_radius == 5);
  CHECK(all[1].job.shop.machine.acceleration == 300);
  CHECK(all[1].job.shop.rates.batch == 7);
  CHECK(all[1].job.stock.layers.size() == 1);
}

TEST_CASE("wrong strategies are faults with their place", "[scene][shop]") {
  contains(complaint("[[strategies]]\nfeed = 3"), "`name` is missing in the strategy");
  contains(complaint("[[strategies]]\nname = \"a\"\nfeed = 3"),
           "sign.toml:28:1: unknown key `feed` in the strategy");
  contains(complaint("[[strategies]]\nname = \"a\"\n[[strategies]]\nname = \"a\""),
           "two strategies are named \"a\"");
  contains(complaint("[[strategies]]\nname = \"a\"\noperations = [ { name = \"rimm\" } ]"),
           "did you mean `rim`");
  contains(complaint("[[strategies]]\nname = \"a\"\noperations = [ { feed = 3 } ]"), "needs the `name`");
  contains(complaint("[[strategies]]\nname = \"a\"\noperations = [ { name = \"rim\", depth = -3 } ]"),
           "sign.toml:28:");
  contains(complaint("[[strategies]]\nname = \"a\"\nmachine = 3"), "`machine` of the scene is a whole number");
}
