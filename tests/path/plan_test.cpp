#include "sim/path/plan.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "sim/bit/forms.hpp"
#include "sim/error.hpp"
#include "sim/geometry/offset.hpp"
#include "tests/support/random_contour.hpp"

using namespace ovolo;
using Catch::Detail::Approx;
using Catch::Matchers::Contains;
constexpr double kPi = std::numbers::pi;
constexpr double kSheet = 12;

namespace {

Approx near_to(double v) { return Approx(v).margin(1e-9).epsilon(0); }

// One operation on one contour with a straight bit 6 mm across, depth 3 in one pass.
Job job_of(const Contour& contour, OperationKind kind, Keep keep) {
  Job job;
  job.stock.width = job.stock.height = 400;
  job.stock.layers = {{"sheet", kSheet, {}}};
  Bit bit;
  bit.profile = straight(6, 30);
  job.bits = {bit};
  job.contours.resize(1);
  job.contours[0].contour = contour;
  Operation op;
  op.kind = kind;
  op.contour = 0;
  op.keep = keep;
  op.depth = 3;
  op.passes = {3};
  op.feed = 1500;
  op.plunge_feed = 500;
  op.spindle = 18000;
  job.operations = {op};
  return job;
}

Contour polygon(const std::vector<Vec2>& points, bool closed = true) {
  std::vector<Segment> sides;
  for (std::size_t i = 0; i + 1 < points.size(); ++i)
    sides.push_back(Segment::line(points[i], points[i + 1]));
  if (closed) sides.push_back(Segment::line(points.back(), points.front()));
  return Contour(sides, closed);
}

bool cuts(const Move& m) { return m.role != MoveRole::rapid; }

// Each move starts where the last one ended; across the sheet rapids go above it.
void check_joined(const Plan& plan) {
  Vec2 at;
  double z = 5;
  for (const Move& m : plan.moves) {
    if (m.region >= 0) continue;
    REQUIRE(distance(m.path.a, at) < 1e-8);
    REQUIRE(m.z0 == near_to(z));
    if (m.role == MoveRole::rapid && m.path.length() > 0) REQUIRE(std::min(m.z0, m.z1) >= 5);
    at = m.path.b;
    z = m.z1;
  }
  CHECK(z == 5);
}

// Is every point of the path on a level move at this height?
void check_covered(const Plan& plan, const Contour& path, double z, int places = 500) {
  for (int k = 0; k <= places; ++k) {
    const Vec2 p = path.point(path.length() * k / places);
    REQUIRE(std::any_of(plan.moves.begin(), plan.moves.end(), [&](const Move& m) {
      return cuts(m) && m.counted && m.region < 0 && m.level() && m.z0 == near_to(z) &&
             m.path.distance(p) < 1e-8;
    }));
  }
}

double length_of(const Plan& plan, MoveRole role) {
  double sum = 0;
  for (const Move& m : plan.moves)
    if (m.role == role) sum += m.path.length();
  return sum;
}

double surface(const Job& job, const Plan& plan, Vec2 p) {
  double z = 0;
  for (const Move& m : plan.moves)
    if (cuts(m) && m.counted) z = std::min(z, swept_height(m, job.bits[m.bit].profile, plan.regions, p));
  return z;
}

}  // namespace

