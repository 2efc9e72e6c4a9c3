// Whole edges along their contours, against closed forms (derived) and against themselves.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "sim/bit/forms.hpp"
#include "sim/measure/edge.hpp"
#include "sim/parallel.hpp"
#include "sim/path/plan.hpp"

using namespace ovolo;

namespace {

constexpr double kPi = std::numbers::pi;

Bit roundover(double R, double W) {
  RoundoverReadings r;
  r.radius = R;
  r.working_depth = W;
  Bit b;
  b.id = "round";
  b.form = "point_roundover";
  b.profile = point_roundover(derive_roundover(r), 20);
  b.nominal_radius = R;
  b.working_depth = W;
  b.wanted = WantedForm::round(R);
  return b;
}

Job job_with(Contour contour, double R, double W, double depth, double offset) {
  Job job;
  job.title = "test";
  job.stock.width = 400;
  job.stock.height = 250;
  job.stock.layers = {{"cap", 1.3, {}}, {"core", 10.1, {}}, {"back", 1.3, {}}};
  job.bits.push_back(roundover(R, W));
  NamedContour named;
  named.id = "outline";
  named.contour = std::move(contour);
  job.contours.push_back(named);
  Operation op;
  op.name = "rim";
  op.contour = 0;
  op.depth = depth;
  op.passes = {depth};
  op.offset = offset;
  op.feed = 1500;
  op.spindle = 18000;
  op.ramp = 20;
  job.operations.push_back(op);
  return job;
}

Measures run(const Job& job) {
  const Plan plan = make_plan(job);
  const MoveIndex index(plan, job);
  return measure(job, plan, index);
}

Contour polygon(std::vector<Vec2> points, bool closed) {
  std::vector<Segment> s;
  for (std::size_t i = 0; i + 1 < points.size(); ++i) s.push_back(Segment::line(points[i], points[i + 1]));
  if (closed) s.push_back(Segment::line(points.back(), points.front()));
  return Contour(s, closed);
}

bool warned(const Measures& m, const std::string& code) {
  for (const Warning& w : m.warnings)
    if (w.code == code) return true;
  return false;
}

}  // namespace

TEST_CASE("a rounded rectangle measures the same on its sides and its corners", "[measure]") {
  for (const bool reversed : {false, true}) {
    Contour c = Contour::rectangle({200, 125}, {300, 180}, 15);
    const Measures m = run(job_with(reversed ? c.reversed() : c, 5, 3.62, 3.55, 0.4));
    REQUIRE(m.edges.size() == 1);
    const EdgeMeasures& e = m.edges[0];
    CHECK(e.verdict.good);
    CHECK(e.length == Approx(2 * (270 + 150) + 2 * kPi * 15));
    CHECK(e.lip->max == 0);
    CHECK(e.band->max == 0);
    CHECK(e.face_break->min == Approx(e.face_break->max).margin(1e-8));
    CHECK(e.face_break->max * 180 / kPi == Approx(9.60).margin(5e-3));
    CHECK(e.foot_depth->max == Approx(2.9704).margin(5e-5));
    CHECK(e.curve_length->mean == Approx(5.0028).margin(5e-5));
    CHECK(e.unreached.empty());
    CHECK(e.ends.empty());
    double weights = 0;
    for (const Station& s : e.stations) weights += s.weight;
    CHECK(weights == Approx(e.length).margin(1e-9));
  }
}

TEST_CASE("areas and volumes on a round part follow Pappus", "[measure]") {
  // Derived: a section at distance u inside a circle of radius r sweeps 2 pi (r - u).
  const double r = 40, R = 5;
  const Measures m = run(job_with(Contour::circle({200, 125}, r), R, R, R, 0));
  const EdgeMeasures& e = m.edges[0];
  // Quarter arc about (R, -R): length R pi / 2, mean distance from the wall R - 2 R / pi.
  const double length = R * kPi / 2, mean_u = R - 2 * R / kPi;
  double area = 0;
  for (const Exposure& x : e.exposure) area += x.area;
  CHECK(area == Approx(2 * kPi * (r - mean_u) * length).epsilon(1e-6));
  CHECK(e.excess.volume == Approx(0).margin(1e-4));

  // An opening's edge is re-entrant: the section sweeps 2 pi (r + u).
  Job opening = job_with(Contour::circle({200, 125}, r), R, R, R, 0);
  opening.operations[0].keep = Keep::outside;
  area = 0;
  for (const Exposure& x : run(opening).edges[0].exposure) area += x.area;
  CHECK(area == Approx(2 * kPi * (r + mean_u) * length).epsilon(1e-6));
}

