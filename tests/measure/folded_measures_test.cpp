// Measures of folded sections: both faces of a bullnose, slots, turned sheets, necks. Closed forms are
// derived; anyone can redo them.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "sim/bit/forms.hpp"
#include "sim/error.hpp"
#include "sim/measure/edge.hpp"
#include "sim/measure/folded_measures.hpp"
#include "sim/parallel.hpp"
#include "sim/path/plan.hpp"
#include "tests/support/folded_jobs.hpp"

using namespace ovolo;
using namespace ovolo::test;

namespace {

constexpr double kPi = std::numbers::pi;

Bit bullnose_bit(double radius, double neck, double land, double thickness) {
  Bit bit = bit_of("bullnose", bullnose(radius, neck, land, 40));
  bit.nominal_radius = radius;
  bit.working_depth = 2 * (radius + land);
  bit.faces = FormFaces::both;
  bit.wanted = WantedForm::round(radius);
  if (thickness < 2 * radius) {
    const double half = thickness / 2;
    bit.wanted.depth = half;
    bit.wanted.width = radius - std::sqrt(radius * radius - half * half);
    bit.wanted.curve = {Segment::arc_between({0, -half}, {bit.wanted.width, 0}, {radius, -half}, false)};
  }
  return bit;
}

Bit round_bit(double radius) {
  RoundoverReadings r;
  r.radius = radius;
  Bit bit = bit_of("point_roundover", point_roundover(derive_roundover(r), 40));
  bit.nominal_radius = bit.working_depth = radius;
  bit.wanted = WantedForm::round(radius);
  return bit;
}

Measures run(const Job& job) {
  const Plan plan = make_plan(job);
  const MoveIndex index(plan, job);
  return measure(job, plan, index);
}

bool warned(const Measures& m, const std::string& code) {
  for (const Warning& w : m.warnings)
    if (w.code == code) return true;
  return false;
}

Operation turn_over(Turn::About about = Turn::About::y) {
  Operation op;
  op.name = "turn";
  op.kind = OperationKind::turn;
  op.turn.about = about;
  return op;
}

}  // namespace

TEST_CASE("random bullnoses: lips, breaks and feet at both faces", "[folded]") {
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> u(0, 1);
  for (int i = 0; i < 60; ++i) {
    const double R = 3 + 9 * u(random), a = 2 + 4 * u(random), land = 2 + u(random);
    const double T = 2 * R * (0.85 + 0.2 * u(random)), low = (u(random) - 0.5) * 0.2 * R;
    Job job = board(T);
    job.stock.spoilboard = 3;
    job.bits.push_back(bullnose_bit(R, 2 * a, land, T));
    const double depth = T / 2 + R + land + low;  // the round's middle `low` below the sheet's
    job.operations.push_back(pass_along(0, depth, a));
    const Measures m = run(job);
    REQUIRE(m.edges.size() == 1);
    const EdgeMeasures& e = m.edges[0];
    REQUIRE(e.other);
    INFO("R " << R << " T " << T << " low " << low << " land " << land);
    CHECK(e.foot_depth->mean == Approx(T / 2 + low).margin(1e-6));
    CHECK(e.other->foot_depth->mean == Approx(T / 2 - low).margin(1e-6));
    CHECK(e.mismatch->mean == Approx(2 * std::abs(low)).margin(1e-6));
    const auto check_face = [&](double up, const std::optional<Stat>& lip, const std::optional<Stat>& face) {
      // The face lies `up` above the round's middle.
      CHECK(lip->mean == Approx(std::max(0.0, up - R)).margin(1e-6));
      CHECK(face->mean == Approx(up < R ? std::acos(up / R) : 0).margin(1e-6));
    };
    check_face(T / 2 + low, e.lip, e.face_break);
    check_face(T / 2 - low, e.other->lip, e.other->face_break);
    const auto arc = [&](double up) { return up < R ? R * std::asin(up / R) : R * kPi / 2 + up - R; };
    CHECK(e.curve_length->mean == Approx(arc(T / 2 + low) + arc(T / 2 - low)).margin(1e-5));
    CHECK(e.wall_left->max < 1e-5);
    CHECK(e.overcut->max == 0);
  }
}

