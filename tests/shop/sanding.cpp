#include "sim/shop/sanding.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "sim/error.hpp"

using namespace ovolo;

namespace {

constexpr double kDegree = std::numbers::pi / 180;

SectionMeasures clean() {
  SectionMeasures m;
  m.face_break = 9.6 * kDegree;
  m.wall_break = 23 * kDegree;
  m.foot_depth = 2.97;
  m.curve_length = 5;
  m.round_width = 4.6;
  return m;
}

CurveMarks marks(double tallest, double mean, double length) {
  CurveMarks c;
  c.tallest = tallest;
  c.mean_crest = mean;
  c.points.resize(2);
  c.points[1].place.s = length;
  return c;
}

EdgeMeasures edge(const SectionMeasures& m, double length, double curvature = 0) {
  EdgeMeasures e;
  e.contour = "outline";
  for (int i = 0; i < 4; ++i) {
    Station s;
    s.weight = length / 4;
    s.curvature = curvature;
    s.measures = m;
    e.stations.push_back(s);
  }
  e.length = length;
  return e;
}

Job job() {
  Job j;
  j.stock.layers = {{"cap", 1.3, {}}, {"core", 10.1, {}}, {"back", 1.3, {}}};
  j.wishes.hidden = {"core"};
  return j;
}

}  // namespace

TEST_CASE("a good edge with low marks needs nothing", "[shop]") {
  const SandNeed need = sand_need(clean(), marks(0.004, 0.001, 5), Wishes{}, SandLimits{});
  CHECK(need.level == SandClass::nothing);
  CHECK(need.section() == 0);
  const EdgeSanding s = sand_edge(edge(clean(), 900), {marks(0.004, 0.001, 5)}, job(), SandLimits{});
  CHECK(s.classes[0].length == Approx(900));
  CHECK(s.grits.empty());
  CHECK(sand_time({s}, 1, SandRates{}).seconds.high == 0);
}

TEST_CASE("lip and band come off as the blend of the report", "[shop]") {
  SectionMeasures m = clean();
  m.lip = 0.3;
  m.band = 0.19;
  const SandNeed need = sand_need(m, marks(0.004, 0.001, 5), Wishes{}, SandLimits{});
  // lip^2/(2 tan 15) + band^2/(2 tan 25)
  CHECK(need.blend ==
        Approx(0.3 * 0.3 / (2 * std::tan(15 * kDegree)) + 0.19 * 0.19 / (2 * std::tan(25 * kDegree))));
  CHECK(need.depth == Approx(0.3 * std::cos(15 * kDegree)));
  CHECK(need.level == SandClass::two_grits);
}

TEST_CASE("felt marks come off to their valleys, a third of the crest's height", "[shop]") {
  const SandNeed need = sand_need(clean(), marks(0.0128, 0.002, 5), Wishes{}, SandLimits{});
  CHECK(need.marks == Approx(0.002 * 5 / 3));
  CHECK(need.level == SandClass::touch);
}

TEST_CASE("breaks above the wishes are eased", "[shop]") {
  SectionMeasures m = clean();
  m.wall_break = 40 * kDegree;
  const SandNeed need = sand_need(m, marks(0, 0, 5), Wishes{}, SandLimits{});
  // A flat 0.5 mm wide across a corner of 40 degrees.
  CHECK(need.ease == Approx(0.25 * 0.25 * std::tan(20 * kDegree)));
  CHECK(need.level == SandClass::touch);
}

TEST_CASE("a break that the wanted form has of its own is left alone", "[shop]") {
  SectionMeasures m = clean();
  m.wall_break = 90 * kDegree;
  CHECK(sand_need(m, marks(0, 0, 5), Wishes{}, SandLimits{}, 0, 80 * kDegree).level == SandClass::nothing);
  CHECK(sand_need(m, marks(0, 0, 5), Wishes{}, SandLimits{}, 0, 50 * kDegree).ease ==
        Approx(0.25 * 0.25 * std::tan(20 * kDegree)));
}

TEST_CASE("classes rise with what must come off", "[shop]") {
  SandClass last = SandClass::nothing;
  for (double lip = 0.001; lip < 2; lip *= 1.2) {
    SectionMeasures m = clean();
    m.lip = lip;
    const SandClass c = sand_need(m, marks(0, 0, 5), Wishes{}, SandLimits{}).level;
    CHECK(c >= last);
    last = c;
  }
  CHECK(last == SandClass::recut);
}