TEST_CASE("full nominal depth on the line is judged with what to change", "[measure]") {
  const Measures m = run(job_with(Contour::rectangle({200, 125}, {300, 180}, 15), 5, 3.62, 5, 0));
  const EdgeMeasures& e = m.edges[0];
  CHECK_FALSE(e.verdict.good);
  CHECK_FALSE(m.verdict.good);
  CHECK(e.lip->max == Approx(1.38).margin(1e-6));
  CHECK(e.lip->min == Approx(1.38).margin(1e-6));
  CHECK(e.band->max == Approx(5 - std::sqrt(25 - 1.38 * 1.38)).margin(1e-6));
  REQUIRE(warned(m, "lip"));
  REQUIRE(warned(m, "band"));
  CHECK(m.warnings[0].text.find("set depth to 3.62 mm") != std::string::npos);
  CHECK(e.gouge.max > 1.3);
}

TEST_CASE("sharp convex corners have no station and make no web", "[measure]") {
  const Measures m = run(job_with(Contour::rectangle({200, 125}, {300, 180}, 0), 5, 3.62, 3.6, 0.25));
  const EdgeMeasures& e = m.edges[0];
  CHECK(e.web == 0);
  CHECK(e.unreached.empty());
  CHECK(e.verdict.good);
  const Measures flat = run(job_with(Contour::rectangle({200, 125}, {300, 180}, 0), 5, 3.62, 3.6, 0));
  CHECK(flat.edges[0].band->min == Approx(flat.edges[0].band->max).margin(1e-9));
  for (const Station& s : e.stations)
    for (const Vec2 corner : {Vec2{50, 35}, Vec2{350, 35}, Vec2{350, 215}, Vec2{50, 215}})
      CHECK(distance(s.point, corner) > 5e-3);
}

TEST_CASE("a web narrower than its two rounds is seen", "[measure]") {
  const Measures m = run(job_with(Contour::rectangle({200, 125}, {300, 7}, 0), 5, 3.62, 3.6, 0.2));
  CHECK(m.edges[0].web > 250);
  CHECK(warned(m, "web"));
  CHECK_FALSE(m.verdict.good);
}

TEST_CASE("convex corners rounded by less than the edge is wide make no web", "[measure]") {
  for (const double corner : {0.5, 1.27, 2.5, 3.5}) {
    CAPTURE(corner);
    const Measures m = run(job_with(Contour::rectangle({200, 125}, {300, 180}, corner), 5, 3.62, 3.6, 0.25));
    CHECK(m.edges[0].web == 0);
    CHECK(m.verdict.good);
  }
  // The same corner drawn as short straight pieces.
  std::vector<Vec2> points;
  for (const auto& [x, y, from] :
       {std::array{350.0, 215.0, 0.0}, {50.0, 215.0, 0.5}, {50.0, 35.0, 1.0}, {350.0, 35.0, 1.5}})
    for (int i = 0; i <= 8; ++i) {
      const double angle = (from + i / 16.0) * kPi;
      points.push_back(Vec2{x, y} + 1.5 * Vec2{std::cos(angle), std::sin(angle)});
    }
  CHECK(run(job_with(polygon(points, true), 5, 3.62, 3.6, 0.25)).edges[0].web == 0);
  // A disc smaller than its rounds is one all the way, and a strip with round ends along its sides.
  const Measures disc = run(job_with(Contour::circle({200, 125}, 3.4), 5, 3.62, 3.6, 0.25));
  CHECK(disc.edges[0].web == Approx(2 * kPi * 3.4).epsilon(1e-3));
  const Measures strip = run(job_with(Contour::rectangle({200, 125}, {300, 7}, 3.5), 5, 3.62, 3.6, 0.25));
  CHECK(strip.edges[0].web > 2 * 290);
  REQUIRE_FALSE(strip.verdict.good);
  CHECK(strip.edges[0].verdict.text.find("make the part wider") != std::string::npos);
}