TEST_CASE("the volume that a bullnose cuts too deep on a round table is Pappus's", "[folded]") {
  Job job = board(18);
  job.contours[0].contour = Contour::circle({200, 125}, 80);
  job.bits.push_back(bullnose_bit(9, 12, 1, 18));
  Operation op = pass_along(0, 19.4, 6);
  op.keep = Keep::inside;
  op.overrun = 0;
  op.lead_in = 20;
  job.operations.push_back(op);
  const EdgeMeasures e = run(job).edges.at(0);
  // Gouge: between the wanted upper half (centre -9) and the cut one (centre -9.4), above the actual foot.
  double volume = 0, section = 0;
  constexpr int kSteps = 200000;
  for (int i = 0; i < kSteps; ++i) {
    const double u = 9 * (i + 0.5) / kSteps, up = std::sqrt(81 - (u - 9) * (u - 9));
    const double wanted = -9 + up, cut = -9.4 + up, floor = -9.4;
    const double between = std::max(wanted, floor) - std::max(cut, floor);
    section += between * 9 / kSteps;
    volume += 2 * kPi * (80 - u) * between * 9 / kSteps;
  }
  CHECK(e.gouge.section.mean == Approx(section).epsilon(1e-5));
  CHECK(e.gouge.volume == Approx(volume).epsilon(1e-4));
}

TEST_CASE("a dovetail cut deeper than wanted gouges its floor and spares its flanks", "[folded]") {
  const double lean = std::tan(14 * kPi / 180), c = 6.35;
  const Profile tail = dovetail(14 * kPi / 180, 2 * c, 9, 30);
  Job job = board(20);
  job.bits.push_back(bit_of("dovetail", tail));
  Operation op = pass_along(0, 8.7, 0);
  op.wanted = swept_form(tail, 8.5, 0);
  job.operations.push_back(op);
  const EdgeMeasures e = run(job).edges.at(0);
  // The flank moves by 0.2 mm times its lean: excess beside it, gouge under the wanted floor.
  CHECK(e.excess.section.mean == Approx(8.5 * 0.2 * lean).margin(1e-6));
  CHECK(e.gouge.section.mean == Approx(0.2 * (c - 0.1 * lean)).margin(1e-6));
  CHECK(e.gouge.max == Approx(0.2).margin(1e-6));
  CHECK(e.lip->max == 0);
  CHECK(e.thinnest->min == Approx(11.3).margin(1e-6));
  CHECK(e.foot_depth->mean == Approx(8.7).margin(1e-9));
}

TEST_CASE("a groove in the wall has a foot but meets no face", "[folded]") {
  Job job = board(20);
  job.bits.push_back(bit_of("t_slot", t_slot(30, 4, 8, 40)));
  job.operations.push_back(pass_along(0, 12, 9));
  const Measures m = run(job);
  const EdgeMeasures& e = m.edges.at(0);
  CHECK_FALSE(e.lip);
  CHECK(e.web == 0);
  CHECK(e.foot_depth->mean == Approx(12).margin(1e-9));
  CHECK(e.round_width->mean == Approx(6).margin(1e-9));
  CHECK(e.curve_length->mean == Approx(6 + 4 + 6).margin(1e-6));
  CHECK(e.thinnest->min == Approx(8).margin(1e-6));
  CHECK_FALSE(warned(m, "web"));
}

TEST_CASE("rounds from both faces are measured each from its own", "[folded]") {
  Job job = board(18);
  job.stock.layers = {{"face", 2, {}}, {"core", 15, {}}, {"back", 1, {}}};
  job.bits.push_back(round_bit(5));
  job.operations = {pass_along(0, 5, 0), turn_over(), pass_along(0, 4.5, 0)};
  job.operations[2].name = "other side";
  const Measures m = run(job);
  REQUIRE(m.edges.size() == 2);
  const EdgeMeasures &top = m.edges[0], &bottom = m.edges[1];
  CHECK(top.face == Face::top);
  CHECK(bottom.face == Face::bottom);
  CHECK(top.shared_with.empty());
  CHECK(top.face_break->max == Approx(0).margin(1e-6));
  CHECK(bottom.face_break->max == Approx(std::acos(4.5 / 5)).margin(1e-6));
  CHECK(bottom.foot_depth->mean == Approx(4.5).margin(1e-6));
  CHECK(top.wall_left->mean == Approx(18 - 5 - 4.5).margin(1e-6));
  CHECK(top.mismatch->mean == Approx(0.5).margin(1e-6));
  // A full point: the layers that show are those of its own face.
  const auto shown = [](double z1, double z2) { return 5 * (std::acos(1 - z2 / 5) - std::acos(1 - z1 / 5)); };
  CHECK(top.exposure[0].length.mean == Approx(shown(0, 2)).margin(1e-6));
  CHECK(bottom.exposure[2].length.mean == Approx(shown(0.5, 1.5)).margin(1e-6));
  CHECK(bottom.exposure[0].length.max == 0);

  // The same with the sheet askew and off, about X, is still whole.
  job.operations[1].turn.about = Turn::About::x;
  job.operations[1].turn.error = {0.05, -0.1};
  job.operations[1].turn.angle = 0.0005;
  const Measures askew = run(job);
  const Stat width = *askew.edges[1].round_width;
  CHECK(width.max - width.min > 0.05);
  CHECK(askew.edges[0].round_width->max == Approx(5).margin(1e-6));
}