TEST_CASE("volumes, grits and strokes of an edge", "[shop]") {
  SectionMeasures m = clean();
  m.lip = 0.3;
  const SandLimits limits;
  EdgeMeasures e = edge(m, 900, 1.0 / 50);
  e.copies = {{0, 0}, {300, 0}, {600, 0}};
  const EdgeSanding s = sand_edge(e, {marks(0, 0, 5)}, job(), limits);
  const double section = 0.3 * 0.3 / (2 * std::tan(15 * kDegree));
  CHECK(s.worst == SandClass::two_grits);
  CHECK(s.classes[3].length == Approx(2700));
  // On a convex contour the face is shorter than the line, by the distance to it over the radius.
  CHECK(s.classes[3].volume == Approx(section * 2700 * (1 - 4.6 / 50)));
  REQUIRE(s.grits.size() == 2);
  CHECK(s.grits[0].number == 120);
  CHECK(s.grits[0].volume == Approx(s.classes[3].volume));
  // P180 takes out P120's scratches, a quarter of 125 um deep, over the blended face.
  CHECK(s.grits[1].volume == Approx(0.3 / std::sin(15 * kDegree) * 0.03125 * 2700 * (1 - 4.6 / 50)));
  CHECK(s.stroke == Approx(5400));
  CHECK(s.equivalent == Approx(s.grits[0].volume + s.grits[1].volume / relative_rate(grit(180))));

  SandRates rates;
  const SandTime t = sand_time({s}, 3, rates);
  CHECK(t.seconds.value == Approx(20 * 3 + 20 * 5.4 + 0.05 * s.equivalent));
  CHECK(t.seconds.low < t.seconds.value);
  CHECK(t.seconds.high > t.seconds.value);
  CHECK(t.sheets == Approx(s.volume / 30000));
}

TEST_CASE("stations apart from the statistics are not sanded", "[shop]") {
  SectionMeasures m = clean();
  m.lip = 0.3;
  EdgeMeasures e = edge(m, 900);
  e.stations[0].kind = StationKind::unreached;
  e.stations[1].kind = StationKind::end;
  CHECK(sand_edge(e, {marks(0, 0, 5)}, job(), SandLimits{}).classes[3].length == Approx(450));
}

TEST_CASE("a form that works on both faces is sanded at both", "[shop]") {
  SectionMeasures m = clean();
  m.other = OtherFace{};
  m.other->foot_depth = 6;
  m.other->lip = 0.3;
  SectionMeasures one = clean();
  one.lip = 0.3;
  const SandNeed need = sand_need(m, marks(0, 0, 5), Wishes{}, SandLimits{});
  CHECK(need.blend == Approx(sand_need(one, marks(0, 0, 5), Wishes{}, SandLimits{}).blend));
  CHECK(need.level == SandClass::two_grits);
  m.lip = 0.3;
  const SandNeed both = sand_need(m, marks(0, 0, 5), Wishes{}, SandLimits{});
  CHECK(both.blend == Approx(2 * need.blend));
  CHECK(both.surface == Approx(2 * need.surface));
  CHECK(both.depth == Approx(need.depth));
  m = clean();
  m.other = OtherFace{};
  m.other->wall_break = 40 * kDegree;
  CHECK(sand_need(m, marks(0, 0, 5), Wishes{}, SandLimits{}).ease ==
        Approx(0.25 * 0.25 * std::tan(20 * kDegree)));
  // Through the lower face's layer.
  m.other->lip = 1.38;
  Job j = job();
  j.stock.layers = {{"veneer", 3, {}}, {"core", 8.4, {}}, {"back", 1.3, {}}};
  const auto beyond = sand_edge(edge(m, 900), {marks(0, 0, 5)}, j, SandLimits{}).beyond;
  REQUIRE(beyond.size() == 1);
  CHECK(beyond[0].find("'back'") != std::string::npos);
}

TEST_CASE("what sanding cannot mend is said", "[shop]") {
  const auto beyond = [](const SectionMeasures& m) {
    return sand_edge(edge(m, 900), {marks(0, 0, 5)}, job(), SandLimits{}).beyond;
  };
  CHECK(beyond(clean()).empty());
  SectionMeasures lip = clean();
  lip.lip = 1.1;
  CHECK(beyond(lip).empty());
  lip.lip = 1.38;  // the cap is 1.3 thick
  REQUIRE(beyond(lip).size() == 1);
  CHECK(beyond(lip)[0].find("'cap'") != std::string::npos);
  SectionMeasures band = clean();
  band.band = 0.4;
  band.foot_depth = 1.0;  // the trimmed wall runs from 1.0 to 1.86 mm down
  REQUIRE(beyond(band).size() == 1);
  CHECK(beyond(band)[0].find("'core'") != std::string::npos);
  SectionMeasures gouge = clean();
  gouge.gouge_max = 0.5;
  REQUIRE(beyond(gouge).size() == 1);
  CHECK(beyond(gouge)[0].find("0.50 mm") != std::string::npos);
}

TEST_CASE("sanding inputs that cannot be are refused", "[shop]") {
  SandLimits limits;
  limits.grits = {};
  CHECK_THROWS_AS(sand_edge(edge(clean(), 1), {marks(0, 0, 5)}, job(), limits), JobError);
  limits.grits = {180, 120};
  CHECK_THROWS_AS(sand_edge(edge(clean(), 1), {marks(0, 0, 5)}, job(), limits), JobError);
  limits.grits = {90};
  CHECK_THROWS_AS(sand_edge(edge(clean(), 1), {marks(0, 0, 5)}, job(), limits), JobError);
  CHECK_THROWS_AS(sand_edge(edge(clean(), 1), {}, job(), SandLimits{}), JobError);
}