TEST_CASE("a closed edge: ramp in, a full turn, on over the overlap", "[plan]") {
  const Contour contour = Contour::rectangle({200, 125}, {300, 180}, 15);
  Job job = job_of(contour, OperationKind::edge, Keep::inside);
  Operation& op = job.operations[0];
  op.offset = 0.4;
  op.passes = {2.4, 3};
  op.ramp = 20;
  op.overlap = 5;
  const Plan plan = make_plan(job);
  check_joined(plan);
  const double whole = contour.length() + 2 * kPi * 0.4;
  check_covered(plan, offset_outward(contour, 0.4)[0], -2.4);
  check_covered(plan, offset_outward(contour, 0.4)[0], -3);
  CHECK(length_of(plan, MoveRole::ramp) == near_to(2 * 20));
  CHECK(length_of(plan, MoveRole::cut) == near_to(2 * (whole + 5)));
  double lowest[2] = {0, 0};
  for (const Move& m : plan.moves) {
    CHECK(m.operation == 0);
    CHECK(m.spindle == 18000);
    CHECK(m.feed == (m.role == MoveRole::rapid ? 0 : m.role == MoveRole::cut ? 1500 : 500));
    lowest[m.pass] = std::min(lowest[m.pass], m.z1);
    if (m.role == MoveRole::ramp) {
      const double drop = m.pass == 0 ? 2.4 : 0.6;
      CHECK((m.z0 - m.z1) / m.path.length() == near_to(drop / 20));
    }
  }
  CHECK(lowest[0] == -2.4);
  CHECK(lowest[1] == -3);
  // From one pass into the next without leaving the cut: one way down and one up.
  CHECK(std::count_if(plan.moves.begin(), plan.moves.end(),
                      [](const Move& m) { return m.role == MoveRole::rapid; }) == 3);
}

TEST_CASE("without a ramp each pass plunges; without a plunge feed it has the feed", "[plan]") {
  Job job = job_of(Contour::circle({50, 50}, 20), OperationKind::edge, Keep::inside);
  job.operations[0].passes = {1, 2, 3};
  job.operations[0].plunge_feed = 0;
  const Plan plan = make_plan(job);
  check_joined(plan);
  CHECK(length_of(plan, MoveRole::ramp) == 0);
  CHECK(length_of(plan, MoveRole::cut) == near_to(3 * 2 * kPi * 20));
  int plunges = 0;
  for (const Move& m : plan.moves) {
    if (m.role != MoveRole::plunge) continue;
    CHECK(m.path.length() == 0);
    CHECK(m.feed == 1500);
    if (m.counted) ++plunges;
  }
  CHECK(plunges == 3);
}

TEST_CASE("the part lies on the right with climb, on the left otherwise", "[plan]") {
  const Contour ccw = Contour::rectangle({50, 50}, {60, 40}, 8);
  for (const Contour& contour : {ccw, ccw.reversed()}) {
    for (const Keep keep : {Keep::inside, Keep::outside}) {
      for (const Direction direction : {Direction::climb, Direction::conventional}) {
        for (const OperationKind kind :
             {OperationKind::edge, OperationKind::cut_out, OperationKind::pocket}) {
          if (kind == OperationKind::pocket && keep == Keep::inside) continue;
          Job job = job_of(contour, kind, keep);
          job.operations[0].direction = direction;
          job.operations[0].offset = 0.5;
          job.operations[0].ramp = 4;
          int seen = 0;
          for (const Move& m : make_plan(job).moves) {
            if (m.path.length() < 1e-9 || !cuts(m)) continue;
            const Vec2 middle = m.path.point(0.5 * m.path.length());
            const Vec2 wall = contour.nearest(middle).point - middle;
            const double side = cross(m.path.tangent(0.5 * m.path.length()), wall) / length(wall);
            if (std::abs(side) < 0.9) continue;  // links between a pocket's rings
            ++seen;
            REQUIRE((side < 0) == (direction == Direction::climb));
          }
          CHECK(seen >= 8);
        }
      }
    }
  }
}

TEST_CASE("the axis keeps its distance on the side away from the part", "[plan]") {
  const Contour contour = Contour::rectangle({50, 50}, {60, 40}, 8);
  for (const Keep keep : {Keep::inside, Keep::outside}) {
    for (const double offset : {0.4, -0.1, 2.0}) {
      Job job = job_of(contour, OperationKind::edge, keep);
      job.operations[0].offset = offset;
      for (const Move& m : make_plan(job).moves) {
        if (!cuts(m)) continue;
        for (const double part : {0.0, 0.3, 1.0}) {
          const Vec2 p = m.path.point(part * m.path.length());
          const double outside = (contour.contains(p) ? -1 : 1) * contour.nearest(p).distance;
          REQUIRE(outside == near_to(keep == Keep::inside ? offset : -offset));
        }
      }
    }
  }
}