TEST_CASE("a nose that ends short of its line is told", "[folded]") {
  Job job = board(18);
  job.bits.push_back(bullnose_bit(9, 12, 1, 18));
  job.operations.push_back(pass_along(0, 19, 5.7));
  const Measures m = run(job);
  CHECK(m.edges.at(0).overcut->mean == Approx(0.3).margin(1e-6));
  CHECK(warned(m, "cuts-past-line"));
  CHECK_FALSE(m.verdict.good);
}

TEST_CASE("necks that run into standing material are told, with how far", "[folded]") {
  Job job = board(24);
  job.bits.push_back(bit_of("t_slot", t_slot(16, 4, 8, 40)));
  job.bits[0].neck_from = 4;
  job.bits.push_back(bit_of("straight", straight(7, 40)));
  job.bits[1].wanted = WantedForm::round(1);
  job.operations.push_back(pass_along(0, 10, 0));
  const Measures blind = run(job);
  CHECK(warned(blind, "neck"));
  Operation open = pass_along(1, 10, 0);
  open.name = "open";
  job.operations.insert(job.operations.begin(), open);
  const Measures narrow = run(job);  // 7 mm wide for a neck of 8: half a millimetre on either side
  REQUIRE(warned(narrow, "neck"));
  for (const Warning& w : narrow.warnings)
    if (w.code == "neck") CHECK(w.text.find("0.50 mm") != std::string::npos);
  job.bits[1].profile = straight(8, 40);
  CHECK_FALSE(warned(run(job), "neck"));
}

TEST_CASE("necks on a program's ramp are told too", "[folded]") {
  Job job = board(24);
  job.bits.push_back(bit_of("t_slot", t_slot(16, 4, 8, 40)));
  job.bits[0].neck_from = 4;
  job.bits.push_back(bit_of("straight", straight(8, 40)));
  job.bits[1].wanted = WantedForm::round(1);
  Operation ramp = pass_along(0, 10, 0);
  ramp.kind = OperationKind::program;
  ramp.program = {{Segment::line({-60, 100}, {460, 100}), -8, -10, false, true, 2000, 16000, 0, 1}};
  job.operations.push_back(ramp);
  const Measures blind = run(job);
  REQUIRE(warned(blind, "neck"));
  for (const Warning& w : blind.warnings)
    if (w.code == "neck") CHECK(w.text.find("4.00 mm") != std::string::npos);  // its radius
  Operation open = pass_along(1, 10, 0);
  open.name = "open";
  job.operations.insert(job.operations.begin(), open);
  CHECK_FALSE(warned(run(job), "neck"));
}

TEST_CASE("undercut bits go in and out from the side", "[folded]") {
  Job job = board(18);
  job.bits.push_back(bullnose_bit(9, 12, 1, 18));
  job.operations.push_back(pass_along(0, 19, 6));
  job.operations[0].overrun = 13;  // 14.3 mm off the part's corner, and the bit reaches 15
  CHECK_THROWS_WITH(make_plan(job), Catch::Contains("goes straight") && Catch::Contains("overrun"));
  job.operations[0].overrun = 15;
  CHECK_NOTHROW(make_plan(job));

  job.contours[0].contour = Contour::rectangle({200, 125}, {200, 120}, 20);
  job.operations[0].keep = Keep::inside;
  job.operations[0].overrun = 0;
  CHECK_THROWS_WITH(make_plan(job), Catch::Contains("set lead_in to 9.00 mm"));
  job.operations[0].lead_in = 9;
  const Plan plan = make_plan(job);
  CHECK(std::count_if(plan.moves.begin(), plan.moves.end(),
                      [](const Move& m) { return m.role == MoveRole::lead; }) == 2);

  // A T slot between two holes as wide as its head, no way in from the sides.
  Job slot = board(20);
  slot.contours[0].contour = Contour({Segment::line({100, 100}, {300, 100})}, false);
  slot.bits.push_back(bit_of("t_slot", t_slot(16, 4, 8, 40)));
  slot.operations.push_back(pass_along(0, 10, 0));
  slot.operations[0].overrun = 0;
  CHECK_THROWS_AS(make_plan(slot), JobError);
  slot.bits.push_back(bit_of("straight", straight(16, 40)));
  for (const double x : {100., 300.}) {
    Operation hole = pass_along(1, 10, 0);
    hole.name = "hole";
    hole.kind = OperationKind::program;
    ProgramMotion down;
    down.path = Segment::line({x, 100}, {x, 100});
    down.z0 = 1;
    down.z1 = -10;
    down.feed = 300;
    down.bit = 1;
    hole.program = {down};
    hole.contour = -1;
    slot.operations.insert(slot.operations.begin(), hole);
  }
  CHECK_NOTHROW(make_plan(slot));
}

