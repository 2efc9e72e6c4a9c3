// Both walls of a slot that does not go through.
#include <catch2/catch.hpp>
#include <cmath>

#include "sim/bit/forms.hpp"
#include "sim/measure/across.hpp"
#include "sim/path/plan.hpp"
#include "tests/support/folded_jobs.hpp"

using namespace ovolo;
using namespace ovolo::test;

namespace {

struct Slot {
  Job job;
  Plan plan;
  MoveIndex index;
  SectionMaker maker;
  Station station;
  Section own;

  Slot(double thickness, double depth, double offset)
      : job(job_of(thickness, depth, offset)),
        plan(make_plan(job)),
        index(plan, job),
        maker(job, plan, index) {
    station.point = {200, 100};
    station.normal = {0, 1};
    own = maker.make({station.point, station.normal, 30});
  }
  std::optional<Section> across(double reach = 30) {
    return across_the_line(maker, job.stock, station, own, reach);
  }
  static Job job_of(double thickness, double depth, double offset) {
    Job job = board(thickness);
    job.bits.push_back(bit_of("dovetail", dovetail(0.25, 12, 9, 30)));
    job.operations.push_back(pass_along(0, depth, offset));
    return job;
  }
};

}  // namespace

TEST_CASE("a slot's other wall lies where the bit's other side ran", "[folded]") {
  constexpr double kOff = 1.5;  // the axis lies 1.5 mm outside the line
  Slot slot(20, 8, kOff);
  const auto across = slot.across();
  REQUIRE(across);
  REQUIRE(slot.own.folded);
  const auto own_side = polygon_of(slot.own.pieces), other = polygon_of(across->pieces);
  const double neck = 6 - 8 * std::tan(0.25);  // on the face
  for (const double t : {0.1, 3.0, 7.9}) {
    const double half = neck + (6 - neck) * t / 8;
    CHECK(inside(own_side, {half - kOff + 0.01, -t}));
    CHECK_FALSE(inside(own_side, {half - kOff - 0.01, -t}));
    CHECK(inside(other, {-half - kOff - 0.01, -t}));
    CHECK_FALSE(inside(other, {-half - kOff + 0.01, -t}));
  }
  CHECK(inside(other, {-0.01, -8.01}));
  CHECK_FALSE(inside(other, {-0.01, -7.99}));
  const auto joined = joined_at_line(slot.own, *across);
  REQUIRE(joined.size() == 1);
  CHECK(joined.front().first == Approx(-20).margin(1e-9));
  CHECK(joined.front().second == Approx(-8).margin(1e-9));
}

TEST_CASE("no other wall where the cut goes through, or the sheet ends at the line", "[folded]") {
  Slot through(8, 8.5, 0);
  CHECK_FALSE(through.across());
  Slot slot(20, 8, 0);
  slot.station.point = {200, 0};  // the sheet's border: nothing lies across
  slot.own = slot.maker.make({slot.station.point, {0, 1}, 30});
  CHECK_FALSE(slot.across());
  Slot near(20, 8, 0);
  const auto cut_short = near.across(7);
  REQUIRE(cut_short);
  CHECK(cut_short->u_max == 7);
}
