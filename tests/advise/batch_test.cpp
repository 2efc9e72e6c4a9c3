// Batches drawn: against the dial's chances, the same for every thread count, and what they advise.
#include <fmt/format.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>

#include "io/report/batch.hpp"
#include "render/batch_plot.hpp"
#include "render/raster.hpp"
#include "sim/advise/batch.hpp"
#include "sim/advise/draws.hpp"
#include "sim/advise/edge_case.hpp"
#include "sim/advise/odds.hpp"
#include "sim/bit/forms.hpp"
#include "sim/error.hpp"
#include "sim/parallel.hpp"
#include "tests/render/drawing_check.hpp"
#include "tests/support/roundover_bit.hpp"

using namespace ovolo;
using tests::roundover_bit;

namespace {

Job sign(double depth = 3.55, double offset = 0.35) {
  Job job;
  job.title = "Sign";
  job.stock.width = job.stock.height = 300;
  job.stock.layers = {{"cap", 3.1, {}}, {"core", 9.6, {}}};
  job.wishes.hidden = {"core"};
  job.bits.push_back(roundover_bit("round5", 5, 3.62, 25));
  NamedContour contour;
  contour.id = "outline";
  std::vector<Segment> sides;
  const Vec2 corners[] = {{50, 50}, {250, 50}, {250, 250}, {50, 250}};
  for (int i = 0; i < 4; ++i) sides.push_back(Segment::line(corners[i], corners[(i + 1) % 4]));
  contour.contour = Contour(sides, true);
  job.contours.push_back(contour);
  Operation op;
  op.name = "rim";
  op.contour = 0;
  op.depth = depth;
  op.offset = offset;
  op.feed = 1500;
  op.spindle = 18000;
  job.operations.push_back(op);
  job.variation.wear = 0;
  return job;
}

}  // namespace

TEST_CASE("draws are uniform, normal and depend on their keys alone", "[advise]") {
  Draws a(1, 2, 3, 4), b(1, 2, 3, 4), c(1, 2, 3, 5);
  const auto first = a.bits();
  CHECK(first == b.bits());
  CHECK(first != c.bits());
  double sum = 0, square = 0, fourth = 0;
  constexpr int n = 200000;
  for (int i = 0; i < n; ++i) {
    const double v = a.normal();
    sum += v;
    square += v * v;
    fourth += v * v * v * v;
  }
  CHECK(std::abs(sum / n) < 4 / std::sqrt(n));
  CHECK(square / n == Approx(1).margin(4 * std::sqrt(2.0 / n)));
  CHECK(fourth / n == Approx(3).margin(4 * std::sqrt(96.0 / n)));
}

TEST_CASE("the share within is the dial's chance, however the parts are grouped", "[advise]") {
  for (const bool spoilboard : {false, true}) {
    Job job = sign(3.52, 0.42);
    if (spoilboard) {
      job.errors.zero_on = ZeroOn::spoilboard;
      job.errors.thickness = 0.05;
    }
    const EdgeCase edge = EdgeCase::of(job, 0);
    const double chance =
        1 - EdgeOdds(edge.bit, edge.wanted, edge.stock, edge.wishes, job.errors).failure(3.52, 0.42);
    // A thousand batches of one part each, under several seeds: independent draws.
    double within = 0;
    constexpr int kSeeds = 12;
    for (std::uint64_t seed = 1; seed <= kSeeds; ++seed) {
      BatchOptions one;
      one.parts = 1;
      one.seed = seed;
      const BatchResult r = draw_batches(job, one);
      CHECK(r.batches == 1000);
      within += r.within / kSeeds;
    }
    INFO("chance " << chance << " drawn " << within);
    CHECK(std::abs(within - chance) < 4 * std::sqrt(chance * (1 - chance) / (1000 * kSeeds)) + 1e-3);
    // Larger batches share a bit and its error: the same mean, more scatter.
    BatchOptions many;
    many.parts = 100;
    const BatchResult r = draw_batches(job, many);
    CHECK(r.batches == 400);
    CHECK(r.within == Approx(chance).margin(0.05));
    // The scatter between batches, not between parts, says how sure the share is.
    CHECK(std::abs(r.within - chance) < 4 * r.within_error + 1e-3);
    CHECK(r.within_error > std::sqrt(chance * (1 - chance) / 40000));
    CHECK(r.within_low < r.within);
    CHECK(r.within_high >= r.within);
  }
}

TEST_CASE("a batch is the same on one thread and on many, and for the same seed", "[advise]") {
  const Job job = sign();
  BatchOptions options;
  options.parts = 4000;
  std::string one, many;
  {
    const ThreadLimit limit(1);
    one = io::batch_json(job, draw_batches(job, options), {});
  }
  {
    const ThreadLimit limit(4);
    many = io::batch_json(job, draw_batches(job, options), {});
  }
  CHECK(one == many);
  options.parts = 40;
  const std::string small = io::batch_json(job, draw_batches(job, options), {});
  options.seed = 2;
  CHECK(io::batch_json(job, draw_batches(job, options), {}) != small);
}