TEST_CASE("corners too tight for the path are listed apart", "[measure]") {
  // An L: its inner corner is sharp and re-entrant; the path 2 mm off the line cuts it 2 mm short on both
  // sides.
  const Contour l = polygon({{50, 50}, {250, 50}, {250, 120}, {150, 120}, {150, 200}, {50, 200}}, true);
  const Measures m = run(job_with(l, 5, 5, 4, 2));
  const EdgeMeasures& e = m.edges[0];
  REQUIRE(e.unreached.size() == 1);
  CHECK(distance(e.unreached[0].at, {150, 120}) < 2.1);
  CHECK(e.unreached[0].length == Approx(4).margin(1.5));
  CHECK(e.foot_depth->max - e.foot_depth->min < 1e-6);
  CHECK(warned(m, "unreached"));
  const Measures on_line = run(job_with(l, 5, 3.62, 3.6, 0));
  REQUIRE(on_line.edges[0].unreached.size() == 1);
  CHECK(on_line.edges[0].unreached[0].length == 0);
}

TEST_CASE("an open contour keeps the side it is told and sets its ends apart", "[measure]") {
  for (const Keep keep : {Keep::left, Keep::right}) {
    Job job = job_with(polygon({{50, 100}, {300, 100}}, false), 5, 3.62, 3.55, 0.4);
    job.operations[0].keep = keep;
    const Measures m = run(job);
    const EdgeMeasures& e = m.edges[0];
    CHECK(e.ends.size() == 2);
    CHECK(e.foot_depth->max == Approx(2.9704).margin(5e-5));
    CHECK(e.foot_depth->min == Approx(2.9704).margin(5e-5));
    CHECK(e.stations[5].normal.y == (keep == Keep::left ? 1 : -1));
  }
}

TEST_CASE("an axis past the part's wall leaves nulls and says so", "[measure]") {
  const Measures far = run(job_with(Contour::rectangle({200, 125}, {300, 180}, 15), 5, 3.62, 3.55, 5.5));
  CHECK_FALSE(far.edges[0].lip);
  CHECK_FALSE(far.edges[0].foot_depth);
  CHECK(warned(far, "not-cut"));
  const Measures inside = run(job_with(Contour::rectangle({200, 125}, {300, 180}, 15), 5, 3.62, 3.55, -1));
  CHECK_FALSE(inside.edges[0].foot_depth);
  CHECK_FALSE(inside.edges[0].wall_break);
  CHECK(warned(inside, "no-foot"));
}

TEST_CASE("equal copies are folded, shared contours named", "[measure]") {
  Job job = job_with(Contour::circle({40, 40}, 25), 5, 3.62, 3.55, 0.4);
  job.contours[0].at = {{0, 0}, {80, 0}, {160, 0}, {0, 80}};
  Operation second = job.operations[0];
  second.name = "again";
  second.offset = 0.5;
  job.operations.push_back(second);
  const Measures m = run(job);
  REQUIRE(m.edges.size() == 2);
  CHECK(m.edges[0].copies.size() == 4);
  CHECK(m.edges[0].shared_with == std::vector<std::string>{"again"});
  CHECK(m.edges[1].shared_with == std::vector<std::string>{"rim"});
  // One surface: the deeper reach of the first wins in both.
  CHECK(m.edges[0].foot_depth->max == Approx(m.edges[1].foot_depth->max).margin(1e-9));
}

TEST_CASE("measures are the same to the bit for any number of threads", "[measure]") {
  const Job job = job_with(Contour::rectangle({200, 125}, {300, 180}, 15), 5, 3.62, 4.1, 0.1);
  std::vector<Measures> all;
  for (const int threads : {1, 2, 7}) {
    const ThreadLimit limit(threads);
    all.push_back(run(job));
  }
  for (const Measures& m : all) {
    const EdgeMeasures &a = all[0].edges[0], &b = m.edges[0];
    CHECK(a.lip->mean == b.lip->mean);
    CHECK(a.excess.volume == b.excess.volume);
    CHECK(a.gouge.volume == b.gouge.volume);
    REQUIRE(a.stations.size() == b.stations.size());
    for (std::size_t i = 0; i < a.stations.size(); ++i)
      CHECK(a.stations[i].measures.curve_length == b.stations[i].measures.curve_length);
  }
}

