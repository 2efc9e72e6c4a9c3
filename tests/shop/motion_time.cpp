#include "sim/shop/motion_time.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "sim/bit/forms.hpp"
#include "sim/error.hpp"

using namespace ovolo;

namespace {

Job job() {
  Job j;
  Bit bit;
  bit.profile = straight(6, 20);
  j.bits = {bit, bit};
  j.operations.resize(2);
  j.operations[0].name = "round the rim";
  return j;
}

Move move(Segment path, double z0, double z1, double feed, MoveRole role = MoveRole::cut) {
  Move m;
  m.path = path;
  m.z0 = z0;
  m.z1 = z1;
  m.feed = feed;
  m.spindle = 18000;
  m.role = role;
  return m;
}

Plan square(double side, double feed) {
  Plan plan;
  const Vec2 corners[] = {{0, 0}, {side, 0}, {side, side}, {0, side}};
  for (int i = 0; i < 4; ++i)
    plan.moves.push_back(move(Segment::line(corners[i], corners[(i + 1) % 4]), 0, 0, feed));
  return plan;
}

Machine machine() {
  Machine m;
  m.clearance = 0;
  return m;
}

/// From standstill to standstill at up to `speed` (derived).
double straight_time(double length, double speed, double acceleration) {
  return length >= speed * speed / acceleration ? length / speed + speed / acceleration
                                                : 2 * std::sqrt(length / acceleration);
}

}  // namespace

TEST_CASE("a straight move from standstill to standstill", "[shop]") {
  for (const double length : {0.1, 0.625, 1.0, 100.0}) {  // at 0.625 mm the feed is just reached
    Plan plan;
    plan.moves.push_back(move(Segment::line({0, 0}, {length, 0}), 0, 0, 25 * 60));
    const PlanTime t = plan_time(job(), plan, machine());
    CHECK(t.total == Approx(straight_time(length, 25, 1000)));
    CHECK(t.passes[0].at_feed == Approx(std::max(0.0, length - 0.625) / 25).margin(1e-9));
  }
}

TEST_CASE("corners", "[shop]") {
  Machine m = machine();
  const Job j = job();
  m.junction = 0;
  const double stopping = plan_time(j, square(50, 3000), m).total;
  CHECK(stopping == Approx(4 * straight_time(50, 50, 1000)));
  // Three corners taken at v = sqrt(a d cos 45 / (1 - cos 45)): slowing from 50 to v and back loses (50 -
  // v)^2 / (50 a).
  m.junction = 0.02;
  const double v = std::sqrt(1000 * 0.02 * std::sqrt(0.5) / (1 - std::sqrt(0.5)));
  const double lost = (50 - v) * (50 - v) / (50 * 1000);
  CHECK(plan_time(j, square(50, 3000), m).total == Approx(200.0 / 50 + 50.0 / 1000 + 3 * lost));
}

TEST_CASE("arcs, and the same path in short pieces, take the same time", "[shop]") {
  Machine m = machine();
  m.acceleration = 500;
  const Job j = job();
  Plan arc, pieces;
  const double radius = 5;
  arc.moves.push_back(move(Segment::arc({0, 0}, radius, 0, 2 * std::numbers::pi), 0, 0, 6000));
  const int n = 400;
  for (int i = 0; i < n; ++i)
    pieces.moves.push_back(move(Segment::line(radius * unit(2 * std::numbers::pi * i / n),
                                              radius * unit(2 * std::numbers::pi * (i + 1) / n)),
                                0, 0, 6000));
  const double speed = std::sqrt(500 * radius);  // slower than the feed of 100 mm/s
  CHECK(plan_time(j, arc, m).total == Approx(2 * std::numbers::pi * radius / speed + speed / 500));
  CHECK(plan_time(j, pieces, m).total == Approx(plan_time(j, arc, m).total).epsilon(0.01));
}