TEST_CASE("a pass begins where the scene says", "[plan]") {
  const Contour contour = Contour::rectangle({50, 50}, {60, 40}, 0);
  for (const Direction direction : {Direction::climb, Direction::conventional}) {
    for (const double start : {0.0, 12.5, 75.0}) {
      Job job = job_of(contour, OperationKind::edge, Keep::inside);
      job.operations[0].start = start;
      job.operations[0].offset = 1;
      job.operations[0].direction = direction;
      const Plan plan = make_plan(job);
      const auto first = std::find_if(plan.moves.begin(), plan.moves.end(),
                                      [](const Move& m) { return m.role == MoveRole::cut; });
      const Vec2 expected = contour.point(start) - perp(contour.tangent(start));
      CHECK(distance(first->path.a, expected) < 1e-9);
    }
  }
}

TEST_CASE("corners: rounded, mitred, and trimmed where they close", "[plan]") {
  const Contour ell = polygon({{0, 0}, {40, 0}, {40, 20}, {20, 20}, {20, 40}, {0, 40}});
  Job job = job_of(ell, OperationKind::edge, Keep::inside);
  job.operations[0].offset = 2;
  CHECK(length_of(make_plan(job), MoveRole::cut) == near_to(ell.length() + 2 * 2 * kPi * 1.25 - 4));
  job.operations[0].corner = Corner::mitre;
  CHECK(length_of(make_plan(job), MoveRole::cut) == near_to(ell.length() + 5 * 4 - 4));
  job.operations[0].keep = Keep::outside;
  const Plan inside = make_plan(job);
  CHECK(length_of(inside, MoveRole::cut) == near_to(ell.length() - 5 * 4 + 4));
  check_covered(inside, polygon({{2, 2}, {38, 2}, {38, 18}, {18, 18}, {18, 38}, {2, 38}}), -3);
}

TEST_CASE("an open edge: in on the ramp, back, and on to the end; lifted between passes", "[plan]") {
  const Contour contour = polygon({{10, 10}, {110, 10}, {110, 60}}, false);
  for (const Keep keep : {Keep::left, Keep::right}) {
    Job job = job_of(contour, OperationKind::edge, keep);
    Operation& op = job.operations[0];
    op.offset = 1;
    op.ramp = 20;
    op.passes = {1, 3};
    const Plan plan = make_plan(job);
    check_joined(plan);
    const auto path = offset_left(contour, keep == Keep::left ? -1 : 1);
    check_covered(plan, path[0], -1);
    check_covered(plan, path[0], -3);
    const double whole = keep == Keep::left ? 150 + 0.5 * kPi : 148;
    CHECK(length_of(plan, MoveRole::ramp) == near_to(2 * 20));
    CHECK(length_of(plan, MoveRole::cut) == near_to(2 * (20 + whole)));
    // Conventional by default: the part on the left of travel.
    const auto ramp = std::find_if(plan.moves.begin(), plan.moves.end(),
                                   [](const Move& m) { return m.role == MoveRole::ramp; });
    CHECK(ramp->path.a == (keep == Keep::left ? Vec2{10, 9} : Vec2{109, 60}));
  }
}