TEST_CASE("measures of folded sections are equal to the bit for any thread count", "[folded]") {
  Job job = board(18);
  job.bits.push_back(bullnose_bit(9, 12, 1, 18));
  job.bits.push_back(round_bit(3));
  job.contours[0].contour = Contour::rectangle({200, 125}, {200, 120}, 20);
  Operation op = pass_along(0, 19.2, 6);
  op.keep = Keep::inside;
  op.overrun = 0;
  op.lead_in = 12;
  Operation round = pass_along(1, 3, 0);
  round.keep = Keep::inside;
  round.overrun = 0;
  round.ramp = 20;
  round.name = "round";
  job.operations = {op, turn_over(), round};
  const auto all = [&](int threads) {
    const ThreadLimit limit(threads);
    std::vector<double> out;
    for (const EdgeMeasures& e : run(job).edges) {
      for (const Station& s : e.stations) {
        const SectionMeasures& m = s.measures;
        for (const double v :
             {m.lip.value_or(-1), m.band.value_or(-1), m.curve_length, m.excess, m.gouge_moment,
              m.thinnest.value_or(-1), m.wall_left.value_or(-1), m.mismatch.value_or(-1)})
          out.push_back(v);
        if (m.other) out.push_back(m.other->face_break.value_or(-1));
      }
      out.push_back(e.gouge.volume);
      out.push_back(e.excess.volume);
    }
    return out;
  };
  const auto one = all(1), four = all(4);
  CHECK(one == four);
  CHECK(one.size() > 1000);
}

TEST_CASE("a slot opened as wide and as deep before is the last bit's own", "[folded]") {
  Job job = board(24);
  job.bits.push_back(bit_of("t_slot", t_slot(16, 4, 8, 40)));
  job.bits.push_back(bit_of("straight", straight(8, 40)));
  Operation open = pass_along(1, 10, -4);
  open.name = "open";
  open.kind = OperationKind::cut_out;
  job.operations = {open, pass_along(0, 10, 0)};
  const Measures m = run(job);
  REQUIRE(m.edges.size() == 1);
  const EdgeMeasures& e = m.edges[0];
  CHECK(e.verdict.good);
  CHECK(e.lip->max == 0);  // the neck's upright is the form's own
  CHECK(e.curve_length->mean == Approx(8 + 4 + 4 + 6).margin(1e-6));
  CHECK(e.gouge.section.max == Approx(0).margin(1e-9));
  CHECK(e.excess.section.max == Approx(0).margin(1e-9));
}

TEST_CASE("beside sharp corners nothing is made of the other side's edge", "[folded]") {
  Job job = board(18);
  job.bits.push_back(bullnose_bit(9, 12, 1, 18));
  job.contours[0].contour = Contour::rectangle({200, 100}, {200, 100}, 0);
  Operation op = pass_along(0, 19, 5.9);  // 0.1 mm past the line
  op.keep = Keep::inside;
  op.overrun = 0;
  op.lead_in = 12;
  op.corner = Corner::mitre;
  job.operations.push_back(op);
  const Measures m = run(job);
  CHECK(m.edges.at(0).thinnest->min == Approx(18).margin(1e-6));
  CHECK_FALSE(warned(m, "not-cut"));
  CHECK_FALSE(warned(m, "no-foot"));
  CHECK_FALSE(warned(m, "web"));
  CHECK(warned(m, "cuts-past-line"));
  CHECK(m.edges.at(0).overcut->max == Approx(0.1).margin(1e-6));
}