TEST_CASE("links, bit changes and bookings", "[shop]") {
  Machine m;
  m.clearance = 5;
  m.bit_change = 30;
  const Job j = job();
  Plan plan;
  plan.moves.push_back(move(Segment::line({0, 0}, {20, 0}), 0, -2, 1200, MoveRole::ramp));
  plan.moves.push_back(move(Segment::line({20, 0}, {100, 0}), -2, -2, 1200));
  plan.moves.push_back(move(Segment::line({0, 40}, {100, 40}), -2, -2, 1200));
  plan.moves.back().pass = 1;
  plan.moves.push_back(move(Segment::line({0, 80}, {100, 80}), -2, -2, 600));
  plan.moves.back().operation = 1;
  plan.moves.back().bit = 1;
  const PlanTime t = plan_time(j, plan, m);
  REQUIRE(t.passes.size() == 3);
  CHECK(t.bit_changes == 1);
  CHECK(t.changing == 30);
  CHECK(t.passes[0].entering == Approx(std::hypot(20, 2) / 20).margin(0.03));
  CHECK(t.passes[0].cutting == Approx(4).margin(0.03));
  CHECK(t.passes[0].crossing > 0);  // down from the clearance
  CHECK(t.passes[1].crossing > std::hypot(100, 40) / 200);
  CHECK(t.passes[2].operation == 1);
  CHECK(t.passes[2].cutting == Approx(10).margin(0.03));
  CHECK(t.passes[0].length == Approx(std::hypot(20, 2) + 80));
  CHECK(t.total == Approx(30 + t.passes[0].seconds() + t.passes[1].seconds() + t.passes[2].seconds()));
  CHECK(t.passes[1].at_feed < t.passes[1].cutting);
}

TEST_CASE("a cleared area takes no time beside the rings that clear it", "[shop]") {
  Plan plan = square(50, 3000);
  const double rings = plan_time(job(), plan, machine()).total;
  plan.regions.push_back({{Contour::rectangle({25, 25}, {50, 50}, 0)}});
  plan.moves.push_back(move(Segment::line({0, 0}, {0, 0}), -3, -3, 2000));
  plan.moves.back().region = 0;
  CHECK(plan_time(job(), plan, machine()).total == rings);
}

TEST_CASE("the time agrees with stepping along the path", "[shop]") {
  // By brute force: the largest speed at every 2 um of the path under the corner speeds, each move's feed and
  // the acceleration, forwards and backwards, then the sum of ds / v.
  std::mt19937 random(11);
  std::uniform_real_distribution<double> unit_(0, 1);
  const Machine m = machine();
  for (int round = 0; round < 3; ++round) {
    Plan plan;
    Vec2 at{0, 0};
    double heading = 0;
    for (int i = 0; i < 12; ++i) {
      heading += 3 * (unit_(random) - 0.5);
      const Vec2 to = at + (0.05 + 4 * unit_(random)) * unit(heading);
      plan.moves.push_back(move(Segment::line(at, to), 0, 0, 600 + 5000 * unit_(random)));
      at = to;
    }
    const double ds = 2e-6 * 100;
    std::vector<double> v;
    std::vector<std::size_t> starts;
    for (std::size_t i = 0; i < plan.moves.size(); ++i) {
      const double length = plan.moves[i].path.length(), feed = plan.moves[i].feed / 60;
      starts.push_back(v.size());
      for (int k = 0; k < static_cast<int>(length / ds); ++k) v.push_back(feed);
      if (i == 0) continue;
      const Move &a = plan.moves[i - 1], &b = plan.moves[i];
      const double turn = std::acos(std::clamp(dot(a.path.tangent(0), b.path.tangent(0)), -1.0, 1.0));
      const double d = m.junction * std::cos(turn / 2) / (1 - std::cos(turn / 2));
      const double room = std::min(a.path.length(), length) / 2 / std::tan(turn / 2);
      v[starts[i]] = std::min({v[starts[i]], a.feed / 60, std::sqrt(m.acceleration * std::min(d, room))});
    }
    v.push_back(0);
    v.front() = 0;
    for (std::size_t i = 1; i < v.size(); ++i)
      v[i] = std::min(v[i], std::sqrt(v[i - 1] * v[i - 1] + 2 * m.acceleration * ds));
    for (std::size_t i = v.size() - 1; i-- > 0;)
      v[i] = std::min(v[i], std::sqrt(v[i + 1] * v[i + 1] + 2 * m.acceleration * ds));
    double seconds = 0;
    for (std::size_t i = 1; i < v.size(); ++i) seconds += 2 * ds / (v[i] + v[i - 1]);
    CHECK(plan_time(job(), plan, m).total == Approx(seconds).epsilon(0.003));
  }
}

TEST_CASE("machines and moves that cannot be are refused", "[shop]") {
  for (const auto& spoil : std::vector<void (*)(Machine&)>{
           [](Machine& m) { m.acceleration = 0; }, [](Machine& m) { m.rapid = std::nan(""); },
           [](Machine& m) { m.junction = -1; }, [](Machine& m) { m.clearance = -1; },
           [](Machine& m) { m.bit_change = -1; }}) {
    Machine bad;
    spoil(bad);
    CHECK_THROWS_AS(plan_time(job(), square(10, 1000), bad), JobError);
  }
  CHECK_THROWS_AS(plan_time(job(), square(10, 0), Machine{}), JobError);
  CHECK(plan_time(job(), Plan{}, Machine{}).total == 0);
}