TEST_CASE("a lead-in comes from outside the part, tangent to the path", "[plan]") {
  const Contour contour = Contour::rectangle({50, 50}, {60, 40}, 0);
  for (const Keep keep : {Keep::inside, Keep::outside}) {
    for (const Direction direction : {Direction::climb, Direction::conventional}) {
      Job job = job_of(contour, OperationKind::edge, keep);
      Operation& op = job.operations[0];
      op.lead_in = 7;
      op.start = 30;
      op.offset = 0.5;
      op.direction = direction;
      op.passes = {1, 3};
      const Plan plan = make_plan(job);
      check_joined(plan);
      int leads = 0;
      for (std::size_t i = 0; i + 1 < plan.moves.size(); ++i) {
        const Move& m = plan.moves[i];
        if (m.role != MoveRole::lead) continue;
        ++leads;
        CHECK(m.path.length() == near_to(7 * kPi / 2));
        CHECK(m.z0 == m.z1);
        CHECK(m.z0 == (m.pass == 0 ? -1 : -3));
        CHECK(distance(m.path.tangent(m.path.length()), plan.moves[i + 1].path.tangent(0)) < 1e-9);
        CHECK(contour.nearest(m.path.a).distance == near_to(7.5));
        CHECK(contour.contains(m.path.a) == (keep == Keep::outside));
      }
      CHECK(leads == 2);
    }
  }
  Job job = job_of(Contour::circle({50, 50}, 10), OperationKind::edge, Keep::outside);
  job.operations[0].lead_in = 4.9;
  CHECK_NOTHROW(make_plan(job));
  job.operations[0].lead_in = 12;
  CHECK_THROWS_WITH(make_plan(job), Contains("lead_in"));
}

TEST_CASE("operations that cannot be made say so, with the mend", "[plan]") {
  const auto error_of = [](const Job& job) {
    try {
      make_plan(job);
    } catch (const JobError& e) {
      CHECK(e.operation == static_cast<int>(job.operations.size()) - 1);
      return std::string(e.what());
    }
    return std::string();
  };
  const Contour hole = Contour::circle({50, 50}, 5);
  Job job = job_of(hole, OperationKind::edge, Keep::outside);
  job.operations.insert(job.operations.begin(), job.operations[0]);
  job.operations[1].offset = 5.5;
  CHECK_THAT(error_of(job), Contains("set offset to 4.99 mm (0.1965 in) or less"));
  job = job_of(hole, OperationKind::edge, Keep::left);
  CHECK_THAT(error_of(job), Contains("\"inside\" or \"outside\""));
  job = job_of(polygon({{0, 0}, {9, 0}}, false), OperationKind::edge, Keep::inside);
  CHECK_THAT(error_of(job), Contains("\"left\" or \"right\""));
  job = job_of(Contour::circle({50, 50}, 2), OperationKind::pocket, Keep::outside);
  CHECK_THAT(error_of(job), Contains("a bit of 3.98 mm (0.1567 in) or less"));
  job = job_of(Contour::circle({50, 50}, 2), OperationKind::cut_out, Keep::outside);
  CHECK_THAT(error_of(job), Contains("a bit of 3.98 mm (0.1567 in) or less"));
  job = job_of(hole, OperationKind::pocket, Keep::inside);
  CHECK_THAT(error_of(job), Contains("set keep to \"outside\""));
  job = job_of(hole, OperationKind::pocket, Keep::outside);
  job.operations[0].stepover = 7;
  CHECK_THAT(error_of(job), Contains("stepover to 6.00 mm (0.2362 in) or less"));
  job.operations[0].stepover = 1e-6;
  CHECK_THAT(error_of(job), Contains("rings"));
  job = job_of(hole, OperationKind::cut_out, Keep::inside);
  job.operations[0].tabs = {6, 4, 2};
  CHECK_THAT(error_of(job), Contains("set tabs to 5 or fewer"));
  job = job_of(hole, OperationKind::edge, Keep::inside);
  job.operations[0].overlap = 1e7;
  CHECK_THAT(error_of(job), Contains("overlap"));
  job = job_of(hole, OperationKind::edge, Keep::inside);
  job.operations[0].contour = -1;
  CHECK_THAT(error_of(job), Contains("contour"));
}