TEST_CASE("an axis a hair off the normal changes no angle", "[measure]") {
  // A path turned by a thousandth gives sampled pieces instead of exact ones; the breaks are still the
  // curve's own.
  Job job = job_with(polygon({{50, 100}, {300, 100}}, false), 5, 3.62, 3.55, 0.4);
  job.operations[0].keep = Keep::left;
  Plan plan;
  Move m;
  m.path = Segment::line({40, 99.6 - 0.135}, {310, 99.6 + 0.135});
  m.z0 = m.z1 = -3.55;
  plan.moves.push_back(m);
  job.operations[0].kind = OperationKind::program;
  const MoveIndex index(plan, job);
  const EdgeMeasures& e = measure(job, plan, index).edges[0];
  CHECK(e.face_break->min == Approx(std::acos((3.55 + 1.38) / 5)).margin(1e-5));
  CHECK(e.face_break->max == Approx(std::acos((3.55 + 1.38) / 5)).margin(1e-5));
}

TEST_CASE("a program's faults are mended by its path and its cut, there is no depth to set", "[measure]") {
  Job job = job_with(polygon({{50, 100}, {300, 100}}, false), 5, 3.62, 5, 0);
  job.operations[0].keep = Keep::left;
  job.operations[0].kind = OperationKind::program;
  job.stock.layers = {{"cap", 3.1, {0, 0, 0}}, {"core", 6.5, {0, 0, 0}}, {"back", 3.1, {0, 0, 0}}};
  job.wishes.hidden = {"core"};
  Plan plan;
  Move m;
  m.path = Segment::line({40, 100}, {310, 100});
  m.z0 = m.z1 = -5;
  plan.moves.push_back(m);
  const MoveIndex index(plan, job);
  const std::string text = measure(job, plan, index).edges[0].verdict.text;
  INFO(text);
  // Derived: the core begins 3.1 mm down, the foot lies at 5.
  CHECK(
      text.find(
          "raise the foot by 1.90 mm (0.0748 in) with a shallower cut or a path further off the line") !=
      std::string::npos);
  CHECK(text.find("set ") == std::string::npos);
}

TEST_CASE("a form that the bit has hardly touched is not good", "[measure]") {
  // Where the breaks are allowed only its size tells how far an ogee has been cut.
  Job job = job_with(Contour::rectangle({200, 125}, {300, 180}, 15), 5, 3.62, 3.55, 1.5);
  Bit& bit = job.bits[0];
  bit.form = "ogee";
  bit.profile = ogee(3, 2, 3, 0.4, 0.5, 20);
  bit.wanted = wanted_from_profile(bit.profile, 1.5, 0.5);
  const double whole = bit.wanted.depth;
  job.wishes.face_break = job.wishes.wall_break = 1.6;
  const auto at = [&](double depth) {
    job.operations[0].depth = depth;
    job.operations[0].passes = {depth};
    return run(job);
  };
  const Measures touched = at(0.1);
  CHECK_FALSE(touched.edges[0].verdict.good);
  CHECK(warned(touched, "form-small"));
  INFO(touched.edges[0].verdict.text);
  CHECK(touched.edges[0].verdict.text.find("set depth to") != std::string::npos);
  const Measures cut = at(whole);
  INFO(cut.edges[0].verdict.text);
  CHECK(cut.edges[0].verdict.good);
  CHECK_FALSE(warned(cut, "form-small"));
  CHECK_FALSE(warned(at(0.95 * whole), "form-small"));
}

TEST_CASE("a chamfer is wanted as large as its setting makes it", "[measure]") {
  // Derived: at 45 degrees the foot lies above the tip by what the axis stands off beyond the flat.
  Bit bit;
  bit.form = "chamfer";
  bit.profile = chamfer(std::numbers::pi / 4, 0.5, 20, 5);
  bit.wanted = wanted_from_profile(bit.profile, 0.25, 0);
  Operation op;
  const auto size = [&](double depth, double offset) {
    op.depth = depth;
    op.offset = offset;
    const WantedForm form = wanted_form(op, bit);
    CHECK(form.width == Approx(form.depth).margin(1e-12));
    CHECK(form.depth_at(form.width / 2) == Approx(form.depth / 2).margin(1e-12));
    return form.depth;
  };
  CHECK(size(3, 0.6) == Approx(2.65).margin(1e-12));
  CHECK(size(3, 0) == Approx(3).margin(1e-12));
  CHECK(size(3, -1) == Approx(3).margin(1e-12));
  CHECK(size(30, 0) == Approx(9.75).margin(1e-12));  // no larger than the flank
  op.wanted = WantedForm::round(4);
  CHECK(wanted_form(op, bit).depth == 4);
}
