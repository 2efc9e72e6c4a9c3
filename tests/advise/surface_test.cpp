// Sheets that are not flat: the surface itself, and edges cut on it against closed forms.
#include <fmt/format.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "sim/advise/dial.hpp"
#include "sim/bit/forms.hpp"
#include "sim/carve/carve.hpp"
#include "sim/error.hpp"
#include "sim/measure/edge.hpp"
#include "sim/parallel.hpp"
#include "sim/path/plan.hpp"
#include "sim/stock/surface.hpp"
#include "tests/support/roundover_bit.hpp"

using namespace ovolo;
using tests::roundover_bit;

namespace {

constexpr double kWidth = 400, kHeight = 250, kThick = 12.7;

// Nine readings 50 mm from the edges and between, of a height given by f.
template <class F>
std::vector<SheetShape::Reading> readings_of(F f) {
  std::vector<SheetShape::Reading> out;
  for (const double x : {50.0, 200.0, 350.0})
    for (const double y : {50.0, 125.0, 200.0}) out.push_back({{x, y}, f(Vec2{x, y})});
  return out;
}

Surface surface_of(const SheetShape& shape, ZeroOn zero = ZeroOn::face, std::vector<bool> lifting = {}) {
  return Surface(shape, kWidth, kHeight, kThick, zero, lifting);
}

Job job_on(const SheetShape& shape) {
  Job job;
  job.stock.width = kWidth;
  job.stock.height = kHeight;
  job.stock.layers = {{"cap", 3.1, {}}, {"core", 6.5, {}}, {"back", 3.1, {}}};
  job.shape = shape;
  job.bits.push_back(roundover_bit("round5", 5, 3.62, 20));
  NamedContour contour;
  contour.id = "outline";
  std::vector<Segment> sides;
  const Vec2 corners[] = {{50, 50}, {350, 50}, {350, 200}, {50, 200}};
  for (int i = 0; i < 4; ++i) sides.push_back(Segment::line(corners[i], corners[(i + 1) % 4]));
  contour.contour = Contour(sides, true);
  job.contours.push_back(contour);
  Operation op;
  op.name = "rim";
  op.contour = 0;
  op.keep = Keep::inside;
  op.depth = 3.5;
  op.offset = 0.3;
  op.passes = {2, 3.5};
  op.feed = 1500;
  op.spindle = 18000;
  job.operations.push_back(op);
  return job;
}

Measures measure_on(const Job& job) {
  const Plan plan = make_plan(job);
  const MoveIndex index(plan, job);
  return measure(job, plan, index);
}

}  // namespace

TEST_CASE("one sheet with other lifts is the sheet made anew with them", "[surface]") {
  SheetShape shape;
  shape.thickness = readings_of([](Vec2 p) { return kThick + 0.001 * p.x + 2e-6 * p.x * p.y; });
  shape.zero = {60, 70};
  shape.lifts = {{{200, 100}, 0.3, 90, -1, 0}, {{300, 120}, 0.2, 60, -1, 0}};
  const Surface lying = surface_of(shape), both = lying.with_lifts(shape, {true, true});
  const Surface second = both.with_lifts(shape, {false, true}),
                anew = surface_of(shape, ZeroOn::face, {false, true});
  for (const Vec2 p : {Vec2{210, 110}, Vec2{290, 130}, Vec2{10, 240}, Vec2{400, 250}})
    CHECK(second.delta(p) == anew.delta(p));
  CHECK(both.delta({210, 110}) < second.delta({210, 110}) - 0.1);
  SheetShape level;
  level.lifts = shape.lifts;
  CHECK(surface_of(level, ZeroOn::face, {true}).with_lifts(level, {}).flat());
}

TEST_CASE("a map between readings is the same whatever thread asks for it first", "[surface]") {
  SheetShape shape;
  shape.thickness = readings_of([](Vec2 p) { return kThick + 1e-5 * p.x * p.y; });
  const auto place = [](std::size_t i) {
    return Vec2{0.37 * static_cast<double>(i * 7919 % 1081), 0.23 * static_cast<double>(i * 104729 % 1087)};
  };
  constexpr std::size_t kPlaces = 20000;
  const Surface shared = surface_of(shape), alone = surface_of(shape);
  std::vector<double> found(kPlaces);
  parallel_for(kPlaces, [&](std::size_t i) { found[i] = shared.delta(place(i)); });
  for (std::size_t i = kPlaces; i-- > 0;) REQUIRE(found[i] == alone.delta(place(i)));
}