TEST_CASE("a cut-out keeps the bit's radius away and leaves tabs of the width and height told", "[plan]") {
  const Contour contour = Contour::rectangle({100, 100}, {120, 80}, 0);
  Job job = job_of(contour, OperationKind::cut_out, Keep::inside);
  Operation& op = job.operations[0];
  op.offset = 0.2;
  op.passes = {6, 12.5};
  op.depth = 12.5;
  op.ramp = 10;
  op.tabs = {4, 8, 3};
  const Plan plan = make_plan(job);
  check_joined(plan);
  const double away = 3.2;
  const double whole = contour.length() + 2 * kPi * away;
  for (const Move& m : plan.moves)
    if (cuts(m)) CHECK(contour.nearest(m.path.point(0.5 * m.path.length())).distance == near_to(away));
  CHECK(length_of(plan, MoveRole::cut) + length_of(plan, MoveRole::ramp) == near_to(2 * (whole + 10)));
  // The upper pass runs above the tabs' tops; the lower one is raised to them, four times.
  double raised = 0;
  int jumps = 0;
  for (const Move& m : plan.moves) {
    if (!cuts(m) || !m.counted) continue;
    if (m.level() && m.z0 == near_to(-9)) raised += m.path.length();
    if (m.role == MoveRole::plunge) ++jumps;
    if (m.pass == 0) CHECK(m.z1 >= -6);
  }
  CHECK(raised == near_to(4 * (8 + 6)));
  CHECK(jumps == 8);
  // What stands where the axis passes, seen from the finished surface.
  const Contour path = offset_outward(contour, away)[0];
  const int places = 20000;
  int standing = 0;
  for (int k = 0; k < places; ++k) {
    const double z = surface(job, plan, path.point(path.length() * k / places));
    CHECK((z == near_to(-12.5) || z == near_to(-9)));
    if (z > -12) ++standing;
  }
  CHECK(standing * whole / places == Approx(4 * 8).margin(0.2));
}

TEST_CASE("a ramp that passes a tab climbs over it", "[plan]") {
  const Contour contour = Contour::rectangle({100, 100}, {60, 40}, 0);
  Job job = job_of(contour, OperationKind::cut_out, Keep::inside);
  Operation& op = job.operations[0];
  op.passes = {12};
  op.depth = 12;
  op.ramp = 150;
  op.tabs = {3, 5, 4};
  const Plan plan = make_plan(job);
  check_joined(plan);
  const Contour path = offset_outward(contour, 3)[0];
  const double spacing = path.length() / 3;
  for (const Move& m : plan.moves) {
    if (!cuts(m) || !m.counted || m.path.length() == 0) continue;
    for (const double part : {0.01, 0.5, 0.99}) {
      const double s = path.nearest(m.path.point(part * m.path.length())).s;
      const double from_tab = std::abs(std::fmod(s, spacing) - 0.5 * spacing);
      if (from_tab < 0.5 * (5 + 6) - 1e-6) CHECK(std::lerp(m.z0, m.z1, part) >= -8 - 1e-9);
    }
  }
  CHECK(surface(job, plan, path.point(0.5 * spacing)) == near_to(-8));
  CHECK(surface(job, plan, path.point(0.99 * spacing)) == near_to(-12));
}

TEST_CASE("a pocket leaves r^2 (cot(a/2) - (pi - a)/2) in a corner of angle a", "[plan]") {
  // Derived. The area is found along rays from the corner: how far out the finished floor begins.
  for (const double a : {kPi / 3, kPi / 2, 2.0}) {
    const Contour contour = polygon({{100, 100}, {180, 100}, Vec2{100, 100} + 80 * unit(a)});
    const Job job = job_of(contour, OperationKind::pocket, Keep::outside);
    const Plan plan = make_plan(job);
    double area = 0;
    const int rays = 4000;
    for (int k = 0; k < rays; ++k) {
      const double angle = a * (k + 0.5) / rays;
      double near = 0, far = 3 / std::sin(0.5 * a);
      for (int i = 0; i < 40; ++i) {
        const double middle = 0.5 * (near + far);
        (surface(job, plan, Vec2{100, 100} + middle * unit(angle)) < -2.9 ? far : near) = middle;
      }
      area += 0.5 * near * near * a / rays;
    }
    CHECK(area == Approx(9 * (1 / std::tan(0.5 * a) - 0.5 * (kPi - a))).epsilon(1e-4));
  }
}

