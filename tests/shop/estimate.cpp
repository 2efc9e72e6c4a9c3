#include "sim/shop/estimate.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <string>

#include "io/report/shop.hpp"
#include "io/scene/strategies.hpp"
#include "sim/shop/section_marks.hpp"
#include "tests/support/sign_rim.hpp"

using namespace ovolo;

namespace {

/// A sign of 300 x 180 mm, its rim rounded with the given keys.
Job sign(const std::string& keys, const std::string& more = "") {
  return io::parse_strategies(R"([stock]
size = [400, 250]
layers = [ { name = "cap", thickness = 3.1 }, { name = "core", thickness = 6.5 }, { name = "back", thickness = 3.1 } ]
[bits.round5]
form = "point_roundover"
radius = 5
working_depth = 3.62
)" + ovolo::test::sign_rim() + R"(ramp = 20
)" + keys + "\n" + more,
                              "sign.toml", ".")[0]
      .job;
}

struct Done {
  Job job;
  Plan plan;
  MoveIndex index;
  Measures measures;
  ShopEstimate shop;
};

Done run(Job job) {
  Plan plan = make_plan(job);
  MoveIndex index(plan, job);
  Measures measures = measure(job, plan, index);
  ShopEstimate shop = estimate(job, plan, index, measures);
  return {std::move(job), std::move(plan), std::move(index), std::move(measures), std::move(shop)};
}

const std::string kSettings = "depth = 3.55\noffset = 0.4\nspindle = 18000\n";

}  // namespace

TEST_CASE("marks of a finished section are those of its last pass", "[shop]") {
  const Done d = run(sign(kSettings + "passes = [2.4, 3.55]\nfeed = \"1500 mm/min\""));
  const Station* straight = nullptr;
  for (const Station& s : d.measures.edges[0].stations)
    if (s.curvature == 0 && s.kind == StationKind::edge) straight = &s;
  REQUIRE(straight);
  const SectionLine line{straight->point, straight->normal, 8};
  const Section section = SectionMaker(d.job, d.plan, d.index).make(line);
  const CurveMarks marks = section_marks(d.job, d.plan, section, line, 0.02);
  MarkSettings settings{1500, 18000, 2, 0.02, Direction::conventional};
  const CurveMarks expected = curve_marks(places_of_pass(d.job.bits[0].profile, 0.4, 3.55), {settings});
  CHECK(marks.length() == Approx(expected.length()).margin(0.01));
  CHECK(marks.tallest == Approx(expected.tallest).epsilon(1e-4));
  CHECK(marks.tallest_at.y == Approx(-2.9704).margin(1e-3));
  CHECK(marks.mean_crest == Approx(expected.mean_crest).epsilon(0.01));
  REQUIRE(marks.bands.size() == expected.bands.size());
  for (std::size_t i = 0; i < marks.bands.size(); ++i)
    CHECK(marks.bands[i].rz == Approx(expected.bands[i].rz).epsilon(0.01));
}

TEST_CASE("climbing leaves taller marks than conventional travel", "[shop]") {
  const std::string keys = kSettings + "feed = \"2540 mm/min\"\n";
  const Done up = run(sign(keys + "direction = \"conventional\"")),
             down = run(sign(keys + "direction = \"climb\""));
  CHECK(down.shop.edges[0].marks.tallest > up.shop.edges[0].marks.tallest);
  MarkSettings s{2540, 18000, 2, 0.02, Direction::climb};
  CHECK(down.shop.edges[0].marks.tallest ==
        Approx(curve_marks(places_of_pass(down.job.bits[0].profile, 0.4, 3.55), {s}).tallest).epsilon(1e-3));
}

TEST_CASE("an estimate holds loads, time, finish, sanding and cost", "[shop]") {
  const Done d = run(sign(kSettings + "passes = \"balanced\"\nfeed = \"1200 mm/min\"", "[shop]\nbatch = 10"));
  const ShopEstimate& e = d.shop;
  CHECK(e.missing.empty());
  REQUIRE(e.loads.size() == 2);
  REQUIRE(e.time);
  REQUIRE(e.cost);
  // Twice round some 940 mm of path at 20 mm/s, and the ramps.
  CHECK(e.time->total == Approx(2 * 940.0 / 20).epsilon(0.1));
  CHECK(e.cost->part.machine_minutes == Approx(e.time->total / 60));
  CHECK(e.cost->batch.total.value == Approx(10 * e.cost->part.total.value));
  CHECK(e.edges[0].sanding.worst == SandClass::nothing);
  CHECK(e.sanding.seconds.value == 0);
}

TEST_CASE("a lip costs sanding, and the cap is sanded through", "[shop]") {
  const Done d =
      run(sign("depth = 5\noffset = 0\nspindle = 18000\nfeed = 1500", "[wishes]\nhidden = [\"core\"]"));
  const EdgeSanding& s = d.shop.edges[0].sanding;
  CHECK(s.worst == SandClass::recut);
  CHECK(d.shop.sanding.seconds.value > 60);
  CHECK(d.shop.sanding.seconds.low < d.shop.sanding.seconds.value);
  const double blend = d.measures.edges[0].blend_volume;
  // The crests come off with the lip; the face beside it is shorter than the line at the corners.
  CHECK(s.grits[0].volume == Approx(blend).epsilon(0.1));
  REQUIRE_FALSE(s.beyond.empty());
}

TEST_CASE("one surface cut by two operations is sanded once", "[shop]") {
  const Done d = run(sign("depth = 2.4\noffset = 0.4\nspindle = 18000\nfeed = 2540", R"([[operations]]
name = "finish the rim"
kind = "edge"
bit = "round5"
contour = "outline"
keep = "inside"
offset = 0.4
depth = 4.2
spindle = 18000
feed = 1200
ramp = 20)"));
  REQUIRE(d.shop.edges.size() == 2);
  CHECK(d.shop.edges[0].shared);
  CHECK_FALSE(d.shop.edges[1].shared);
  CHECK(d.shop.sanding.seconds.value ==
        Approx(sand_time({d.shop.edges[1].sanding}, 1, d.job.shop.sand_rates).seconds.value));
}

TEST_CASE("without a feed or a spindle speed there are loads left out, and no time", "[shop]") {
  const Done d = run(sign("depth = 3.55\noffset = 0.4"));
  CHECK(d.shop.missing == std::vector<std::string>{"round the rim"});
  CHECK_FALSE(d.shop.time);
  CHECK_FALSE(d.shop.cost);
  CHECK(d.shop.edges[0].marks.tallest == 0);
  CHECK(io::shop_text(d.job, d.shop).find("no feed or no spindle") != std::string::npos);
}

TEST_CASE("pockets: rings meet what the rings before them left", "[shop]") {
  const Job job = io::parse_strategies(R"([stock]
size = [200, 200]
layers = [ { name = "board", thickness = 18 } ]
[bits.mill6]
form = "straight"
diameter = 6
[contours.field]
rectangle = { center = [100, 100], size = [80, 80], corner_radius = 5 }
[[operations]]
name = "sink"
kind = "pocket"
bit = "mill6"
contour = "field"
depth = 3
stepover = 2.4
feed = 1500
spindle = 18000
ramp = 20
)",
                                       "sink.toml", ".")[0]
                      .job;
  const Plan plan = make_plan(job);
  const auto loads = pass_loads(job, plan, Material{});
  REQUIRE(loads.size() == 1);
  CHECK(loads[0].section.mean == Approx(2.4 * 3).epsilon(0.1));
  CHECK(loads[0].volume == Approx((80 * 80 - 25 * (4 - 3.14159)) * 3).epsilon(0.1));
}