TEST_CASE("without any errors every part is the scene's own", "[advise]") {
  Job job = sign();
  job.errors.z = job.errors.xy = job.errors.runout = 0;
  job.errors.readings = 0;
  const BatchResult r = draw_batches(job, {});
  const SectionMeasures m = EdgeCase::of(job, 0).measure(3.55, 0.35);
  const BatchEdge& e = r.edges.at(0);
  CHECK(e.foot_depth.least == Approx(*m.foot_depth).margin(1e-6));
  CHECK(e.foot_depth.most == Approx(*m.foot_depth).margin(1e-6));
  CHECK(e.face_break.middle == Approx(*m.face_break).margin(1e-6));
  CHECK(e.lip.most == 0);
  CHECK((r.within == 0 || r.within == Approx(1)));
  CHECK(r.within_by_place.size() == 10);
}

TEST_CASE("wear lowers the working depth and calls for another reading", "[advise]") {
  Job job = sign(3.54, 0.42);
  job.wishes.hidden.clear();
  job.variation.wear = 0.02;  // mm per 100 m; a part has 0.8 m of edge
  job.variation.wear_spread = 0;
  BatchOptions options;
  options.parts = 1000;
  const BatchResult r = draw_batches(job, options);
  CHECK(r.within_by_place.front() > r.within_by_place.back() + 0.2);
  REQUIRE(r.metres_to_reading);
  // Derived: after m metres W has fallen by 0.0002 m, and the chance of a bad edge is that of the odds with
  // so much less.
  const auto failure = [&](double metres) {
    EdgeCase edge = EdgeCase::of(job, 0);
    RoundoverReadings readings = edge.bit.roundover->readings;
    *readings.working_depth -= 0.0002 * metres;
    edge.bit.roundover = derive_roundover(readings);
    return EdgeOdds(edge.bit, edge.wanted, edge.stock, edge.wishes, job.errors).failure(3.54, 0.42);
  };
  CHECK(failure(*r.metres_to_reading) == Approx(failure(0) + 0.05).margin(1e-4));
  CHECK(r.parts_to_reading == static_cast<int>(*r.metres_to_reading / 0.8));
  job.variation.wear = 0;
  options.parts = 100;
  CHECK_FALSE(draw_batches(job, options).metres_to_reading);
}

TEST_CASE("looking at first parts is worth as much as the batch shares its errors", "[advise]") {
  // All of the error in the bit: one good part vouches for the rest.
  Job job = sign(3.56, 0.42);
  job.wishes.hidden.clear();
  job.errors.z = job.errors.xy = 0;
  job.errors.readings = 0.06;
  const BatchResult shared = draw_batches(job, {});
  CHECK(shared.bad_batches > 0.1);
  REQUIRE(shared.first_parts);
  CHECK(*shared.first_parts == 1);
  // All of it anew in every part: looking at a few says little.
  job.errors.readings = 0;
  job.errors.z = job.variation.z_repeat = 0.08;
  const BatchResult own = draw_batches(job, {});
  CHECK(own.bad_batches > 0.9);
  CHECK_FALSE(own.first_parts);
}

TEST_CASE("a batch's reports and picture tell the same", "[report][render][advise]") {
  const Job job = sign();
  const BatchResult r = draw_batches(job, {});
  const std::string text = io::batch_text(job, r);
  for (const char* part :
       {"batches of 100 parts", "lip, mm", "core shows, mm", "sanding:", "when to stop and look", "seed 1"})
    CHECK(text.find(part) != std::string::npos);
  const auto json = nlohmann::json::parse(io::batch_json(job, r, {}));
  CHECK(json["within"]["mean"].get<double>() == Approx(r.within).margin(1e-4));
  double sum = 0;
  for (const double b : json["edges"][0]["foot_depth_mm"]["histogram"]["shares"]) sum += b;
  CHECK(sum == Approx(1).margin(0.01));
  CHECK(json["sanding_hours"]["likely"].get<double>() > 0);
  const std::string svg = render::draw_batch({job, r, r.edges[0]});
  CHECK(svg.find("beyond the wish") != std::string::npos);
  // Nearly all edges have no lip at all: that bar is cut off, so that those with one can be seen.
  const auto& lips = r.edges[0].lip.bins;
  const double most = *std::max_element(lips.begin(), lips.end());
  REQUIRE(most > 0.9);
  const auto all = drawing_check::texts(svg);
  CHECK(drawing_check::contains(all, fmt::format("{:.1f} %", 100 * most)));
  CHECK(drawing_check::contains(all, "lip, mm"));
  CHECK(drawing_check::overlaps(all).empty());
  CHECK(drawing_check::outside(all, 1200, 1e9).empty());
  CHECK(render::rasterize(svg).width == 1200);
}

TEST_CASE("a scene without a moulded edge has no batch", "[advise]") {
  Job job = sign();
  job.operations[0].kind = OperationKind::pocket;
  CHECK_THROWS_AS(draw_batches(job, {}), JobError);
}