TEST_CASE("one level move over a pocket's area stands for its rings", "[plan]") {
  std::mt19937_64 random(11);
  std::uniform_real_distribution<double> place(0, 1);
  const Contour dumbbell = polygon({{70, 90},
                                    {90, 90},
                                    {90, 96.5},
                                    {110, 96.5},
                                    {110, 90},
                                    {130, 90},
                                    {130, 110},
                                    {110, 110},
                                    {110, 103},
                                    {90, 103},
                                    {90, 110},
                                    {70, 110}});
  for (const Contour& contour :
       {dumbbell, Contour::rectangle({100, 100}, {60, 40}, 5), Contour::circle({100, 100}, 17)}) {
    for (const double stepover : {2.7, 3.0}) {
      for (const double ramp : {0.0, 15.0}) {
        Job job = job_of(contour, OperationKind::pocket, Keep::outside);
        job.operations[0].stepover = stepover;
        job.operations[0].ramp = ramp;
        job.operations[0].offset = 0.25;
        job.operations[0].passes = {1, 3};
        const Plan plan = make_plan(job);
        check_joined(plan);
        REQUIRE(plan.regions.size() == 2);
        Plan rings = plan;
        std::erase_if(rings.moves, [](const Move& m) { return m.region >= 0; });
        for (Move& m : rings.moves) {
          CHECK_FALSE((m.counted && cuts(m)));
          m.counted = true;
          // Not a hair outside the area, links and ramps included.
          if (cuts(m))
            for (const double part : {0.0, 0.31, 0.77, 1.0})
              CHECK(contour.nearest(m.path.point(part * m.path.length())).distance >= 3.25 - 1e-8);
        }
        for (int k = 0; k < 2000; ++k) {
          const Box2 box = contour.box();
          const Vec2 p{box.lo.x + place(random) * (box.hi.x - box.lo.x),
                       box.lo.y + place(random) * (box.hi.y - box.lo.y)};
          REQUIRE(surface(job, plan, p) == surface(job, rings, p));
        }
      }
    }
  }
}

TEST_CASE("a pocket whose stepover is wider than the tip's flat radius is swept ring by ring", "[plan]") {
  Job job = job_of(Contour::rectangle({100, 100}, {60, 40}, 0), OperationKind::pocket, Keep::outside);
  job.operations[0].stepover = 4;
  const Plan straight_plan = make_plan(job);
  CHECK(straight_plan.regions.empty());
  CHECK(std::count_if(straight_plan.moves.begin(), straight_plan.moves.end(),
                      [](const Move& m) { return m.role == MoveRole::cut && m.counted; }) > 10);
  job.bits[0].profile = ball(6, 30);
  job.operations[0].stepover = 0;
  const Plan plan = make_plan(job);
  CHECK(plan.regions.empty());
  // Scallops between rings one tenth of the diameter apart: r - sqrt(r^2 - (s/2)^2) high (derived).
  double highest = -3;
  for (double y = 90; y <= 110; y += 0.01) highest = std::max(highest, surface(job, plan, {100, y}));
  CHECK(highest + 3 <= 3 - std::sqrt(9 - 0.3 * 0.3) + 1e-9);
  CHECK(highest + 3 > 0.9 * (3 - std::sqrt(9 - 0.3 * 0.3)));
}

TEST_CASE("a pocket as narrow as its bit is one slot", "[plan]") {
  const Job job = job_of(Contour::rectangle({100, 100}, {60, 6}, 0), OperationKind::pocket, Keep::outside);
  const Plan plan = make_plan(job);
  CHECK(surface(job, plan, {75, 100}) == -3);
  CHECK(surface(job, plan, {100, 102.99}) == -3);
  CHECK(surface(job, plan, {100, 103.01}) == 0);
}

TEST_CASE("every copy is cut, shifted", "[plan]") {
  const Contour contour = Contour::circle({0, 0}, 15);
  for (const OperationKind kind : {OperationKind::edge, OperationKind::pocket, OperationKind::cut_out}) {
    Job job = job_of(contour, kind, Keep::outside);
    job.contours[0].at = {{50, 60}, {150, 60}, {250, 300}};
    const Plan plan = make_plan(job);
    check_joined(plan);
    Job one = job;
    one.contours[0].at = {{50, 60}};
    CHECK(length_of(plan, MoveRole::cut) == near_to(3 * length_of(make_plan(one), MoveRole::cut)));
    for (const Vec2 at : job.contours[0].at) CHECK(surface(job, plan, at + 14 * unit(1)) == -3);
  }
}

