#include <catch2/catch.hpp>
#include <string>

#include "io/scene/strategies.hpp"
#include "sim/shop/estimate.hpp"

using namespace ovolo;

TEST_CASE("two slower passes leave a finish that one fast pass does not", "[shop][outside]") {
  // Source: common practice, no published source: two passes at 45 to 60 inches a minute leave a finish that
  // needs no sanding where one pass at 100 is rough. The bit works 0.177 in deep and runs 0.175 in deep, 0.02
  // in off the line; felt on smooth plastic is taken as 3 um, between the 0.85 um of ideal smooth surfaces
  // and the 10 um of sanded hardwood.
  const auto run = [](const std::string& keys) {
    const Job job = io::parse_strategies(R"(units = "inch"
[stock]
size = [16, 10]
layers = [ { name = "cap", thickness = 0.15 }, { name = "core", thickness = 0.35 } ]
[bits.round14]
form = "point_roundover"
radius = 0.25
working_depth = 0.177
[contours.outline]
rectangle = { center = [8, 5], size = [12, 7], corner_radius = 0.6 }
[[operations]]
name = "round the rim"
kind = "edge"
bit = "round14"
contour = "outline"
keep = "inside"
depth = 0.175
offset = 0.02
spindle = 18000
ramp = 1
)" + keys + "\n[sanding]\nfeel = \"3 um\"",
                                         "sign.toml", ".")[0]
                        .job;
    const Plan plan = make_plan(job);
    const MoveIndex index(plan, job);
    return estimate(job, plan, index, measure(job, plan, index));
  };
  const ShopEstimate one = run("feed = \"100 in/min\"");
  CHECK(one.edges[0].marks.tallest > 0.003);
  CHECK(one.edges[0].sanding.worst > SandClass::nothing);
  for (const char* feed : {"45", "60"}) {
    const ShopEstimate two = run(std::string("passes = 2\nfeed = \"") + feed + " in/min\"");
    CHECK(two.edges[0].marks.tallest < 0.003);
    CHECK(two.edges[0].sanding.worst == SandClass::nothing);
    // Why: a smaller chip, lower marks, less bending of the tip.
    CHECK(two.loads[0].chip_load < 0.61 * one.loads[0].chip_load);
    CHECK(two.edges[0].marks.tallest < 0.4 * one.edges[0].marks.tallest);
    for (const PassLoad& pass : two.loads) CHECK(pass.tip.index < 0.8 * one.loads[0].tip.index);
  }
}