// Readings that are all alike make the same face, but sections of it are sampled curves, not arcs.
TEST_CASE("a sampled curve lies as far off the wanted round as the arc that it samples", "[surface]") {
  SheetShape level;
  level.thickness = readings_of([](Vec2) { return kThick; });
  for (const double depth : {3.3, 3.6, 4.2}) {
    Job arcs = job_on({}), curves = job_on(level);
    for (Job* job : {&arcs, &curves}) {
      job->operations[0].depth = depth;
      job->operations[0].passes = {depth};
    }
    const EdgeMeasures a = measure_on(arcs).edges.at(0), c = measure_on(curves).edges.at(0);
    CHECK(std::max(a.excess.max, a.gouge.max) > 0.02);
    CHECK(c.excess.max == Approx(a.excess.max).margin(2e-4));
    CHECK(c.gouge.max == Approx(a.gouge.max).margin(2e-4));
    CHECK(c.excess.section.max == Approx(a.excess.section.max).margin(1e-3));
  }
}

TEST_CASE("readings of a plane give the plane", "[surface]") {
  SheetShape shape;
  const auto plane = [](Vec2 p) { return 0.3 + 0.001 * p.x - 0.002 * p.y; };
  shape.height = readings_of(plane);
  const Surface s = surface_of(shape);
  for (const Vec2 p : {Vec2{0, 0}, Vec2{200, 125}, Vec2{399, 1}, Vec2{13.7, 222.2}})
    CHECK(s.delta(p) == Approx(plane({0, 0}) - plane(p)).margin(1e-9));
}

TEST_CASE("a surface goes through its readings, and its bounds hold", "[surface]") {
  std::mt19937_64 random(4);
  std::uniform_real_distribution<double> u(0, 1);
  SheetShape shape;
  shape.thickness = readings_of([&](Vec2) { return kThick + 0.4 * u(random) - 0.2; });
  shape.spoilboard = {{{0, 0}, 0.05}, {{400, 0}, -0.05}, {{200, 250}, 0.1}, {{90, 100}, 0.02}};
  shape.tilt = {0.3, -0.2};
  shape.bow = -0.4;
  shape.bow_direction = 0.3;
  shape.lifts = {{{120, 90}, 0.7, 60, -1, 0}, {{300, 150}, -0.2, 100, -1, 0}};
  const Surface s = surface_of(shape, ZeroOn::face, {true, true});
  CHECK_FALSE(s.flat());
  for (int i = 0; i < 300; ++i) {
    Box2 box;
    box.add(Vec2{kWidth * u(random), kHeight * u(random)});
    box.add(box.lo + Vec2{60 * u(random), 60 * u(random)});
    const auto bounds = s.bounds(box);
    double lo = 1e9, hi = -1e9;
    for (int k = 0; k < 60; ++k) {
      const double d =
          s.delta(box.lo + Vec2{u(random) * (box.hi.x - box.lo.x), u(random) * (box.hi.y - box.lo.y)});
      lo = std::min(lo, d);
      hi = std::max(hi, d);
    }
    CHECK(bounds.lo <= lo);
    CHECK(bounds.hi >= hi);
    CHECK(bounds.hi - bounds.lo < 3 * (hi - lo) + 0.3);  // and they are of use
  }
  SheetShape only;
  only.thickness = shape.thickness;
  const Surface t = surface_of(only);
  const double base = t.delta(only.thickness[0].at) + only.thickness[0].value;
  for (const auto& r : only.thickness) CHECK(t.delta(r.at) + r.value == Approx(base).margin(3e-4));
}

TEST_CASE("zero on the spoilboard lets the thickness in, zero on the face only its changes", "[surface]") {
  SheetShape shape;
  shape.thickness = readings_of([](Vec2) { return kThick + 0.15; });
  CHECK(surface_of(shape).delta({100, 100}) == Approx(0).margin(1e-9));
  CHECK(surface_of(shape, ZeroOn::spoilboard).delta({100, 100}) == Approx(-0.15).margin(1e-9));
}

TEST_CASE("a bow and a tilt are what they say", "[surface]") {
  SheetShape shape;
  shape.bow = 0.5;
  shape.zero = {0, 125};
  CHECK(surface_of(shape).delta({200, 10}) == Approx(-0.5).margin(1e-12));
  CHECK(surface_of(shape).delta({400, 10}) == Approx(0).margin(1e-12));
  CHECK(surface_of(shape).delta({100, 10}) == Approx(-0.375).margin(1e-12));
  shape = {};
  shape.tilt = {0.4, 0};
  CHECK(surface_of(shape).delta({400, 0}) == Approx(-0.4).margin(1e-12));
}