TEST_CASE("a program's motions become moves one to one", "[plan]") {
  Job job = job_of(Contour::circle({0, 0}, 15), OperationKind::program, Keep::inside);
  const auto motion = [](Vec2 a, Vec2 b, double z0, double z1, bool rapid, bool spindle) {
    ProgramMotion m;
    m.path = Segment::line(a, b);
    m.z0 = z0;
    m.z1 = z1;
    m.rapid = rapid;
    m.spindle_on = spindle;
    m.feed = 1200;
    m.spindle = 16000;
    m.line = 7;
    return m;
  };
  job.operations[0].program = {
      motion({0, 0}, {9, 9}, 5, 5, true, true), motion({9, 9}, {9, 9}, 5, -2, false, true),
      motion({9, 9}, {40, 9}, -2, -2, false, true), motion({40, 9}, {50, 9}, -2, -3, false, true),
      motion({50, 9}, {60, 9}, -3, 1, false, false)};
  const Plan plan = make_plan(job);
  REQUIRE(plan.moves.size() == 5);
  const MoveRole roles[] = {MoveRole::rapid, MoveRole::plunge, MoveRole::cut, MoveRole::ramp, MoveRole::cut};
  for (std::size_t i = 0; i < 5; ++i) {
    CHECK(plan.moves[i].role == roles[i]);
    CHECK(plan.moves[i].line == 7);
    CHECK(plan.moves[i].counted);
    CHECK(plan.moves[i].feed == (i == 0 ? 0 : 1200));
    CHECK(plan.moves[i].spindle == (i == 4 ? 0 : 16000));
  }
}

TEST_CASE("random contours: joined, covered, and the part is never entered", "[plan]") {
  std::mt19937_64 random(12);
  std::uniform_real_distribution<double> part(0, 1);
  int planned = 0;
  for (int n = 0; n < 300; ++n) {
    const auto contour = test::random_contour(random, 4 + static_cast<int>(random() % 10));
    if (!contour) continue;
    const bool inside = random() % 2 == 0;
    const OperationKind kinds[] = {OperationKind::edge, OperationKind::cut_out, OperationKind::pocket};
    const OperationKind kind = kinds[random() % 3];
    const Keep keep = kind != OperationKind::pocket && inside ? Keep::inside : Keep::outside;
    Job job = job_of(*contour, kind, keep);
    job.bits[0].profile = straight(1 + 2 * part(random), 30);
    Operation& op = job.operations[0];
    op.offset = 0.5 * part(random);
    op.ramp = random() % 3 == 0 ? 0 : 20 * part(random);
    op.overlap = 3 * part(random);
    op.start = contour->length() * part(random);
    op.direction = random() % 2 == 0 ? Direction::climb : Direction::conventional;
    op.passes = {1, 2, 3};
    const double away = op.offset + (kind == OperationKind::edge ? 0 : job.bits[0].profile.cutting_radius());
    const auto paths = offset_outward(*contour, keep == Keep::inside ? away : -away);
    if (paths.empty()) {
      CHECK_THROWS_AS(make_plan(job), JobError);
      continue;
    }
    ++planned;
    const Plan plan = make_plan(job);
    check_joined(plan);
    for (const Move& m : plan.moves) {
      if (!cuts(m) || m.region >= 0) continue;
      const Vec2 p = m.path.point(part(random) * m.path.length());
      REQUIRE(contour->nearest(p).distance >= away - 1e-7);
      REQUIRE(contour->contains(p) == (keep == Keep::outside));
    }
    if (kind != OperationKind::pocket)
      for (const Contour& path : paths) check_covered(plan, path, -3, 100);
  }
  CHECK(planned > 200);
}