TEST_CASE("too few readings, or readings that make no surface, are refused", "[surface]") {
  SheetShape shape;
  shape.thickness = readings_of([](Vec2) { return 12.0; });
  shape.thickness.resize(7);
  CHECK_THROWS_AS(surface_of(shape), JobError);  // 8 or more: EN 324-1
  shape.thickness.push_back(shape.thickness.front());
  CHECK_THROWS_AS(surface_of(shape), JobError);  // two at one place
  shape.thickness.clear();
  for (int i = 0; i < 9; ++i) shape.thickness.push_back({{10.0 * i, 20.0 * i}, 12});
  CHECK_THROWS_AS(surface_of(shape), JobError);  // all on one line
}

TEST_CASE("lip and foot along the contour follow the sheet", "[surface]") {
  // Derived: where the face lies e higher the pass runs e deeper: lip max(0, D + e - W), foot D + e - (h -
  // h0).
  SheetShape shape;
  shape.tilt = {0.4, 0};
  Job job = job_on(shape);
  const Measures m = measure_on(job);
  REQUIRE(m.edges.size() == 1);
  const auto& e = m.edges[0];
  const double h = std::sqrt(25 - 4.7 * 4.7);
  int seen = 0;
  for (const Station& s : e.stations) {
    if (s.kind != StationKind::edge || s.measures.near_corner) continue;
    const bool along_x = std::abs(s.normal.y) > 0.5;
    const double rise = 0.4 * s.point.x / kWidth;
    ++seen;
    REQUIRE(s.measures.foot_depth);
    CHECK(*s.measures.foot_depth == Approx(3.5 + rise - (h - 1.38)).margin(2e-6));
    // Across the slope the face itself leans by 0.001: over the width of the lip's curve that is 5 um.
    if (along_x && s.measures.lip)
      CHECK(*s.measures.lip == Approx(std::max(0.0, 3.5 + rise - 3.62)).margin(1e-6));
  }
  CHECK(seen > 50);
  REQUIRE(e.lip);
  CHECK(e.lip->worst_at.x == Approx(350).margin(2));
  CHECK(e.lip->max == Approx(3.5 + 0.35 - 3.62).margin(6e-3));
  CHECK_FALSE(e.verdict.good);
}

TEST_CASE("a place that lifts from the second pass on shows where it is", "[surface]") {
  SheetShape shape;
  shape.lifts = {{{200, 50}, 0.25, 60, 0, 1}};
  Job job = job_on(shape);
  const Plan plan = make_plan(job);
  CHECK(plan.surfaces.size() == 2);
  for (const Move& m : plan.moves) CHECK((m.surface == 1) == (m.pass >= 1));
  const MoveIndex index(plan, job);
  const Measures measures = measure(job, plan, index);
  const auto& e = measures.edges[0];
  REQUIRE(e.lip);
  // The lip stands where the curve ends, 4.7 mm inside the wall: (1 - (4.7 / 60)^2)^3 of the lift.
  CHECK(e.lip->max == Approx(3.5 + 0.25 * std::pow(1 - 4.7 * 4.7 / 3600, 3) - 3.62).margin(5e-4));
  CHECK(e.lip->worst_at.x == Approx(200).margin(4));
  CHECK(e.lip->worst_at.y == Approx(50).margin(1e-6));
  CHECK(e.lip->min == 0);
  // The carve lowers the same cells by as much.
  CarveOptions options;
  options.cell = 0.2;
  options.window = Box2{{190, 45}, {210, 60}};
  const Heightfield field = carve(job, plan, index, options);
  float deepest = 0;
  for (std::int64_t row = 0; row < field.tile_rows(); ++row)
    for (std::int64_t column = 0; column < field.tile_columns(); ++column)
      if (const float* heights = field.tile(column, row))
        deepest =
            std::min(deepest, *std::min_element(heights, heights + Heightfield::kTile * Heightfield::kTile));
  CHECK(deepest == Approx(-3.75).margin(2e-3));
}

TEST_CASE("advice on an uneven face takes the face into account", "[surface]") {
  // Derived: the face stands 0.025 to 0.175 mm high along the contour, so that the depth may be from
  // 5 cos 15 deg - 1.38 - 0.025 = 3.4246 to 3.62 + 0.015 - 0.175 = 3.4600 mm, and a little more
  // since the lip stands 4.7 mm inside the contour.
  SheetShape shape;
  shape.tilt = {0.2, 0};
  Job job = job_on(shape);
  const Measures deep = measure_on(job);
  CHECK_FALSE(deep.edges[0].verdict.good);
  CAPTURE(deep.edges[0].verdict.text);
  CHECK(deep.edges[0].verdict.text.find("set depth between 3.43 mm") != std::string::npos);
  CHECK(deep.edges[0].verdict.text.find("and 3.46 mm") != std::string::npos);
  for (const double depth : {3.43, 3.46}) {
    job.operations[0].depth = depth;
    job.operations[0].passes = {2, depth};
    CAPTURE(depth);
    CHECK(measure_on(job).edges[0].verdict.good);
  }
  // Twice the tilt leaves no depth that suits: 0.29 mm from lip to lip, 0.185 mm of room.
  job.shape.tilt = {0.4, 0};
  const std::string none = measure_on(job).edges[0].verdict.text;
  CAPTURE(none);
  CHECK(none.find("no one depth suits a face uneven by 0.29 mm") != std::string::npos);
}

TEST_CASE("the dial's window holds the depths that do everywhere on an uneven face", "[surface]") {
  // Derived: as above, the face 0.025 to 0.175 mm high; the chance that a normal Z error of 0.01 mm leaves
  // the depth between is a difference of two error functions.
  SheetShape shape;
  shape.tilt = {0.2, 0};
  Job job = job_on(shape);
  const EdgeCase edge = EdgeCase::of(job, 0);
  CHECK(edge.face.up == Approx(0.175).margin(1e-9));
  CHECK(edge.face.down == Approx(-0.025).margin(1e-9));
  const std::vector<Span> depths = edge.window().depths();
  REQUIRE(depths.size() == 1);
  const double lo = 5 * std::cos(std::numbers::pi / 12) - 1.38 - 0.025, hi = 3.62 + 0.015 - 0.175;
  CHECK(depths[0].lo == Approx(lo).margin(1e-6));
  CHECK(depths[0].hi == Approx(hi).margin(1e-6));

  SettingErrors errors;
  errors.z = 0.01;
  errors.xy = errors.runout = 0;
  errors.readings = 0;
  const DialedEdge best = dial_edge(job, 0, errors);
  CHECK(best.conflicts.empty());
  CHECK(best.depth == Approx((lo + hi) / 2).margin(2e-3));
  const auto below = [](double x) { return 0.5 * std::erfc(-x / std::sqrt(2.0)); };
  CHECK(best.failure ==
        Approx(1 - below((hi - best.depth) / 0.01) + below((lo - best.depth) / 0.01)).margin(1e-7));
  CHECK(best.deeper.room.distance == Approx(hi - best.depth).margin(1e-6));
  for (const double depth : {lo + 1e-3, hi - 1e-3}) {  // what the dial calls good measures good
    job.operations[0].depth = depth;
    job.operations[0].passes = {2, depth};
    CHECK(measure_on(job).edges[0].verdict.good);
  }

  job.shape.tilt = {0.4, 0};
  const DialedEdge none = dial_edge(job, 0, errors);
  REQUIRE(none.conflicts.size() == 1);
  const std::string cures = fmt::format("{}", fmt::join(none.conflicts[0].cures, "; "));
  CAPTURE(cures);
  // Derived: the window is 5 (1 - cos 15 deg) + 0.015 = 0.1854 mm high, the face varies by 0.3 mm.
  CHECK(cures.find("hold the sheet flat to within 0.18 mm") != std::string::npos);
  CHECK(cures.find("varies by 0.30 mm") != std::string::npos);
}

TEST_CASE("a tip flat leaves its band on a leaning face too", "[surface]") {
  // Derived: the band is the flat's radius less the offset, the wall break that of the flat sheet, both
  // within what the lean turns them by.
  SheetShape shape;
  shape.tilt = {0.3, -0.2};
  Job job = job_on(shape);
  const double a = job.bits[0].profile.tip_flat_radius();
  job.operations[0].offset = a - 0.15;
  const Measures measures = measure_on(job);
  const EdgeMeasures& e = measures.edges[0];
  REQUIRE(e.band);
  CHECK(e.band->min == Approx(0.15).margin(1e-6));
  CHECK(e.band->max == Approx(0.15).margin(1e-6));
  REQUIRE(e.wall_break);
  CHECK(e.wall_break->max == Approx(std::asin(1.38 / 5)).margin(2e-3));
  REQUIRE(e.foot_depth);
  for (const Station& s : e.stations)
    if (s.kind == StationKind::edge) CHECK(s.measures.foot_depth.has_value());
}
